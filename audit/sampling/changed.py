"""Which nodes are not as they were when a baseline was sealed: by the plan, or by change records.

What has changed is visited for that reason: a fresh change is where a fresh fault is (common practice).
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence

from audit.model.baseline import Content, SealedDevice
from audit.model.drift import ReadChange
from audit.model.site import Block
from audit.phrases import listed
from audit.reading.identifiers import spelling
from audit.sampling.by_chance import Unit
from audit.sampling.nodes import placed_units
from audit.texts import texts_of

MOST_SETTINGS = 4
"""Settings named in a reason."""


def since_baseline(blocks: Sequence[Block], content: Content) -> dict[Unit, str]:
    """Return the nodes that were not planned when a baseline was sealed, or not as they are now.

    Access codes are in no baseline, so they are not compared.
    """
    planned = {id(block): texts_of(block, "planned") for block in blocks}
    reasons = {}
    for block, i, unit in placed_units(blocks):
        then = content.devices.get(unit.network, {}).get(unit.node)
        what = _unlike(block, i, planned[id(block)], then) if then else ["it was not there"]
        if what:
            told = listed(what, MOST_SETTINGS)
            reasons[unit] = f"changed since the baseline of {content.sealed_on}: {told}"
    return reasons


def _unlike(block: Block, i: int, planned: Mapping[str, Sequence[str]], then: SealedDevice) -> list[str]:
    """Return what is planned otherwise than it was."""
    what = []
    if then.type != block.type.name:
        what.append("device type")
    if block.serials[i] and then.serial and spelling(block.serials[i]) != spelling(then.serial):
        what.append("serial number")
    # What was read as planned stands there once, under what was read.
    was = {**then.settings, **then.planned}
    return what + [name for name, texts in planned.items() if texts[i] and texts[i] != was.get(name, "")]


def by_records(
    blocks: Sequence[Block], changes: Sequence[ReadChange], since: datetime.date | None
) -> tuple[dict[Unit, list[str]], list[ReadChange]]:
    """Return the nodes that change records name, and the records that name no device of the plan.

    `since` is the day of a baseline: a record of that day or later counts, one before it does not.
    """
    gateways = {tag for block in blocks if block.gateway for tag in block.tags}  # which are read anyway
    units = [unit for _, _, unit in placed_units(blocks)]
    reasons: dict[Unit, list[str]] = {}
    lost = []
    for read in changes:
        change = read.change
        if since and change.date < since:
            continue
        named, told = list(_named(read, units)), f"changed on {change.date}, {change.id}"
        if not named and change.what in ("move", "retag"):
            named, told = list(_as_before(read, units)), f"{told}, and the plan has it as before"
        for unit in named:
            reasons.setdefault(unit, []).append(told)
        if not named and change.what != "removed" and change.node not in gateways:
            lost.append(read)
    return reasons, lost


def _named(read: ReadChange, units: Sequence[Unit]) -> Iterator[Unit]:
    """Yield the nodes that a record is about; one that was moved or got another tag as it is now."""
    change = read.change
    network = read.after if change.what == "move" else change.network
    tag = read.after if change.what == "retag" else change.node
    return _of(units, network, tag)


def _as_before(read: ReadChange, units: Sequence[Unit]) -> Iterator[Unit]:
    """Yield the nodes that were moved or got another tag, and that the plan has as they were."""
    change = read.change
    moved_from = read.before if change.what == "move" else ""
    return _of(units, moved_from or change.network, change.node)


def _of(units: Sequence[Unit], network: str, tag: str) -> Iterator[Unit]:
    """Yield the nodes of a network and tag; blank: of any."""
    for unit in units:
        if (not network or unit.network == network) and (not tag or unit.node == tag):
            yield unit
