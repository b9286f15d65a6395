"""Approved: values that a plan or a rule allows must be values that the setting can have."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.model.base import Scalar
from audit.model.device import Setting
from audit.model.table import Style
from audit.reading.values import parse


def word(value: Scalar) -> str:
    """Return a value from a list as a person would write it: on, not True."""
    return ("on" if value else "off") if isinstance(value, bool) else str(value)


def impossible(setting: Setting, values: Sequence[Scalar]) -> Iterator[tuple[int, str]]:
    """Yield the index of each value that a setting can never have, and why not."""
    for k, value in enumerate(values):
        meaning = parse(word(value), setting, Style())
        if not meaning.read:
            yield k, meaning.note or "a blank is not a value"
        elif setting.options and meaning.content not in setting.options:
            yield k, f"{word(value)!r} is not one of {', '.join(setting.options)}"
