"""Wording: what a schema or a model finds wrong with a file, put into words, with its place."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from pydantic import ValidationError

from audit.errors import Problem, nearest
from audit.phrases import counted
from audit.reading.comma_texts import cut_by_comma
from audit.reading.forms import or_newer
from audit.reading.marks import Document, Mark
from audit.reading.quoting import as_yaml, holds_code, key_may_be_code, quoted, shown, shown_path
from audit.resources import schema_text

TYPE_WORDS = {
    "string": "text", "integer": "a whole number", "number": "a number", "boolean": "true or false",
    "array": "a list", "object": "a mapping of keys to values", "null": "nothing",
}  # fmt: skip

ONLY_OF_MODELS = ("value_error", "finite_number")
"""Error types that no schema finds: checks between fields, and infinity and NaN, which JSON lacks."""

SEE_SCHEMA = "see the schema of this file: `asfound schema`"

SCALARS = ["string", "integer", "number", "boolean"]
"""The types that a setting's value may have."""

NAME_FORMS = {
    r"^[a-z][a-z0-9_]*$": "names of settings are lower case, for instance range_high",
    r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$": "write lower-case words with hyphens, for instance channel-differs",
}
"""Pattern of a name → how to write such a name."""

LIMIT_WORDS = {
    "minimum": "at least", "exclusiveMinimum": "above", "maximum": "at most", "exclusiveMaximum": "below",
}  # fmt: skip
LENGTHS = {
    "minItems": ("too short", "at least", "item"), "maxItems": ("too long", "at most", "item"),
    "minLength": ("too short", "at least", "character"), "maxLength": ("too long", "at most", "character"),
}  # fmt: skip
"""Keyword that limits a length → what is wrong, and how many there may be of what."""


def problems(document: Document, data: Any, error: ValidationError, schema: str) -> Iterator[Problem]:
    """Yield the problems that the schema finds, then those that only the model's own checks find."""
    listed = _lists(data)
    found = [
        *(problem for one in _errors(listed, schema) for problem in _worded(document, one)),
        *unknown_keys(document, schema),
        *(_model_problem(document, listed, e) for e in error.errors() if e["type"] in ONLY_OF_MODELS),
    ]
    found = found or [_model_problem(document, listed, e) for e in error.errors()]
    yield from sorted(set(found), key=lambda p: (p.line, p.column, p.message))


def unknown_keys(document: Document, schema: str) -> Iterator[Problem]:
    """Yield a problem for each key that the schema does not know, whether it has a value or not."""
    for error in _errors(document.data, schema):
        if error.validator == "additionalProperties":
            yield from _worded(document, error)


def _errors(data: Any, schema: str) -> Iterator[Any]:
    """Yield what the schema finds, following each choice into the branch that was meant."""
    todo = list(_validator(schema).iter_errors(data))
    for error in todo:
        branch = _meant_branch(error)
        if branch is None:
            yield error
        else:
            todo += branch


@cache
def _validator(schema: str) -> Any:
    from jsonschema import Draft202012Validator

    return Draft202012Validator(json.loads(schema_text(schema)))


def _worded(document: Document, error: Any) -> Iterator[Problem]:
    """Yield the problems of a schema error, in words."""
    path = tuple(error.absolute_path)
    message, mend = _message(document, error, path)
    mark = document.mark(path)
    if error.validator == "oneOf" and isinstance(error.instance, dict):
        mark = document.mark((*path, error.schema["discriminator"]["propertyName"]))
    if error.validator == "additionalProperties":
        for key in _unknown_keys(error):
            mark = document.key((*path, key))
            told = cut_by_comma(document, path, list(error.instance), key, error.schema.get("properties", {}))
            unknown = f"unknown key {quoted(str(key))}"
            message, mend = told or (unknown, _mend_key(str(key), error.schema) + or_newer(document.data))
            if message:
                yield _place(document, (*path, key), mark, f"{message}{shown_path(path)}", mend)
        return
    yield _place(document, path, mark, message, mend)


