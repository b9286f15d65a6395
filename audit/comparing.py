"""Comparing: where found values differ from planned ones, setting by setting.

Whole numbers, options, flags and identifiers are compared exactly. Decimals are the same if they differ by
less than one display step or, after a conversion of units, by at most half a step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress, count
from operator import is_not

from audit.columns import where
from audit.model.device import Setting
from audit.model.site import Block
from audit.model.value import BLANK, Value


@dataclass(frozen=True, slots=True)
class Difference:
    """The result of comparing the planned values of one setting of a block."""

    setting: Setting
    compared: int
    """How many devices have a planned value and a clear reading of it."""
    differing: Sequence[int]
    """Indexes of devices with a different value."""
    unread: Sequence[int]
    """Indexes of devices that have rows in the readback, but no clear value of this setting."""
    planned: int
    """How many devices have a planned value."""
    rounded: Sequence[int] = ()
    """Indexes of devices with another number, which is the same as far as a display or a conversion tells."""


FEW = 4
"""If fewer than one in this many values are not the same object, those are compared one by one."""


def same(one: Value, other: Value, setting: Setting) -> bool:
    """Tell whether two values of a setting, both read, are the same."""
    if one is other:
        return True
    a, b = one.number, other.number
    if a is None or b is None or not setting.numeric:
        return one.content == other.content
    if one.converted or other.converted:
        return abs(a - b) <= setting.display_step / 2
    return abs(a - b) < setting.display_step if setting.kind == "decimal" else a == b


def compare(block: Block, setting: Setting) -> Difference | None:
    """Return the differences of a setting of a block, or None if no value of it is planned."""
    planned = block.planned.get(setting.name)
    if planned is None or setting.kind == "secret":
        return None
    number = len(planned) - planned.count(BLANK)
    found = block.found.get(setting.name)
    if found is None:
        unread = [i for i, value in enumerate(planned) if value is not BLANK and block.rows and block.rows[i]]
        return Difference(setting, 0, (), unread, number)
    differing: list[int] = []
    rounded: list[int] = []
    unread, absent = [], 0
    for i in unlike(planned, found):
        if found[i].read:
            (rounded if same(planned[i], found[i], setting) else differing).append(i)
        elif block.rows[i]:
            unread.append(i)
        else:
            absent += 1
    return Difference(setting, number - len(unread) - absent, differing, unread, number, rounded)


def unlike(planned: Sequence[Value], found: Sequence[Value]) -> list[int]:
    """Return where something is planned but was not read or has not exactly that content."""
    others = list(compress(count(), map(is_not, planned, found)))
    if len(others) * FEW < len(planned):
        return [i for i in others if _is_unlike(planned[i], found[i])]
    return where((planned, found), _is_unlike)


def _is_unlike(planned: Value, found: Value) -> bool:
    if planned is found or planned is BLANK:
        return False
    return not found.read or planned.content != found.content


def compare_all(blocks: Sequence[Block]) -> dict[tuple[int, str], Difference]:
    """Return the differences of every planned setting, by block and setting name."""
    return {
        (b, setting.name): difference
        for b, block in enumerate(blocks) for setting in block.type.settings
        if (difference := compare(block, setting))
    }  # fmt: skip
