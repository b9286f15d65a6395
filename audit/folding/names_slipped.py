"""Columns of serial numbers or tags that have slipped by a row against the rest of their sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from audit.checking import Found
from audit.folding.beside import own_against
from audit.folding.causes import Causes, add_root
from audit.model.asked_of_evidence import Identity, ReadBack
from audit.model.rule import Rule
from audit.model.site import Site, Target


class Named(NamedTuple):
    """A row that names two planned devices."""

    row: int
    position: int
    """Position of the finding that says so."""
    by_tag: bool
    """Whether the row was taken for the device of its tag, since its settings are that one's."""
    tagged: Target
    numbered: Target

    @property
    def told(self) -> Sequence[Target]:
        """The device that the row was taken for, and the other one."""
        return (self.tagged, self.numbered) if self.by_tag else (self.numbered, self.tagged)


def names_slipped(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find rows of a sheet that each have the serial number of the device in the row below, or above.

    Devices at the ends of such a run that were not read go with it: their names have slipped off the sheet.
    """
    unread = {
        item.hit.order: i for i, item in enumerate(items)
        if isinstance(item.rule.check, ReadBack) and item.rule.check.what == "device" and i not in causes
    }  # fmt: skip
    for rows in _in_sheets(site, items, causes):
        for which, run in _runs(rows):
            ends = {run[0].tagged, run[-1].tagged, run[0].numbered, run[-1].numbered}
            ring = run[-1].numbered == run[0].tagged or run[0].numbered == run[-1].tagged
            if len(run) >= at_least and not ring:  # in a ring, units have gone round
                dependents = [one.position for one in run]
                dependents += [unread[device] for device in sorted(ends) if device in unread]
                hits = [items[one.position].hit for one in run]
                tags = [hit.node for hit in hits]
                add_root(items, causes, rule, dependents, hits[0].network, _words(site, run, which), tags, ())


def _in_sheets(site: Site, items: Sequence[Found], causes: Causes) -> Iterator[list[Named]]:
    """Yield the rows of each sheet that name two planned devices, from the top."""
    findings = {
        item.hit.places[0]: i for i, item in enumerate(items)
        if isinstance(item.rule.check, Identity) and item.rule.check.what == "tag-serial-mismatch"
        and i not in causes
    }  # fmt: skip
    everyone = [(b, k) for b, block in enumerate(site.blocks if findings else ()) for k in range(len(block))]
    tags = {site.blocks[b].tags[k]: (b, k) for b, k in everyone}
    serials = {site.blocks[b].serials[k]: (b, k) for b, k in everyone}
    sheets: dict[tuple[str, str], list[Named]] = defaultdict(list)
    for match in site.matches if findings else ():
        own, by_tag, place = (match.block, match.index), match.how == "tag", match.place
        other = serials.get(match.found_serial) if by_tag else tags.get(match.found_tag)
        if place in findings and other and other != own and match.how in ("tag", "serial"):
            two = (own, other) if by_tag else (other, own)
            sheets[place.file, place.sheet].append(Named(place.row, findings[place], by_tag, *two))
    yield from (sorted(rows) for rows in sheets.values())


def _runs(rows: Sequence[Named]) -> Iterator[tuple[str, list[Named]]]:
    """Yield the longest stretches of rows that have the serial number of the next device, or the previous."""
    for which in ("next", "previous"):
        run: list[Named] = []
        for one in rows:
            if run and not (
                run[-1].numbered == one.tagged if which == "next" else run[-1].tagged == one.numbered
            ):
                yield which, run
                run = []
            run.append(one)
        yield which, run


def _words(site: Site, run: Sequence[Named], which: str) -> str:
    """Return what is said of a run: which of the two columns has slipped, where the settings tell it."""
    ends = " to ".join(site.blocks[b].tags[k] for b, k in (run[0].told[0], run[-1].told[0]))
    said = f"{len(run)} rows, {ends}, each have the serial number of the {which} tag"
    if not sum(own_against(site, *one.told) for one in run):
        return f"{said}: the serial numbers or the tags have slipped by a row, and no setting tells which"
    names, slipped = ("tags", "serial numbers") if run[0].by_tag else ("serial numbers", "tags")
    return f"{said}, and their settings are as planned for the {names}: the {slipped} have slipped by a row"
