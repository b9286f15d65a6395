"""Results of earlier runs, from their JSON files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from pydantic import ValidationError

from audit.errors import InputProblems, Problem, stop
from audit.model.result import Result
from audit.reading.documents import parse_json, plain
from audit.reading.files import FileBytes, decode, read_bytes
from audit.reading.own_files import is_another, kind_of


def read_result(path: Path) -> tuple[Result, FileBytes]:
    """Return a result and its file. Raises InputProblems where it is none."""
    file = read_bytes(path)
    text = decode(file)
    mend = "give a file that `asfound check --out result.json` has written"
    try:
        data = plain(parse_json(text, file.name))
    except InputProblems as error:
        problems = (
            replace(p, message=f"is no result of asfound: it {p.message}", mend=mend) for p in error.problems
        )
        raise InputProblems(problems) from None
    schema = data.get("schema") if isinstance(data, dict) else None
    if (kind := kind_of(text)) not in ("", "result"):
        raise is_another(kind, "result", file.name, mend)
    if schema != "asfound/result/1":
        raise stop("is no result of asfound in a form that this version knows", mend, file=file.name)
    try:
        return Result.model_validate(data), file
    except ValidationError as error:
        places = sorted({"/" + "/".join(map(str, e["loc"])) for e in error.errors()})
        raise InputProblems(
            Problem(f"is damaged at {place}", "make the result anew", file.name) for place in places
        ) from None
