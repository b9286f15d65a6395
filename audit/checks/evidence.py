"""evidence: the readback is worth something: read in place, by another person, from the right plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from audit.checks.context import Context
from audit.comparing import same
from audit.merging import moment
from audit.model.arguments import Evidence
from audit.model.finding import Hit, Outcome
from audit.model.site import Block
from audit.model.table import Place, Table
from audit.model.value import BLANK
from audit.reading.meanings import Meanings
from audit.reading.values import bare

FEWEST_FOR_COPY = 5
"""Fewest planned settings of a network for 'every raw text is the plan's' to say anything. Judgement."""


def run(context: Context, args: Evidence) -> Outcome:
    """Return the hits of one aspect of evidence."""
    return ASPECTS[args.what](context) if context.site.readback else Outcome(0, [])


def _rows(context: Context) -> Iterator[tuple[int, Block, int, Table, int]]:
    for b, block in enumerate(context.site.blocks):
        for i, rows in enumerate(block.rows):
            for table, entry in rows:
                yield b, block, i, table, entry


def _by_network(
    found: dict[str, list[tuple[Block, int, int, Place]]], message: Callable[[int], str]
) -> list[Hit]:
    """Return one hit a network for something that concerns many of its devices alike."""
    hits = []
    for network, devices in found.items():
        block, b, i, place = devices[0]
        tags = list(dict.fromkeys(x.tags[j] for x, _, j, _ in devices))
        raw = place.raw
        hits.append(Hit(network, tags[0], (), message(len(tags)).format(raw=raw), found=raw, places=(place,),
                        others=tuple(tags[1:]), order=(b, i)))  # fmt: skip
    return hits


def _self_checked(context: Context) -> Outcome:
    looked_at = 0
    found: dict[str, list[tuple[Block, int, int, Place]]] = {}
    for b, block, i, table, entry in _rows(context):
        by, reader = bare(table.texts("configured_by")[entry]), bare(table.texts("read_by")[entry])
        if by and reader:
            looked_at += 1
            if by.casefold() == reader.casefold():
                found.setdefault(block.networks[i], []).append((block, b, i, table.place(entry, "read_by")))
    return Outcome(
        looked_at,
        _by_network(found, lambda n: f"{_devices(n)} set and read back by the same person"),
    )


def _devices(n: int) -> str:
    return "1 device was" if n == 1 else f"{n} devices were"


def _stale_revision(context: Context) -> Outcome:
    looked_at = 0
    current = context.site.plan.site.revision
    found: dict[str, list[tuple[Block, int, int, Place]]] = {}
    for b, block, i, table, entry in _rows(context):
        cited = bare(table.texts("plan_revision")[entry])
        if cited and current:
            looked_at += 1
            if cited.casefold() != current.casefold():
                found.setdefault(block.networks[i], []).append(
                    (block, b, i, table.place(entry, "plan_revision"))
                )
    return Outcome(
        looked_at,
        _by_network(
            found,
            lambda n: f"{_devices(n)} read against revision {{raw}} of the plan, which is at {current}",
        ),
    )


def _disagree(context: Context) -> Outcome:
    """Find settings that two readings of a device give differently, where no time says which is newer."""
    looked_at, hits = 0, []
    meanings = Meanings()
    for b, block in enumerate(context.site.blocks):
        for i, rows in enumerate(block.rows):
            if len(rows) < 2:
                continue
            for setting in block.type.settings:
                having = [(t, e) for t, e in rows if setting.name in t.columns]
                if len(having) < 2 or setting.kind == "secret":
                    continue
                values = []
                for table, entry in having:
                    column = table.columns[setting.name]
                    text = column.texts[entry]
                    value = meanings.memo([text], setting, column.style)[text]
                    if value is not BLANK:
                        values.append((value, table.place(entry, setting.name), _time(table, entry)))
                looked_at += len(values) > 1
                if len(values) < 2:
                    continue
                (older, old_place, t1), (newer, new_place, t2) = values[-2:]
                if t1 == t2 and not (older.read and newer.read and same(older, newer, setting)):
                    message = f"two readings without times to order them give {setting.name} as {older.shown} and {newer.shown}; the later row counts"
                    hits.append(Hit(block.networks[i], block.tags[i], (setting.name,), message,
                                    planned=block.value("planned", setting.name, i).shown, found=newer.shown,
                                    places=(new_place, old_place), order=(b, i)))  # fmt: skip
    return Outcome(looked_at, hits)


def _time(table: Table, entry: int) -> object:
    return moment(table.texts("read_at")[entry])


def _before_installation(context: Context) -> Outcome:
    looked_at, hits = 0, []
    for b, block, i, table, entry in _rows(context):
        read, installed = _time(table, entry), moment(block.installed[i])
        if read and installed:
            looked_at += 1
            if read.date() < installed.date():  # type: ignore[attr-defined]
                message = f"read on {read:%Y-%m-%d}, installed on {installed:%Y-%m-%d}"
                hits.append(Hit(block.networks[i], block.tags[i], (), message, planned=block.installed[i],
                                found=table.texts("read_at")[entry], order=(b, i),
                                places=(table.place(entry, "read_at"), block.planned_place(i, "installed_on"))))  # fmt: skip
    return Outcome(looked_at, hits)


def _looks_copied(context: Context) -> Outcome:
    """Find networks of which every raw text read is, to the letter, the plan's own.

    Observed values (readings) have no plan and are not compared. Numbers that a person reads off a
    display seldom agree with the plan's spelling throughout where the plan pads or trims zeros.
    """
    looked_at = 0
    found: dict[str, list[tuple[Block, int, int, Place]]] = {}
    spelled: dict[str, int] = {}
    differs: set[str] = set()
    for b, block in enumerate(context.site.blocks):
        names = [s.name for s in block.type.settings if s.name in block.planned and s.name in block.found]
        for i, rows in enumerate(block.rows):
            network = block.networks[i]
            if not rows or network in differs or block.gateway:
                continue
            looked_at += 1
            for name in names:
                planned, read = block.planned_place(i, name), block.found_place(i, name)
                if not planned.raw or not read.raw:
                    continue
                if planned.raw != read.raw:
                    differs.add(network)
                    break
                spelled[network] = spelled.get(network, 0) + _needs_care(read.raw)
            found.setdefault(network, []).append(
                (block, b, i, block.found_place(i, names[0] if names else "tag"))
            )
    alike = {
        n: d
        for n, d in found.items()
        if n not in differs and spelled.get(n, 0) >= FEWEST_FOR_COPY and len(d) > 1
    }
    hits = _by_network(
        alike,
        lambda n: f"every text read on {n} nodes is the plan's to the letter, padding and spelling included",
    )
    return Outcome(
        looked_at,
        [
            Hit(h.network, h.node, (), h.message, places=h.places, others=h.others, order=h.order)
            for h in hits
        ],
    )


def _needs_care(raw: str) -> bool:
    """Tell whether a text has a spelling of its own: padding, trailing zeros, a unit, stray blanks."""
    text = raw.strip()
    number = text.replace(".", "", 1).replace("-", "", 1)
    padded = number.isdigit() and (
        (len(text) > 1 and text[0] == "0" and text[1:2] != ".") or ("." in text and text.endswith("0"))
    )
    return padded or raw != text or ("  " in text)


ASPECTS: dict[str, Callable[[Context], Outcome]] = {
    "looks-copied": _looks_copied,
    "self-checked": _self_checked,
    "stale-revision": _stale_revision,
    "readings-disagree": _disagree,
    "before-installation": _before_installation,
}