def _place(document: Document, path: tuple[Any, ...], mark: Any, message: str, mend: str) -> Problem:
    if document.marks:
        return Problem(message, mend, document.file, "", mark.line, str(mark.column))
    hidden = any(key_may_be_code(path[:n]) for n in range(1, len(path) + 1))
    pointer = "" if hidden else "/" + "/".join(map(str, path))
    return Problem(message, mend, document.file, "", 0, pointer)


def _unknown_keys(error: Any) -> list[str]:
    known = error.schema.get("properties", {})
    patterns = error.schema.get("patternProperties", {})
    return [
        key for key in error.instance
        if key not in known and not any(re.search(p, key) for p in patterns)
    ]  # fmt: skip


def _mend_key(key: str, schema: Any) -> str:
    """Return how to correct an unknown key: often a blank is missing after its colon."""
    if key == "<<":
        return "merge keys of YAML are not read: write the values out; a plan has `defaults` for shared ones"
    name, colon, value = key.partition(":")
    if colon and value and not holds_code(key):
        return f"write {name}: {value}, with a blank after the colon"
    for pattern in schema.get("patternProperties", {}):
        lower = f"; perhaps {key.lower()}" if re.search(pattern, key.lower()) else ""
        return NAME_FORMS.get(pattern, SEE_SCHEMA) + lower
    return nearest(key.rstrip(":"), schema.get("properties", {}))


def _meant_branch(error: Any) -> list[Any] | None:
    """Return the errors of the branch that the `kind` of the value chooses, if it chooses one."""
    if error.validator != "oneOf" or not isinstance(error.instance, dict):
        return None
    discriminator = error.schema["discriminator"]
    chosen = discriminator["mapping"].get(str(error.instance.get(discriminator["propertyName"])))
    if chosen is None:
        return None
    index = [branch["$ref"] for branch in error.schema["oneOf"]].index(chosen)
    return [inner for inner in error.context if inner.schema_path[0] == index]


def _message(document: Document, error: Any, path: tuple[Any, ...]) -> tuple[str, str]:
    """Return what is wrong and how to correct it, for one schema error."""
    found, wants, keyword = error.instance, error.validator_value, error.validator
    at = shown_path(path)
    if keyword == "required":
        missing = [key for key in wants if key not in found]
        are, it = ("are", "them") if missing[1:] else ("is", "it")
        return f"{', '.join(map(repr, missing))} {are} missing{at}", f"add {it}"
    if keyword == "type":
        words = [wants] if isinstance(wants, str) else wants
        expected = "a single value" if words == SCALARS else " or ".join(TYPE_WORDS[word] for word in words)
        number = isinstance(found, (int, float)) and shown(found, path) == repr(found)
        told = document.written(path, found) if number else shown(found, path)  # 0050 is not 50
        return f"found {told}{at}, but {expected} was expected", _type_mend(error, words, path)
    if keyword in ("enum", "const"):
        words = wants if keyword == "enum" else [wants]
        return f"{shown(found, path)} is not allowed{at}", nearest(str(found), map(str, words))
    if keyword == "oneOf" and "discriminator" in error.schema:
        name = error.schema["discriminator"]["propertyName"]
        known = error.schema["discriminator"]["mapping"]
        if not isinstance(found, dict):
            message = f"found {shown(found, path)}{at}, but a mapping with {name!r} was expected"
            return message, f"write {path[-1]}: {{{name}: ..., ...}}"
        if name not in found:
            return f"{name!r} is missing{at}", nearest("", known)
        return f"unknown {name} {found[name]!r}{at}", nearest(str(found[name]), known)
    if keyword == "pattern":
        mend = NAME_FORMS.get(wants, f"it must match {wants}")
        return f"{shown(found, path)} is not a name of the right form{at}", mend
    if keyword == "maxLength" and wants == 1:
        return (
            f"{shown(found, path)}{at} is more than one character",
            "write the character itself, such as ';'; a tab is \"\\t\", in double quotation marks",
        )
    if keyword in LENGTHS:
        wrong, limit, thing = LENGTHS[keyword]
        what = "the list" if isinstance(found, list) else shown(found, path) if found else "the text"
        return f"{what} is {wrong if found else 'empty'}{at}", f"give {limit} {counted(wants, thing)}"
    if keyword in LIMIT_WORDS:
        return f"{shown(found, path)}{at} is out of bounds", f"it must be {LIMIT_WORDS[keyword]} {wants}"
    return f"{shown(found, path)} does not fit{at}", SEE_SCHEMA


