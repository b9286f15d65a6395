"""Results of earlier runs, from their JSON files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from audit import __version__
from audit.errors import InputProblems, Problem, stop
from audit.model.base import level_rank
from audit.model.result import Result
from audit.phrases import counted, listed
from audit.reading.documents import parse_json, plain
from audit.reading.files import FileBytes, decode, read_bytes
from audit.reading.forms import USE_NEWER, newer_form
from audit.reading.own_files import kind_of, wrong_kind
from audit.reading.quoting import cut


def read_result(path: Path) -> tuple[Result, FileBytes]:
    """Return a result and its file. Raises InputProblems if the file is not a result."""
    file = read_bytes(path)
    text = decode(file)
    mend = "give a file written by `asfound check --out result.json`"
    try:
        data = plain(parse_json(text, file.name))
    except InputProblems as error:
        raise InputProblems(
            replace(problem, message=f"is not a result of asfound: it {problem.message}", mend=mend)
            for problem in error.problems
        ) from None
    schema = data.get("schema") if isinstance(data, dict) else None
    if (kind := kind_of(text)) not in ("", "result"):
        raise wrong_kind(kind, "result", file.name, mend)
    if message := newer_form(schema, "result"):
        raise stop(message, USE_NEWER, file=file.name)
    if schema != "asfound/result/1":
        raise stop("is not a result of asfound", mend, file=file.name)
    try:
        result = Result.model_validate(data)
    except ValidationError as error:
        raise InputProblems(_damage(data, error, file)) from None
    if contradiction := _contradiction(result):
        raise stop(f"contradicts itself: {contradiction}", "make the result again", file=file.name)
    return result, file


def _damage(data: Any, error: ValidationError, file: FileBytes) -> Iterator[Problem]:
    """Yield what is said of a result that its model does not accept: another version may have written it."""
    places = sorted({"/" + "/".join(map(str, e["loc"])) for e in error.errors()})
    tool = data.get("tool")
    version = tool.get("version") if isinstance(tool, dict) else None
    if isinstance(version, str) and version != __version__:
        other = f"asfound {cut(version)}"
        message = f"was written by {other}, and this version ({__version__}) cannot read {listed(places, 5)}"
        yield Problem(message, f"use {other}, or make the result again with this version", file.name)
        return
    if all(e["type"] == "extra_forbidden" for e in error.errors()):
        message = f"contains what this version of asfound ({__version__}) does not know: {listed(places, 5)}"
        yield Problem(message, f"{USE_NEWER}, or make the result again with this one", file.name)
        return
    for place in places:
        yield Problem(f"is damaged at {place}", "make the result again", file.name)


def _contradiction(result: Result) -> str:
    """Return how verdict or counts contradict the findings; blank if they do not."""
    told = Counter("waived" if finding.waived else f"{finding.level}s" for finding in result.findings)
    for word in ("errors", "warnings", "notes", "waived"):
        if (said := getattr(result.counts, word)) != told[word]:
            return f"it counts {said:,} {word}, but lists {told[word]:,}"
    least = level_rank(result.gate.fail_on)
    failing = sum(
        finding.waived is None and level_rank(finding.level) <= least for finding in result.findings
    )
    if (result.verdict == "fail") != bool(failing):
        return f"its verdict is {result.verdict}, with {counted(failing, 'finding')} that its gate fails on"
    return ""
