"""Which nodes have changed since a baseline, by the plan or by change records, or were wrong in it.

They are visited for that reason: fresh faults come with fresh changes, and nobody has seen the known ones
corrected (common practice).
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
"""Settings, or rules, named in a reason."""
WRONG = "wrong in the baseline"
"""Begins the reason of a node that had errors when the baseline was sealed."""


def since_baseline(blocks: Sequence[Block], content: Content) -> dict[Unit, str]:
    """Return the nodes that were not planned, or planned differently, when a baseline was sealed.

    Baselines hold no access codes, so these are not compared.
    """
    planned = {id(block): texts_of(block, "planned") for block in blocks}
    reasons = {}
    for block, i, unit in placed_units(blocks):
        then = content.devices.get(unit.network, {}).get(unit.node)
        what = _unlike(block, i, planned[id(block)], then) if then else ["it was not there"]
        if what:
            changes = listed(what, MOST_SETTINGS)
            reasons[unit] = f"changed since the baseline of {content.sealed_on}: {changes}"
    return reasons


def wrong_in_baseline(blocks: Sequence[Block], content: Content) -> dict[Unit, str]:
    """Return the nodes that were read for a baseline and had errors then, which no waiver excused."""
    rules: dict[Unit, dict[str, None]] = {}
    for finding in content.findings:
        read = content.devices.get(finding.network, {}).get(finding.node)
        if finding.level == "error" and not finding.waived and read and read.settings:
            rules.setdefault(Unit(finding.network, finding.node), {})[finding.rule] = None
    return {
        unit: f"{WRONG} of {content.sealed_on}: {listed(list(rules[unit]), MOST_SETTINGS)}"
        for _, _, unit in placed_units(blocks)
        if unit in rules
    }


def _unlike(block: Block, i: int, planned: Mapping[str, Sequence[str]], then: SealedDevice) -> list[str]:
    """Return what is planned differently from then."""
    what = []
    if then.type != block.type.name:
        what.append("device type")
    if block.serials[i] and then.serial and spelling(block.serials[i]) != spelling(then.serial):
        what.append("serial number")
    # A value that was read as planned is stored only once, under what was read.
    was = {**then.settings, **then.planned}
    return what + [name for name, texts in planned.items() if texts[i] and texts[i] != was.get(name, "")]


def by_records(
    blocks: Sequence[Block], changes: Sequence[ReadChange], since: datetime.date | None
) -> tuple[dict[Unit, list[str]], list[ReadChange]]:
    """Return the nodes that change records name, and the records that name no device in the plan.

    `since` is the day of a baseline: records of that day or later count, earlier ones do not.
    """
    gateways = {tag for block in blocks if block.gateway for tag in block.tags}  # these are always read
    units = [unit for _, _, unit in placed_units(blocks)]
    reasons: dict[Unit, list[str]] = {}
    lost = []
    for read in changes:
        change = read.change
        if since and change.date < since:
            continue
        named, reason = list(_named(read, units)), f"changed on {change.date}, {change.id}"
        if not named and change.what in ("move", "retag"):
            named, reason = list(_as_before(read, units)), f"{reason}, but the plan has it as before"
        for unit in named:
            reasons.setdefault(unit, []).append(reason)
        if not named and change.what != "removed" and change.node not in gateways:
            lost.append(read)
    return reasons, lost


def _named(read: ReadChange, units: Sequence[Unit]) -> Iterator[Unit]:
    """Yield the nodes that a record is about; for a move or a new tag, by the new network or tag."""
    change = read.change
    network = read.after if change.what == "move" else change.network
    tag = read.after if change.what == "retag" else change.node
    return _of(units, network, tag)


def _as_before(read: ReadChange, units: Sequence[Unit]) -> Iterator[Unit]:
    """Yield the nodes that a record of a move or a new tag is about, by the old network or tag."""
    change = read.change
    moved_from = read.before if change.what == "move" else ""
    return _of(units, moved_from or change.network, change.node)


def _of(units: Sequence[Unit], network: str, tag: str) -> Iterator[Unit]:
    """Yield the nodes with a network and a tag; a blank one matches any."""
    for unit in units:
        if (not network or unit.network == network) and (not tag or unit.node == tag):
            yield unit
