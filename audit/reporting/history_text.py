"""The history of a site as text, for a person at a terminal: what matters first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TypeVar

from audit.grouping import grouped
from audit.model.history import Creep, DeviceEvent, Flip, History, Reading, Standing
from audit.phrases import counted
from audit.reporting.lines import Lines, table

MOST_CHANGES = 100
"""Changes listed; `--all` and the other formats list every one."""
MOST_NAMES = 4
"""Up to so many devices with the same change or finding are all named."""
Pattern = TypeVar("Pattern", Creep, Flip)
"""A pattern in the course of a setting."""


def render(history: History, width: int = 80, colour: bool = False, everything: bool = False) -> str:
    """Return the history as text of the given width."""
    lines = Lines(width, colour)
    _verdict(lines, history)
    _creeps(lines, history)
    _flips(lines, history)
    _standing(lines, history)
    _events(lines, history)
    _changes(lines, history, None if everything else MOST_CHANGES)
    _gaps(lines, history)
    _baselines(lines, history)
    lines.cautions(history.cautions)
    return lines.text()


def _verdict(lines: Lines, history: History) -> None:
    first, last = history.baselines[0], history.baselines[-1]
    span = first.sealed_on if first is last else f"{first.sealed_on} to {last.sealed_on}"
    lines.add(f"HISTORY  {history.site}", "head")
    lines.add(f"{counted(len(history.baselines), 'baseline')}, {span}")
    if history.doubts:
        lines.add("The chain of the baselines cannot be trusted:", "bad")
        for doubt in history.doubts:
            lines.add(f"- {doubt}", "bad", indent=2, hang=2)
    lines.add()
    still = sum(one.gone_by is None for one in history.standing)
    alone = sum(not change.with_gateway for change in history.changes)
    led = len(history.changes) - alone
    with_it = f", {led:,} more with their gateway" if led else ""
    lines.add(f"{counted(len(history.creeps), 'setting')} crept, {len(history.flips):,} went back and forth; "
              f"{counted(still, 'finding')} still open", indent=2)  # fmt: skip
    several = len({(event.network, event.node) for event in history.events})
    lines.add(f"{counted(alone, 'change')}{with_it}; devices that came, went, moved, or were renamed or "
              f"exchanged: {several:,}", indent=2)  # fmt: skip


def course(values: Sequence[Reading], unit: str | None) -> str:
    """Return values in order, each with the baseline that first has it."""
    steps = ", ".join(f"{reading.value} ({reading.sealed_on})" for reading in values)
    return f"{steps}, in {unit}" if unit else steps


def _creeps(lines: Lines, history: History) -> None:
    if not history.creeps:
        return
    lines.head("CREPT: moved the same way at least twice running, alarms first")
    for creep, nodes in alike(history.creeps):
        lines.add()
        lines.add(f"{_where(creep, nodes)}: {creep_in_words(creep)}", "warning", indent=2, hang=2)
        lines.add(course(creep.values, creep.unit), indent=4, hang=2)
    lines.add()
    lines.add(
        "Ask who allowed each move. If nobody did, decide under a change record which value is right, "
        "set it, test the alarm, re-read and record.",
        indent=2,
    )


def creep_in_words(creep: Creep) -> str:
    """Return in words how far a setting crept."""
    unit = f" {creep.unit}" if creep.unit else ""
    part = "" if creep.percent_of_range is None else f", {creep.percent_of_range:g} % of the range"
    kind = "alarm, " if creep.alarm else ""
    end = "" if creep.still else "; has since moved the other way"
    return f"{kind}{counted(creep.moves, 'move')}, {creep.total}{unit} in all{part}{end}"


def _where(one: Creep | Flip, nodes: Sequence[str]) -> str:
    return f"{one.network} {_names(nodes)}{',' if len(nodes) > 1 else ''} {one.setting}"


def alike(patterns: Sequence[Pattern]) -> list[tuple[Pattern, list[str]]]:
    """Return patterns with their devices: the same pattern on several devices of a network is listed once."""
    groups = grouped((one.model_copy(update={"node": ""}).model_dump_json(), one) for one in patterns)
    return [(group[0], [one.node for one in group]) for group in groups.values()]


def _flips(lines: Lines, history: History) -> None:
    if not history.flips:
        return
    lines.head("BACK AND FORTH: returned to an earlier value")
    for flip, nodes in alike(history.flips):
        lines.add(f"{_where(flip, nodes)}: {course(flip.values, flip.unit)}",
                  "warning", indent=2, hang=4)  # fmt: skip


def _standing(lines: Lines, history: History) -> None:
    if not history.standing:
        return
    lines.head("FINDINGS, and how long they were open; those still open first")
    heads = ["days", "since", "gone by", "level", "where", "rule", "setting", "waiver"]
    rows = [
        [f"{one.days:,}", one.since, one.end, one.level,
         " ".join(filter(None, (one.network, _names(nodes)))), one.rule, ", ".join(one.settings),
         one.waived or ""]
        for one, nodes in standing_alike(history.standing)
    ]  # fmt: skip
    lines.block(table(rows, heads, lines.width), 2)


def standing_alike(standing: Sequence[Standing]) -> list[tuple[Standing, list[str]]]:
    """Return findings with their devices: the same finding, open as long, is listed once for a network.

    Two such findings on one device are listed separately, and so are findings about no device.
    """
    groups: dict[tuple[object, ...], tuple[Standing, list[str]]] = {}
    seen: Counter[tuple[object, ...]] = Counter()
    for one in standing:
        alike = (one.rule, one.level, one.network, *one.settings, one.since, one.end, one.waived)
        key = (seen[one.node, alike], bool(one.node), alike)
        seen[one.node, alike] += 1
        _, nodes = groups.setdefault(key, (one, []))
        nodes += [one.node] if one.node else []
    return list(groups.values())


def _events(lines: Lines, history: History) -> None:
    if not history.events:
        return
    lines.head("DEVICES that came, went, moved, or were renamed or exchanged")
    rows = [
        [one.sealed_on, one.network, _names([its.node for its in group]), one.what, before, after]
        for (before, after), group in _events_alike(history.events)
        for one in group[:1]
    ]
    lines.block(table(rows, ["baseline", "network", "node", "what", "before", "after"], lines.width), 2)


def _events_alike(events: Sequence[DeviceEvent]) -> list[tuple[tuple[str, str], list[DeviceEvent]]]:
    """Return events with before and after; for devices that moved together these are the two networks."""
    groups: dict[tuple[str, ...], list[DeviceEvent]] = {}
    for n, one in enumerate(events):
        before, after = one.before or "", one.after or ""
        ends = f" {one.node}"
        together = one.what in ("moved", "renamed") and before.endswith(ends) and after.endswith(ends)
        names = (before.removesuffix(ends), after.removesuffix(ends)) if together else (before, after, str(n))
        groups.setdefault((one.sealed_on, one.what, *names), []).append(one)
    return [
        ((key[2], key[3]) if len(group) > 1 else (group[0].before or "", group[0].after or ""), group)
        for key, group in groups.items()
    ]


def _changes(lines: Lines, history: History, most: int | None) -> None:
    if not history.changes:
        return
    lines.head("CHANGES, by the baseline that first has them")
    shown = [change for change in history.changes if not change.with_gateway]
    alike = grouped(((one.sealed_on, one.network, one.setting, one.before, one.after), one) for one in shown)
    groups = list(alike.values())
    rows = [
        [
            one.sealed_on,
            one.network,
            _names([its.node for its in group]),
            one.setting,
            one.before,
            one.after,
            one.unit or "",
        ]
        for group in groups[:most]
        for one in group[:1]
    ]
    heads = ["baseline", "network", "node", "setting", "before", "after", "unit"]
    lines.block(table(rows, heads, lines.width), 2)
    if most and len(groups) > most:
        lines.add(f"… and {len(groups) - most:,} more. `--all` prints them; `--out history.csv` has them.",
                  indent=2)  # fmt: skip
    led = len(history.changes) - len(shown)
    if led:
        lines.add(f"{counted(led, 'change')} on nodes that followed their gateway: see the other formats.",
                  indent=2)  # fmt: skip


def _gaps(lines: Lines, history: History) -> None:
    gaps = [one for one in history.baselines if one.not_read or one.settings_not_read]
    if not gaps:
        return
    lines.head("NOT READ: what is said about these rests on other baselines")
    for one in gaps:
        names = f"devices: {', '.join(one.not_read)}; " if one.not_read else ""
        lines.add(f"{one.sealed_on}: {names}{counted(one.settings_not_read, 'setting')} on devices "
                  "that were read", indent=2, hang=4)  # fmt: skip


def _baselines(lines: Lines, history: History) -> None:
    lines.head("BASELINES, with the SHA-256 of their content")
    for one in history.baselines:
        revision = f", plan revision {one.plan_revision}" if one.plan_revision else ""
        read = f"{one.devices_read:,} of {counted(one.devices, 'device')} read"
        sealed = f"{one.file}: sealed {one.sealed_on} by {one.signed_by}, {one.verdict.upper()}"
        lines.add(f"{sealed}{revision}; {read}", indent=2, hang=4)
        lines.block(one.sha256, 4)


def _names(nodes: Sequence[str]) -> str:
    if len(nodes) <= MOST_NAMES:
        return ", ".join(nodes)
    return f"{len(nodes):,} devices: {nodes[0]} … {nodes[-1]}"
