"""Documents: YAML and JSON files checked against their model, all problems reported at once.

The models accept exactly what the JSON Schemas in schemas/ accept (tests/test_schemas.py shows it).
A file that its model accepts is done; for one that it rejects, jsonschema finds what is wrong.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from audit.endings import WORKBOOKS
from audit.errors import InputProblems, Problem, stop, stop_if
from audit.reading.files import FileBytes, composed, decode, read_bytes, whole_characters
from audit.reading.forms import ONLY_WRITTEN_BY_US, USE_NEWER, kind_and_form, newer_form
from audit.reading.marks import Document
from audit.reading.yaml_core import MOST_DEPTH, load

ModelType = TypeVar("ModelType", bound=BaseModel)
ZIP = b"PK\x03\x04"
"""The start of every workbook file."""
IF_READBACK = "if it is what was read, name the plan before it"
"""What to do about a readback in the place of a plan."""


def read_document(file: FileBytes, if_other: str = "") -> Document:
    """Return the values of a YAML or JSON file with their places; its keys given twice are for the caller.

    `if_other` says what else to do about a file that has probably been given in the place of another.
    """
    if file.data.startswith(ZIP):
        named_so = file.path.suffix.lower() in WORKBOOKS
        mend = "name a YAML or JSON file here" if named_so else "its name must end in .xlsx or .ods"
        mend = "; ".join(filter(None, (mend, if_other)))
        raise stop("is a workbook, but YAML or JSON is read here", mend, file=file.name)
    text = composed(decode(file))
    if file.path.suffix.lower() == ".json":
        return Document(file.name, parse_json(text, file.name), text=text)
    return load(text, file.name)


def parse_json(text: str, name: str) -> Any:
    """Return the values of a JSON text, with numbers as their full text. Raises InputProblems."""

    def unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            stop_if(load(text, name).twice)  # with the key and its line
            raise stop("a key is given twice in one object", "keep one of them", file=name)
        return found

    def refuse(word: str) -> Any:
        outside = re.sub(r'"(?:\\.|[^"\\])*"', "", text)  # of texts, which may contain the word too
        line = outside.count("\n", 0, outside.find(word)) + 1
        raise stop(f"{word} is not JSON", "write a number, or null", file=name, line=line)

    try:
        data = json.loads(text, object_pairs_hook=unique, parse_constant=refuse,
                          parse_float=NumberText, parse_int=NumberText)  # fmt: skip
        if _depth(data) > MOST_DEPTH:
            raise RecursionError
        return _whole(data) if _HALF.search(text) else data
    except json.JSONDecodeError as error:
        message, mend = error.msg, "check quotes, commas and brackets at and before this place"
        if _is_cut_off(error):
            message = "it ends too early"
            mend = "copy it again if it was cut off; otherwise close its quotes and brackets"
        place = {"line": error.lineno, "column": str(error.colno)}
        raise stop(f"is not JSON: {message}", mend, file=name, **place) from None
    except RecursionError:
        raise stop("is nested too deeply", "flatten it", file=name) from None


def _is_cut_off(error: json.JSONDecodeError) -> bool:
    """Tell whether a JSON text ends before its last bracket: after a value, in one, or in a text."""
    if error.msg.startswith("Unterminated string"):
        return True
    return error.msg != "Extra data" and _LAST_WORD.fullmatch(error.doc, error.pos) is not None


_LAST_WORD = re.compile(r"[\w.+-]*\s*")
"""What may stand behind the place of the fault in a text that was cut off: some of `true`, or of `1.5`."""
_HALF = re.compile(r"\\u[dD][89a-fA-F]")
"""The escape of half a character: usually one of two that make a whole."""


def _whole(data: Any) -> Any:
    """Return the data with halves of characters written out."""
    if isinstance(data, dict):
        return {whole_characters(key): _whole(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_whole(value) for value in data]
    return whole_characters(data) if isinstance(data, str) and not data.isascii() else data


def _depth(data: Any) -> int:
    """Return how deeply lists and objects are nested, counting no further than is allowed."""
    depth, level = 0, [data]
    while level and depth <= MOST_DEPTH:
        depth += 1
        parts = [list(v.values()) if isinstance(v, dict) else v for v in level if isinstance(v, (dict, list))]
        level = [part for group in parts for part in group]
    return depth


class NumberText(str):
    """A number in a JSON file, kept as it is written: 1.50 stays 1.50."""

    __slots__ = ()


WrittenFile = tuple[FileBytes, Document, ModelType, list[Problem]]
"""A file, its values with their places, its model, and the problems of the names in it."""


def read_naming(
    path: Path, model: type[ModelType], schema: str, unknown: Callable[[Document], Iterable[Problem]]
) -> WrittenFile[ModelType]:
    """Return a file that names things from other files, with the problems of those names.

    `unknown` looks at the names in values that may be wrong in other ways as well. Raises InputProblems if
    the file does not fit its model: with its problems, and with those of names at other places.
    """
    named: list[Problem] = []
    try:
        file = read_bytes(path)
        document = with_marks(read_document(file))
        named = list(unknown(document))
        return file, document, build(document, model, schema), named
    except InputProblems as error:
        told = {(problem.line, problem.column) for problem in error.problems}
        also = (problem for problem in named if (problem.line, problem.column) not in told)
        raise InputProblems([*error.problems, *also]) from None


def build(document: Document, model: type[ModelType], schema: str) -> ModelType:
    """Return the model of a document. Raises InputProblems with everything that is wrong with it."""
    _check_kind(document, schema)
    given = without_blanks(document.data)
    data = plain(given)
    try:
        found = model.model_validate(data)
    except ValidationError as error:
        from audit.reading.wording import problems

        wrong = problems(with_marks(document), data, error, schema)
        raise InputProblems([*document.twice, *wrong]) from None
    stop_if([*document.twice, *(_unknown_blanks(document, schema) if given != document.data else ())])
    return found


KINDS = {
    "plan": "plan", "device-type": "device type", "device-settings": "file of shared settings",
    "readback": "readback", "entry": "reading", "mapping": "mapping", "rules": "pack of rules",
    "site-rules": "file of site rules", "gates": "file of gates", "slips": "file of slips",
    "waivers": "file of waivers", "result": "result",
    "baseline": "baseline", "changes": "file of change records",
    "sampling-tables": "file of sampling tables", "sample": "sample",
    "bands": "file of bands",
    "joining-causes": "file of causes",
    "work": "file of work",
    "code-marks": "file of marks of access codes",
    "worklist": "work list",
}  # fmt: skip
"""Schema → what a file of that kind is called."""


OF_ITS_OWN = {
    "mapping": "name it with --mapping, or call it mapping.yaml and give its folder",
    "plan": "give it before the readback (`drift`: with --plan); keep readbacks in a folder of their own",
}
"""Kind of file that is often given where a plan or a readback is expected → what to do with it."""


def _check_kind(document: Document, schema: str) -> None:
    """Raise InputProblems if a file is of another kind: one problem, not one for each key."""
    wanted, data = KINDS[schema], document.data
    mend = f"a {wanted} begins with `asfound: {schema}/1`"
    mend += f"; {IF_READBACK}" if schema == "plan" else ""
    if not isinstance(data, dict):
        raise stop(f"is not a {wanted}", mend, file=document.file)
    if "asfound" not in data:
        raise stop(f"is not a {wanted}: 'asfound' is missing", f"add it: {mend}", file=document.file)
    mark = str(data["asfound"])
    kind, _ = kind_and_form(mark)
    if message := newer_form(mark, schema):
        mend = USE_NEWER if schema in ONLY_WRITTEN_BY_US else f"{USE_NEWER}, or write {schema}/1"
        raise InputProblems([document.problem(("asfound",), message, mend)])
    if kind != schema and kind in KINDS:
        message = f"is a {KINDS[kind]} ({mark!r}), but a {wanted} was expected"
        mend = f"give the {wanted}"
        if schema in ("plan", "readback"):
            mend = OF_ITS_OWN.get(kind, mend)
        raise InputProblems([document.problem(("asfound",), message, mend)])


def _unknown_blanks(document: Document, schema: str) -> list[Problem]:
    """Return problems for keys without a value that are not keys at all, such as `channel:7`."""
    from audit.reading.wording import unknown_keys

    return list(unknown_keys(with_marks(document), schema))


def with_marks(document: Document) -> Document:
    """Return a JSON document with the places of its values, from reading it again as YAML if possible."""
    if document.marks:
        return document
    try:
        places = load(document.text, document.file)
        return Document(document.file, document.data, places.marks, places.keys)
    except InputProblems:
        return document


def without_blanks(data: Any) -> Any:
    """Return the data without keys whose value was left empty: a blank means 'not given'."""
    if isinstance(data, dict):
        return {key: without_blanks(value) for key, value in data.items() if value is not None}
    if isinstance(data, list):
        return [without_blanks(value) for value in data]
    return data


def plain(data: Any) -> Any:
    """Return the data with lists as tuples and JSON numbers as numbers, as strict models require."""
    if isinstance(data, dict):
        return {key: plain(value) for key, value in data.items()}
    if isinstance(data, list):
        return tuple(plain(value) for value in data)
    if isinstance(data, NumberText):
        return int(data) if data.lstrip("-").isdigit() and len(data) < 4000 else float(data)
    return data


def read_model(
    path: Path, model: type[ModelType], schema: str, name: str = ""
) -> tuple[ModelType, Document, FileBytes]:
    """Read a file, check it, and return its model, its places and its bytes."""
    file = read_bytes(path, name)
    document = with_marks(read_document(file))
    return build(document, model, schema), document, file
