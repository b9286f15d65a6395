"""Two columns of a node table that are swapped, by its headings or by a mapping."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from audit.checking import Found
from audit.folding.about import found_and_planned
from audit.folding.findings import Cause, Findings
from audit.folding.mended import still_there
from audit.model.site import Site
from audit.model.table import Place

Cells = tuple[str, str, str, str]
"""File and sheet, and the columns of two settings."""


def planned_swapped(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find two settings that are in the wrong order for all devices of a table, and right if swapped.

    Findings that a device shows for one setting what is planned for the other go under the same cause.
    """
    site, items = findings.site, findings.items
    groups: dict[tuple[str, tuple[str, ...], Cells], list[int]] = defaultdict(list)
    for i, item in findings.free():
        cells = _cells(*item.hit.places) if len(item.hit.places) == 2 else None
        if cells and item.hit.side == "planned" and item.rule.check.kind == "in-order":
            groups[item.rule.id, item.hit.settings, cells].append(i)
    for (_, names, cells), group in groups.items():
        if len(group) < at_least or len(group) < _planned_in(site, names, cells):
            continue
        if not all(_right_if_exchanged(site, items[i]) for i in group):
            continue
        first = items[group[0]].hit
        low, high = (f"{name} (column {place.column}{f', {place.heading!r}' if place.heading else ''})"
                     for name, place in zip(names, first.places, strict=True))  # fmt: skip
        message = (
            f"{low} and {high} seem to be swapped in {cells[0]}: on all {len(group)} "
            "devices they are in the wrong order, and in the right order if swapped"
        )
        yield findings.common_cause([*group, *_as_exchanged(findings, group)], message, names)


def _cells(one: Place, other: Place) -> Cells | None:
    """Return the columns of one row that two values are in; None where it is not a row of a table."""
    if (one.file, one.sheet, one.row) != (other.file, other.sheet, other.row) or one.column.isdigit():
        return None
    return one.file, one.sheet, one.column, other.column


def _planned_in(site: Site, names: Sequence[str], cells: Cells) -> int:
    """Return for how many devices two settings are planned in these two columns."""
    return sum(
        all(block.value("planned", name, i).read for name in names)
        and _cells(*(block.planned_place(i, name) for name in names)) == cells
        for block in site.blocks for i in range(len(block))
    )  # fmt: skip


def _right_if_exchanged(site: Site, item: Found) -> bool:
    (b, i), (low, high) = item.hit.order, item.hit.settings
    block = site.blocks[b]
    one, other = (block.type.setting(name) for name in (low, high))
    if one is None or other is None or one.unit != other.unit:
        return False
    values = {low: block.value("planned", high, i), high: block.value("planned", low, i)}
    return not still_there(site, item, values)


def _as_exchanged(findings: Findings, group: Sequence[int]) -> list[int]:
    """Return the findings that a device shows for one setting what is planned for the other."""
    site = findings.site
    pairs = {hit.order: hit.settings for hit in findings.hits(group)}
    along = []
    for i, item in findings.comparisons():
        (b, k), name = item.hit.order, item.hit.settings[0]
        names = pairs.get((b, k), ())
        others = [other for other in names if name in names and other != name]
        found, _ = found_and_planned(site, item)
        if others and found == site.blocks[b].value("planned", others[0], k).content:
            along.append(i)
    return along
