"""What all reports say about evidence: inventory, access, changes, exceptions, closure, reproduction."""

from __future__ import annotations

from collections.abc import Mapping

from audit.model.evidence import Closed, Evidence, InventoryLine
from audit.model.result import Result
from audit.phrases import counted
from audit.reporting.words import words_of

INVENTORY_HEADS = ("device type", "devices", "read", "serial read", "firmware as read")
EXCEPTION_HEADS = (
    "waiver",
    "state",
    "rule",
    "node",
    "owner",
    "approver",
    "issued",
    "expires",
    "compensating measure",
)


def inventory_rows(evidence: Evidence) -> list[list[str]]:
    """Return the inventory, a row for each device type."""
    return [
        [line.type, f"{line.devices:,}", f"{line.read:,}", f"{line.serials_read:,}",
         _counted(line.firmware | _unread(line)) or "none to read"]
        for line in evidence.inventory
    ]  # fmt: skip


def _unread(line: InventoryLine) -> dict[str, int]:
    return {"not read": line.firmware_not_read} if line.firmware_not_read else {}


def _counted(values: Mapping[str, int]) -> str:
    return ", ".join(f"{value} ({count:,})" for value, count in values.items())


def control_heads(result: Result) -> list[str]:
    """Return the headings for the settings that keep people out: as planned, or as in the baseline."""
    words = words_of(result)
    return ["setting", "devices", "as read", words.alike, "different", "not read", words.none]


def control_rows(evidence: Evidence) -> list[list[str]]:
    """Return the settings that keep people out, a row each."""
    return [
        [line.what, f"{line.devices:,}", _counted(line.found),
         *(f"{n:,}" for n in (line.as_planned, line.otherwise, line.not_read, line.not_planned))]
        for line in evidence.controls
    ]  # fmt: skip


def codes(evidence: Evidence) -> list[str]:
    """Return what is known of the factory access codes, a sentence each."""
    trials = evidence.codes
    if trials is None:
        return ["No device type records whether the factory access code was refused."]
    devices = counted(trials.devices, "device")
    counts = (
        f"Factory access code: refused by {trials.refused:,} of {devices}, accepted by "
        f"{trials.accepted:,}, not tried on {trials.not_tried:,}, not read on {trials.not_read:,}. "
        "Not tried is not verified."
    )
    by = f"Tried by: {'; '.join(trials.by)}." if trials.by else "No trial is recorded."
    said = [counts, by]
    if trials.cannot_show:
        devices = counted(trials.cannot_show, "device")
        said.append(f"Nothing shows it at {devices} more, of types without a setting for it.")
    if trials.disproved:
        devices = counted(trials.disproved, "device")
        doubt = "whose code is the factory code: the other answers are in doubt."
        said.append(f"Reported as refused by {devices} {doubt}")
    return said


def exception_rows(result: Result) -> list[list[str]]:
    """Return the waivers, a row each."""
    return [
        [w.id, w.state, w.rule, w.node, w.owner, w.approver, w.issued, w.expires,
         w.compensating_measure or "none"]
        for w in result.waivers
    ]  # fmt: skip


def closed(result: Result, evidence: Evidence) -> list[str]:
    """Return the findings that are not reported again, each with the reading that shows it."""
    if result.since and result.since.note:
        return [f"Earlier result: {result.since.note}. Nothing in it counts as closed."]
    if evidence.closed is None:
        return ["No earlier result was given (`--since`), so it is not known what was closed."]
    return [_closed(one) for one in evidence.closed] or ["No finding of the earlier result is gone."]


def _closed(one: Closed) -> str:
    if one.place is None:
        return f"{one.finding}: not reported again, but no reading shows that it was corrected. Not verified."
    still = " as it was" if one.now == one.was else ""
    now = f"now {one.now}{still}, " if one.now else ""
    return f"{one.finding}: {now}{one.place}"


def reproduction(result: Result, evidence: Evidence) -> str:
    """Return how to make the result again."""
    packs = ", ".join(f"{pack.pack} {pack.version}" for pack in result.packs)
    return (
        f"Made by {result.tool.name} {result.tool.version} with the packs {packs}; the same files (SHA-256 "
        f"below) give the same result with: {evidence.command}"
    )
