"""Aligning: the plan's devices beside those of a baseline, as the third side of a comparison."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from audit.columns import where
from audit.comparing import same
from audit.model.device import Setting
from audit.model.site import Block, Target, every_device
from audit.model.table import NOWHERE, Place, Style
from audit.model.value import BLANK, Value, Values
from audit.pairing.readback_rows import unique_index
from audit.reading.identifiers import spelling
from audit.reading.meanings import Meanings
from audit.texts import canonical_text, field_of

NameField = Literal["serials", "tags", "networks"]
"""Which of a device's names: the list of a block that has it."""


@dataclass(frozen=True, slots=True)
class Aligned:
    """A plan beside the blocks of a baseline."""

    plan: Sequence[Block]
    of: Mapping[Target, Target]
    """Device of the baseline → the plan's device with the same network and tag, or else serial number.

    A device found under a new tag is first of all the plan's device with that tag and the number found there.
    """
    columns: Mapping[tuple[int, str], Values]
    """Block and setting → what the plan says now, for each device of the baseline's block."""
    new: Sequence[Target]
    """Devices of the plan that are not in the baseline."""

    def place(self, b: int, i: int, name: str) -> Place:
        """Return the place of the plan with a setting of a device of the baseline."""
        target = self.of.get((b, i))
        return self.plan[target[0]].planned_place(target[1], name) if target else NOWHERE

    def name(self, field: NameField, b: int, i: int) -> str:
        """Return a name that the plan gives to a device of the baseline; empty where it does not have it."""
        target = self.of.get((b, i))
        return str(getattr(self.plan[target[0]], field)[target[1]]) if target else ""


def align(blocks: Sequence[Block], plan: Sequence[Block], meanings: Meanings) -> Aligned:
    """Return the plan's values in the order of the baseline's blocks, in the baseline's units."""
    of = _pairs(blocks, plan)
    taken = set(of.values())
    columns = {
        (b, setting.name): _column(b, len(block), setting, plan, of, meanings)
        for b, block in enumerate(blocks) for setting in block.type.settings if setting.kind != "secret"
    }  # fmt: skip
    return Aligned(plan, of, columns, [target for target in every_device(plan) if target not in taken])


def _pairs(blocks: Sequence[Block], plan: Sequence[Block]) -> dict[Target, Target]:
    here, everyone = every_device(blocks), every_device(plan)
    by_place = {(plan[p].networks[k], plan[p].tags[k]): (p, k) for p, k in everyone}
    of = _under_new_tags(blocks, plan, by_place, here)
    taken = set(of.values())
    for b, i in here:
        found = by_place.get((blocks[b].networks[i], blocks[b].tags[i]))
        if found and (b, i) not in of and found not in taken:
            of[b, i] = found
    if len(of) == len(here):
        return of
    free = set(everyone) - set(of.values())
    left = [target for target in here if target not in of]
    for field in ("serials", "tags"):
        theirs = unique_index([(getattr(plan[p], field)[k], (p, k)) for p, k in sorted(free)])
        ours = unique_index([(getattr(blocks[b], field)[i], (b, i)) for b, i in left])
        found_now = {ours[name]: theirs[name] for name in ours.keys() & theirs.keys()}
        of |= found_now
        free -= set(found_now.values())
        left = [target for target in left if target not in of]
    return of


def _under_new_tags(
    blocks: Sequence[Block],
    plan: Sequence[Block],
    by_place: Mapping[tuple[str, str], Target],
    here: Sequence[Target],
) -> dict[Target, Target]:
    """Return the devices that were found with a tag and a serial number that the plan now has together.

    Only where the plan has another serial number, or no device, in their old place: tags were exchanged, or
    used again, or the unit was exchanged and got another tag.
    """
    elsewhere: list[Target] = []
    for b, i in here:
        p, k = by_place.get((blocks[b].networks[i], blocks[b].tags[i]), (-1, 0))
        if p < 0 or plan[p].serials[k] != blocks[b].serials[i]:
            elsewhere.append((b, i))
    if not elsewhere:
        return {}
    theirs = unique_index([(spelling(plan[p].serials[k]), (p, k)) for p, k in every_device(plan)])
    of: dict[Target, Target] = {}
    for b, i in elsewhere:
        serial, tag = (spelling(field_of(blocks[b], i, name)) for name in ("serial", "tag"))
        found = theirs.get(serial)
        if found and tag == spelling(plan[found[0]].tags[found[1]]):
            of[b, i] = found
    return of


def _column(
    b: int,
    length: int,
    setting: Setting,
    plan: Sequence[Block],
    of: Mapping[Target, Target],
    meanings: Meanings,
) -> Values:
    """Return a setting's planned values, parsed again as values of the baseline's own setting."""
    memos: dict[int, dict[Value, Value]] = {}
    for p, block in enumerate(plan):
        its, column = block.type.setting(setting.name), block.planned.get(setting.name)
        if its is not None and column is not None and its.kind != "secret":
            memos[p] = _translated(column, its, setting, meanings)
    values: list[Value] = [BLANK] * length
    for i in range(length) if memos else ():
        target = of.get((b, i))
        if target and target[0] in memos:
            p, k = target
            values[i] = memos[p][plan[p].planned[setting.name][k]]
    return Values(values, {BLANK}.union(*(memo.values() for memo in memos.values())))


def _translated(column: Values, its: Setting, setting: Setting, meanings: Meanings) -> dict[Value, Value]:
    """Return value of the plan → the same as a value of the baseline's setting, with its unit converted."""
    style = Style(unit=its.unit) if its.unit != setting.unit else Style()
    texts = {value: canonical_text(value, its) for value in column.among}
    memo = meanings.memo(setting, style)
    return {value: memo[text] for value, text in texts.items()}


def unlike(one: Values, other: Values, setting: Setting) -> list[int]:
    """Return the positions at which two columns both hold values that are not the same."""
    return where((one, other), lambda a, b: a is not b and a.read and b.read and not same(a, b, setting))
