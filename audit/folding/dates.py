"""Texts of one sheet that a spreadsheet turned into dates."""

from __future__ import annotations

from collections.abc import Iterator

from audit.folding.findings import Cause, Findings
from audit.grouping import grouped
from audit.model.finding import Hit
from audit.model.site import Site
from audit.phrases import examples
from audit.reading.dates import made_of


def became_dates(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find tags and values of a network that became dates, and put them under one finding."""
    groups = grouped(
        (item.hit.network, (i, *pair)) for i, item in findings.free()
        if (pair := _found_and_planned(findings.site, item.hit)) and made_of(*pair)
    )  # fmt: skip
    for group in groups.values():
        dependents = [i for i, _, _ in group]
        tags = {hit.node for hit in findings.hits(dependents)}
        if len(tags) >= at_least:
            became = list(dict.fromkeys(f"{planned} became {found}" for _, found, planned in group))
            message = (
                f"a spreadsheet turned what was typed for {len(tags):,} devices into dates: "
                f"{examples(became)}"
            )
            yield findings.common_cause(dependents, message)


def _found_and_planned(site: Site, hit: Hit) -> tuple[str, str] | None:
    """Return the text found and the text planned in a finding, or None where it has no such texts."""
    b, i = hit.order
    if hit.side != "found" or not hit.places or b >= len(site.blocks):
        return None
    found, block = hit.places[0], site.blocks[b]
    if hit.settings:
        return found.raw, block.planned_place(i, hit.settings[0]).raw
    planned = {"tag": block.tags, "serial": block.serials}
    name = next((name for name, texts in planned.items() if made_of(found.raw, texts[i])), None)
    return (found.raw, planned[name][i]) if name else None