def _type_mend(error: Any, words: list[str], path: tuple[Any, ...]) -> str:
    """Return how to write a value of another type; an entry of a list has no key to write before it."""
    found = error.instance
    key = f"{path[-1]}: " if path and isinstance(path[-1], str) else ""
    item = "..."  # for a long text, a code, or nothing
    if found is not None and shown(found, path) == repr(found):
        item = as_yaml(found) if isinstance(found, str) else repr(found)
    if isinstance(found, (dict, list)) and "object" not in words and "array" not in words:
        return "write a single value"
    if "string" in words and isinstance(found, (int, float)):
        return "put it in quotes"
    if "array" in words and "$ref" in error.schema.get("items", {}):  # whose entries are mappings
        if isinstance(found, dict):
            return f"put a dash before its first key, or brackets round it: {key}[...]"
        return f"write {key}[{{...}}], a list of mappings of keys to values"
    if "array" in words:
        return f"put it in brackets: {key}[{item}]"
    if "object" in words:
        needed = error.schema.get("required", [])
        whole = ", ".join(f"{one}: {item if len(needed) == 1 else '...'}" for one in needed) or "..."
        if "additionalProperties" in error.absolute_schema_path:  # what it is about was left out
            inner = f"main: {{{whole}}}" if needed else f"FIELD: {{{key}{item}}}"
            return f"write {path[-2]}: {{{inner}}}"
        return f"write {key}{{{whole}}}, a mapping of keys to values"
    if isinstance(found, str) and ("number" in words or "integer" in words):
        return "write a number without quotes or unit, with a point as decimal mark"
    return "write true or false" if "boolean" in words else SEE_SCHEMA


def _model_problem(document: Document, data: Any, error: Any) -> Problem:
    path: tuple[Any, ...] = ()
    part = data
    for step in error["loc"]:  # names of union branches are not steps in the file
        listed = isinstance(part, list) and isinstance(step, int) and step < len(part)
        if listed or (isinstance(part, dict) and step in part):
            part, path = part[step], (*path, step)
    if error["type"] == "finite_number":
        message = f"found {shown(part, path)}{shown_path(path)}, but a number was expected"
        return _place(document, path, document.mark(path), message, "write a number, or a text in quotes")
    message, _, mend = error["msg"].removeprefix("Value error, ").partition(" -- ")
    whole = isinstance(part, (dict, list))  # a single value has nothing inside to search
    mark = _culprit(document, path, message) if whole else document.mark(path)
    return _place(document, path, mark, f"{message}{shown_path(path)}", mend or SEE_SCHEMA)


def _culprit(document: Document, path: tuple[Any, ...], message: str) -> Mark:
    """Return the mark of the last thing under a path that a message names, or of the path itself."""
    named = set(re.findall(r"'([^']*)'", message))
    under = [
        mark for steps, mark in document.marks.items() if steps[: len(path)] == path and mark.raw in named
    ]
    return under[-1] if under else document.mark(path)


def _lists(data: Any) -> Any:
    """Return the data with tuples as lists, as jsonschema requires."""
    if isinstance(data, dict):
        return {key: _lists(value) for key, value in data.items()}
    return [_lists(value) for value in data] if isinstance(data, tuple) else data
