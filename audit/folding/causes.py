"""Which finding is the cause of which."""

from __future__ import annotations

from collections.abc import Mapping

from audit.grouping import grouped

Causes = dict[int, int]
"""Position of a finding → position of its cause."""


def root_of(i: int, causes: Mapping[int, int]) -> int:
    """Return the position of the finding at the end of the chain of causes."""
    while i in causes:
        i = causes[i]
    return i


def dependents(causes: Mapping[int, int]) -> dict[int, list[int]]:
    """Return position of a cause → positions of the findings under it."""
    return grouped((cause, i) for i, cause in causes.items())


def link(causes: Causes, dependent: int, cause: int) -> None:
    """Put a finding under its cause, unless it has one already or that would make a loop."""
    if dependent not in causes and root_of(cause, causes) != dependent:
        causes[dependent] = cause
