"""Columns of serial numbers or tags that slipped by a row, and devices whose names were passed round."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from audit.checking import Found
from audit.folding.beside import neighbouring, own_against
from audit.folding.findings import Cause, Findings
from audit.model.finding import Hit
from audit.model.site import Site, Target
from audit.phrases import listed

ASPECTS = ("tag-serial-mismatch", "matched-by-settings")
MOST_TAGS = 6
"""Devices of a ring that a message names."""


class Named(NamedTuple):
    """A row that names two planned devices."""

    row: int
    position: int
    """Position of the finding that says this."""
    by_tag: bool
    """Whether the row was taken for the device with its tag, since its settings are that device's."""
    tagged: Target
    numbered: Target
    """The device with its serial number, or with its settings where the serial number is blank."""
    has_serial: bool

    @property
    def taken_and_other(self) -> Sequence[Target]:
        """The device that the row was taken for, and the other one."""
        return (self.tagged, self.numbered) if self.by_tag else (self.numbered, self.tagged)


def names_slipped(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find chains of rows in a sheet that each have the serial number of the next device, or the one before.

    Devices at the ends of such a chain that were not read, or have a serial number that is not planned, go
    with it: their names have slipped off the sheet, or off the plan.
    In a chain that closes into a ring, units or serial numbers were passed round.
    """
    site = findings.site
    sheets = list(_in_sheets(findings))
    named = {one.position for rows in sheets for one in rows}
    at_end = {item.hit.order: i for i, item in enumerate(findings.items) if _may_end(item)} if sheets else {}
    for rows in sheets:
        networks = {site.blocks[b].networks[k] for one in rows for b, k in (one.tagged, one.numbered)}
        beside = set(neighbouring(site, networks)) if len(rows) >= at_least else set()
        at = {one: n for n, one in enumerate(rows)}
        for chain in _chains(rows):
            if len(chain) < at_least or len({one.by_tag for one in chain}) > 1:
                continue
            ring = chain[-1].numbered == chain[0].tagged
            which = "" if ring else _which_way(at, chain, beside)
            if not (ring or which):
                continue
            if which == "previous":
                chain.reverse()
            ends = {chain[0].tagged, chain[-1].tagged, chain[0].numbered, chain[-1].numbered}
            at_ends = {at_end[device] for device in ends if device in at_end} - named - findings.causes.keys()
            positions = [one.position for one in chain]
            hits = findings.hits(positions)
            tags = tuple(dict.fromkeys(hit.node for hit in hits))
            root = Hit(hits[0].network, "", (), _words(site, chain, which), places=hits[0].places[:1],
                       others=tags, order=hits[0].order)  # fmt: skip
            yield Cause(root, [*positions, *sorted(at_ends)])


def _may_end(item: Found) -> bool:
    """Tell whether a finding says that a device was not read, or that its tag and serial number disagree."""
    return item.asks("read-back", "device") or item.asks("identity", "tag-serial-mismatch")


def _in_sheets(findings: Findings) -> Iterator[list[Named]]:
    """Yield for each sheet its rows that name two planned devices, from the top."""
    site = findings.site
    said = {item.hit.places[0]: i for i, item in findings.free() if item.asks("identity", *ASPECTS)}
    tags, serials = (site.by_tag(), site.by_serial()) if said else ({}, {})
    sheets: dict[tuple[str, str], list[Named]] = defaultdict(list)
    for match in site.matches if said else ():
        own, by_tag, place = (match.block, match.index), match.how == "tag", match.place
        other = serials.get(match.found_serial) if by_tag else tags.get(match.found_tag)
        if place in said and other and other != own and match.how in ("tag", "serial", "settings"):
            two = (own, other) if by_tag else (other, own)
            one = Named(place.entry, said[place], by_tag, *two, bool(match.found_serial))
            sheets[place.file, place.sheet].append(one)
    yield from (sorted(rows) for rows in sheets.values())


def _chains(rows: Sequence[Named]) -> Iterator[list[Named]]:
    """Yield chains of rows: each row has the serial number of the device whose tag is in the next row."""
    by_tag = {one.tagged: one for one in rows}
    numbered = {one.numbered for one in rows}
    seen: set[Target] = set()
    for first in sorted(rows, key=lambda one: (one.tagged in numbered, one.tagged)):  # rings last
        chain: list[Named] = []
        one: Named | None = first
        while one and one.tagged not in seen:
            seen.add(one.tagged)
            chain.append(one)
            one = by_tag.get(one.numbered)
        if chain:
            yield chain


def _which_way(
    at: Mapping[Named, int], chain: Sequence[Named], beside: Collection[tuple[Target, Target]]
) -> str:
    """Return whether a chain always goes to the next row or the previous one, of its sheet or of the plan.

    Empty where it goes to and fro: then nothing has slipped by a row.
    """
    steps = {at[one] - at[other] for one, other in pairwise(chain)}
    pairs = [(one.tagged, one.numbered) for one in chain]
    if steps == {-1} or all(pair in beside for pair in pairs):
        return "next"
    return "previous" if steps == {1} or all(pair[::-1] in beside for pair in pairs) else ""


def _words(site: Site, chain: Sequence[Named], which: str) -> str:
    """Return the message for a chain: which of the two columns is wrong, where the settings show it."""
    tags = [site.planned_tag(one.taken_and_other[0]) for one in chain]
    blank = "" if all(one.has_serial for one in chain) else ", or the settings where that is blank,"
    said = (
        f"{len(chain):,} rows, {tags[0]} to {tags[-1]}, each have the serial number{blank} of the {which} tag"
    )
    wrong, units = "have slipped by a row", ""
    if not which:
        who = listed(tags, MOST_TAGS)
        said = f"the serial numbers{blank} of {who} are each beside another's tag, in a ring"
        wrong, units = "have been passed round", ", or the units themselves,"
    if not sum(own_against(site, *one.taken_and_other) for one in chain):
        return f"{said}: the serial numbers or the tags {wrong}, and no setting shows which"
    names, others = ("tags", "serial numbers") if chain[0].by_tag else ("serial numbers", f"tags{units}")
    return f"{said}, and their settings are as planned for the {names}: the {others} {wrong}"
