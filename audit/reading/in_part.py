"""A file of which single values are wrong, read without them: what else is wrong is told in the same run."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Set
from dataclasses import replace
from typing import Any

from audit.errors import InputProblems, Problem, near
from audit.reading.documents import ModelType, build
from audit.reading.marks import Document, Path


def build_in_part(
    document: Document, model: type[ModelType], schema: str, needed: Collection[str], whole: Set[str]
) -> tuple[ModelType, list[Problem]]:
    """Return the model of a document, if need be without what is wrong with it, and what that is.

    Nothing is left out that may have been meant for a key that is `needed` to make sense of the rest, and
    nothing within a key that makes sense only as a `whole`: all that hangs on it would seem wrong as well.
    Raises InputProblems where the file has no model without it.
    """
    try:
        return build(document, model, schema), []
    except InputProblems as error:
        paths = _paths(document, error.problems)
        if any(near(str(step), needed) or not whole.isdisjoint(within) for *within, step in paths):
            raise
        try:
            rest = replace(document, data=_without(document.data, paths, ()), twice=())
            return build(rest, model, schema), list(error.problems)
        except InputProblems:
            raise error from None


def _paths(document: Document, problems: Iterable[Problem]) -> set[Path]:
    """Return the path of each problem: of several values that begin at its place, the innermost."""
    marks = sorted([*document.marks.items(), *document.keys.items()], key=lambda item: len(item[0]))
    at = {(mark.line, str(mark.column)): path for path, mark in marks}
    return {at[place] for one in problems if at.get(place := (one.line, one.column))}


def _without(data: Any, paths: Collection[Path], here: Path) -> Any:
    """Return the data without these values; items of lists stay, since others would move to their places."""
    if isinstance(data, dict):
        return {key: _without(value, paths, (*here, key)) for key, value in data.items()
                if (*here, key) not in paths}  # fmt: skip
    if isinstance(data, list):
        return [_without(value, paths, (*here, i)) for i, value in enumerate(data)]
    return data
