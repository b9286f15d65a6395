"""What reports say of evidence alike: inventory, access, changes, exceptions, closure, reproduction."""

from __future__ import annotations

from collections.abc import Mapping

from audit.model.evidence import Closed, Evidence, InventoryLine
from audit.model.result import Result
from audit.reporting.words import words_of

INVENTORY_HEADS = ("device type", "devices", "read", "serial read", "firmware as read")
EXCEPTION_HEADS = ("waiver", "state", "rule", "node", "owner", "approver", "expires", "compensating measure")


def inventory_row(line: InventoryLine) -> list[str]:
    """Return a line of the inventory."""
    unread = {"not read": line.firmware_not_read} if line.firmware_not_read else {}
    return [line.type, f"{line.devices:,}", f"{line.read:,}", f"{line.serials_read:,}",
            _counted(line.firmware | unread) or "none to read"]  # fmt: skip


def _counted(values: Mapping[str, int]) -> str:
    return ", ".join(f"{value} ({count:,})" for value, count in values.items())


def control_heads(result: Result) -> list[str]:
    """Return the heads of the settings that keep people out: as planned, or as in the baseline."""
    words = words_of(result)
    return ["setting", "devices", "as read", words.alike, "otherwise", "not read", words.none]


def control_rows(evidence: Evidence) -> list[list[str]]:
    """Return the settings that keep people out, a row each."""
    return [
        [line.what, f"{line.devices:,}", _counted(line.found),
         *(f"{n:,}" for n in (line.as_planned, line.otherwise, line.not_read, line.not_planned))]
        for line in evidence.controls
    ]  # fmt: skip


def codes(evidence: Evidence) -> list[str]:
    """Return what is known of the factory access codes, a sentence each."""
    told = evidence.codes
    if told is None:
        return ["No device type says whether the factory access code was refused."]
    said = (
        f"Factory access code: refused at {told.refused:,} of {told.devices:,} devices, accepted at "
        f"{told.accepted:,}, not tried at {told.not_tried:,}, not read {told.not_read:,}. "
        "Not tried is not verified."
    )
    by = f"Tried by: {'; '.join(told.by)}." if told.by else "Nobody has tried."
    if not told.disproved:
        return [said, by]
    where = "1 device" if told.disproved == 1 else f"{told.disproved:,} devices"
    return [
        said,
        by,
        f"Said to be refused at {where} whose code is the factory's: the other answers are in doubt.",
    ]


def exception_rows(result: Result) -> list[list[str]]:
    """Return the waivers, a row each."""
    return [
        [w.id, w.state, w.rule, w.node, w.owner, w.approver, w.expires, w.compensating_measure or "none"]
        for w in result.waivers
    ]


def closed(result: Result, evidence: Evidence) -> list[str]:
    """Return the findings that are not told again, each with what shows it."""
    if result.since and result.since.note:
        return [f"Of the earlier result: {result.since.note}. Nothing of it counts as closed."]
    if evidence.closed is None:
        return ["No earlier result was given (`--since`), so nothing is known of what was closed."]
    return [_closed(one) for one in evidence.closed] or ["No finding of the earlier result is gone."]


def _closed(one: Closed) -> str:
    if one.place is None:
        return f"{one.finding}: not told again, and nothing that was read shows it mended. Not verified."
    now = f"now {one.now}, " if one.now else ""
    return f"{one.finding}: {now}{one.place}"


def reproduction(result: Result, evidence: Evidence) -> str:
    """Return how the result is made again."""
    packs = ", ".join(f"{pack.pack} {pack.version}" for pack in result.packs)
    return (
        f"Made by {result.tool.name} {result.tool.version} with the packs {packs}; the same files, by their "
        f"SHA-256 below, give the same result by: {evidence.command}"
    )
