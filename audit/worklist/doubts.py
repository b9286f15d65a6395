"""Doubts: which readings are not yet certain, and which settings may be changed in spite of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import replace

from audit.audited import Audited
from audit.checking import Found
from audit.checks.disagreeing import perhaps_as_planned
from audit.folding.undated import ASPECTS
from audit.grouping import grouped
from audit.model.site import Block
from audit.pairing.stating import measured_in
from audit.worklist.devices import Named


def wanted(audited: Audited, unclear: frozenset[Named]) -> dict[Named, list[int]]:
    """Return device and setting → the findings that no waiver excuses, and that ask for it to be changed.

    No setting is changed to the planned value while the plan itself has to be corrected first, nor while it
    is uncertain what was read. One that a waiver accepts stays, whatever it breaks together with another.
    """
    items, waived = audited.waiving.items, audited.waiving.waived
    found: dict[Named, list[int]] = defaultdict(list)
    doubtful = unclear | {
        (items[n].hit.order, name)
        for n, cause in audited.causes.items()
        if cause not in waived and (
            _is_not_known(items[cause])
            or (items[cause].hit.side == "planned" and items[n].rule.check.kind == "equals-plan")
        )
        for name in items[n].hit.settings
    }  # fmt: skip
    or_accepted = doubtful | {
        (items[n].hit.order, name)
        for n in waived if items[n].rule.check.kind == "equals-plan"
        for name in items[n].hit.settings
    }  # fmt: skip
    for n, item in enumerate(items):
        cause = audited.causes.get(n, n)
        left = or_accepted if len(item.hit.settings) > 1 else doubtful
        excused = n in waived or cause in waived or items[cause].hit.side == "planned"
        if not excused and item.hit.side == "found" and item.hit.order[0] < len(audited.site.blocks):
            for name in item.hit.settings if item.hit.node else ():
                if (item.hit.order, name) not in left:
                    found[item.hit.order, name].append(n)
    return dict(found)


def never_shown(audited: Audited) -> frozenset[Named]:
    """Return the devices and settings whose reading is nothing that the device's display can show.

    Until it is read again nobody knows what to change, or what to set it back to. A waiver means that the
    display does show it.
    """
    blocks, waived = audited.site.blocks, audited.waiving.waived
    return frozenset(
        (item.hit.order, name)
        for n, item in enumerate(audited.waiving.items)
        if n not in waived and item.hit.side == "found" and item.hit.order[0] < len(blocks)
        for name in item.hit.settings if item.hit.node
        if _beyond_limits(item) or _of_another_length(blocks[item.hit.order[0]], item.hit.order[1], name)
    )  # fmt: skip


def of_unknown_unit(audited: Audited, odd: Collection[Named]) -> frozenset[Named]:
    """Return the devices and settings of numbers whose unit was not read clearly, or is among the `odd`.

    They may be right in that unit, so they are read again together with it.
    """
    return frozenset(
        ((b, i), setting.name)
        for b, block in enumerate(audited.site.blocks)
        for selector in block.settings("unit") if selector.name in block.planned
        for i, value in enumerate(block.found.get(selector.name, ()))
        if value.state == "unclear" or ((b, i), selector.name) in odd
        for setting in measured_in(block, selector, i) if block.found[setting.name][i].read
    )  # fmt: skip


def in_doubt(audited: Audited) -> frozenset[Named]:
    """Return the devices and settings whose readings disagree, if the newer one may be as planned.

    Those on which a whole file disagrees wait until the file is settled.
    """
    items, waived = audited.waiving.items, audited.waiving.waived
    return frozenset(
        (item.hit.order, name)
        for n, item in enumerate(items)
        if n not in waived and item.asks("evidence", *ASPECTS)
        if (cause := audited.causes.get(n)) is None or cause in waived or not _is_not_known(items[cause])
        for name in item.hit.settings
        if perhaps_as_planned(audited.site.blocks[item.hit.order[0]], item.hit.order[1], name)
    )


def as_unread(audited: Audited, named: Collection[Named]) -> Audited:
    """Return the same site with some settings counting as unclear."""
    blocks = list(audited.site.blocks)
    of_column = grouped(((b, name), i) for (b, i), name in named)
    for (b, name), devices_of in of_column.items():
        column = blocks[b].found[name]
        unread = {i: replace(column[i], content=None, state="unclear") for i in devices_of}
        blocks[b] = replace(blocks[b], found={**blocks[b].found, name: column.changed(unread)})
    return replace(audited, site=replace(audited.site, blocks=blocks))


def _beyond_limits(item: Found) -> bool:
    check = item.rule.check
    return check.kind == "within-limits" and check.limits == "device"


def _of_another_length(block: Block, i: int, name: str) -> bool:
    """Return whether a text is too long or too short for its field, which the planned one fills."""
    setting = block.type.setting(name)
    found, planned = (block.value(side, name, i) for side in ("found", "planned"))
    full = setting is not None and setting.kind == "text" and setting.digits == len(planned.shown)
    return full and found.read and len(found.shown) != len(planned.shown)


def is_remark(item: Found) -> bool:
    """Return whether a finding is about rows that have no reading and name no device."""
    return item.asks("identity", "no-reading")


def _is_not_known(cause: Found) -> bool:
    """Return whether a cause leaves open what was read: how a file is meant, its site, or which is newer."""
    return cause.folds("unclear-alike", "undated", "another-site")
