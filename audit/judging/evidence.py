"""Evidence: what an auditor asks for in addition to findings, from the site and the result."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from audit.checks.access_code import cannot_show
from audit.checks.context import codes_read, is_factory
from audit.comparing import Difference
from audit.judging.evidence_records import records
from audit.judging.since import rests_on
from audit.model.evidence import Closed, CodeTrials, ControlLine, Evidence, InventoryLine
from audit.model.result import Finding, Result
from audit.model.roles import ROLES
from audit.model.site import Block, Site
from audit.model.value import Value
from audit.phrases import counted, row_or_line
from audit.reading.moments import day_of
from audit.reading.trials import refused
from audit.texts import field_of

CONTROLS = ("local_lock", "service_port", "encryption", "join_window")
"""Roles of settings that keep people out."""
Read = Mapping[tuple[str | None, str | None], tuple[Block, int]]
"""Network and tag → a device that was read, at least in part."""


def with_evidence(result: Result, site: Site, differences: Mapping[tuple[int, str], Difference]) -> Result:
    """Return a result with its evidence."""
    evidence = Evidence(
        inventory=[_inventory(block) for block in _by_type(site)],
        codes=_codes(site),
        controls=[line for role in CONTROLS for line in _control(role, site, differences)],
        records=records(site),
        changes=_changes(result),
        exceptions=_exceptions(result),
        closed=list(_closed(result, site)) if result.since else None,
        command=result.command,
    )
    return result.model_copy(update={"evidence": evidence})


def _by_type(site: Site) -> list[Block]:
    return sorted(site.blocks, key=lambda block: (not block.gateway, block.type.name))


def _inventory(block: Block) -> InventoryLine:
    read = [i for i, rows in enumerate(block.rows) if rows]
    versions: Counter[str] = Counter()
    unread = 0
    for setting in block.settings("firmware"):
        for value in block.values("found", setting.name):
            if value.read:
                versions[value.shown] += 1
            else:
                unread += 1
    return InventoryLine(
        type=block.type.title or block.type.name,
        devices=len(block),
        read=len(read),
        serials_read=sum(bool(field_of(block, i, "serial")) for i in read),
        firmware=dict(sorted(versions.items())),
        firmware_not_read=unread,
    )


def _codes(site: Site) -> CodeTrials | None:
    counts: Counter[str] = Counter()
    days: dict[str, list[str]] = {}
    for block in site.blocks:
        for setting in block.settings("default_refused"):
            for i, value in enumerate(block.values("found", setting.name)):
                answer = _answer(value) if block.rows_read(i) else "not read"
                counts["disproved"] += answer == "refused" and _has_factory_code(block, i)
                counts["accepted" if _has_factory_code(block, i) else answer] += 1
                if answer in ("refused", "accepted"):
                    who = field_of(block, i, "read_by") or "nobody named"
                    day = day_of(field_of(block, i, "read_at"))
                    days.setdefault(who, []).append(day.isoformat() if day else "")
    devices = counts.total() - counts["disproved"]
    if not devices:
        return None
    return CodeTrials(
        devices=devices,
        refused=counts["refused"],
        accepted=counts["accepted"],
        not_tried=counts["not tried"],
        not_read=counts["not read"],
        disproved=counts["disproved"],
        cannot_show=sum(cannot_show(block, i) for block in site.blocks for i in range(len(block))),
        by=[f"{who}: {counted(len(read), 'device')}{_span(read)}" for who, read in sorted(days.items())],
    )


def _has_factory_code(block: Block, i: int) -> bool:
    """Tell whether the code exported from a device is the factory code, whatever a trial showed."""
    return any(is_factory(its, setting) for its, setting in codes_read(block, i))


def _answer(trial: Value) -> str:
    return {True: "refused", False: "accepted", None: "not tried"}[refused(trial)]


def _span(days: Sequence[str]) -> str:
    known = sorted(day for day in days if day)
    if not known:
        return ", no date"
    span = f", {known[0]}" if known[0] == known[-1] else f", {known[0]} to {known[-1]}"
    undated = len(days) - len(known)
    return f"{span}, {undated} without a date" if undated else span


def _control(
    role: str, site: Site, differences: Mapping[tuple[int, str], Difference]
) -> Iterator[ControlLine]:
    """Yield the line for a role, if any device has it."""
    counts, values = Counter[str](), Counter[str]()
    for b, block in enumerate(site.blocks):
        for setting in block.settings(role):
            difference = differences.get((b, setting.name))
            differing = set(difference.differing) if difference else set()
            found, planned = block.values("found", setting.name), block.values("planned", setting.name)
            values.update(value.shown for value in found if value.read)
            for i in range(len(block)):
                if not found[i].read:
                    counts["not read"] += 1
                elif not planned[i].read:
                    counts["not planned"] += 1
                else:
                    counts["otherwise" if i in differing else "as planned"] += 1
    if counts:
        yield ControlLine(
            what=ROLES[role].split(",")[0],
            devices=counts.total(),
            as_planned=counts["as planned"],
            otherwise=counts["otherwise"],
            not_read=counts["not read"],
            not_planned=counts["not planned"],
            found=dict(sorted(values.items())),
        )


def _changes(result: Result) -> str:
    if result.drift is None:
        return "Not compared with a baseline: `asfound drift BASELINE READBACK --changes FILE` shows changes."
    changes = result.drift.changes
    if not changes:
        return (
            f"Compared with the baseline of {result.drift.baseline.sealed_on}; no change records were given."
        )
    counts = _counts(change.state for change in changes)
    return f"Compared with the baseline of {result.drift.baseline.sealed_on}; change records: {counts}."


def _exceptions(result: Result) -> str:
    if not result.waivers:
        return "No waivers were given."
    return f"Waivers: {_counts(waiver.state for waiver in result.waivers)}."


def _counts(states: Iterable[str]) -> str:
    return ", ".join(f"{count:,} {state}" for state, count in sorted(Counter(states).items()))


def _closed(result: Result, site: Site) -> Iterator[Closed]:
    absent = [*result.since.absent, *result.since.not_read_again] if result.since else []
    read: Read = {
        (network, tag): (block, i)
        for block in site.blocks
        for i, (network, tag) in enumerate(zip(block.networks, block.tags, strict=True))
        if block.rows[i]
    }
    for finding in absent:
        if finding.about_a_waiver:  # no reading shows it
            continue
        now, place = _now(finding, read)
        yield Closed(finding=finding.id, message=finding.message, was=finding.found, now=now, place=place)


def _now(finding: Finding, read: Read) -> tuple[str | None, str | None]:
    """Return what was read this time for a finding's setting, and where it is written."""
    block, i = read.get((finding.network, finding.node), (None, 0))
    if block is None:
        return None, None
    name = finding.setting or rests_on(finding) or "tag"
    if finding.setting:
        value = block.value("found", name, i)
        now = value.shown if value.read else ""
    else:
        text = field_of(block, i, name)
        now = f"{name} {text}" if text else ""
    if not now and name != "tag":
        return None, None
    place = block.found_place(i, name)
    where = f"{place.file} {row_or_line(place.file)} {place.row}" + (
        f" column {place.column}" if place.column else ""
    )
    return now or None, where
