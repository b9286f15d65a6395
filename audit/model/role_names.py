"""Which arguments of a check kind name roles: those declared with one of these two types."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Annotated, Any, get_args, get_type_hints

from audit.model.base import Written

_ROLE, _NUMBER = "role", "role of a number"

RoleName = Annotated[str, _ROLE]
"""The name of a role that a rule looks at."""
NumberRole = Annotated[str, _NUMBER]
"""The name of a role whose settings the rule compares as numbers."""


def roles_named(check: Written) -> Iterator[tuple[tuple[str | int, ...], str, bool]]:
    """Yield every role that a check names: its path in the check, the name, and whether it is a number's."""
    for argument, mark in role_arguments(type(check)).items():
        for steps, name in _texts(getattr(check, argument), (argument,)):
            yield steps, name, mark == _NUMBER


@cache
def role_arguments(kind: type[Written]) -> dict[str, str]:
    """Return the arguments of a check kind that name roles, each with the mark of its type."""
    hints = get_type_hints(kind, include_extras=True)
    return {name: mark for name in kind.model_fields if (mark := _mark(hints[name]))}


def _mark(hint: Any) -> str:
    """Return the mark inside a type, at any depth; empty if there is none."""
    marks = [part for part in getattr(hint, "__metadata__", ()) if part in (_ROLE, _NUMBER)]
    return marks[0] if marks else next(filter(None, map(_mark, get_args(hint))), "")


def _texts(argument: Any, steps: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Yield every text in an argument that is not empty, with its path."""
    if isinstance(argument, str) and argument:
        yield steps, argument
    elif isinstance(argument, tuple):
        for k, part in enumerate(argument):
            yield from _texts(part, (*steps, k))
