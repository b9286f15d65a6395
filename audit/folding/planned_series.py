"""Values of the plan that a spreadsheet counted up, where one value was meant for all devices."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import partial

from audit.checking import Found
from audit.folding.about import at_factory_default, role_of
from audit.folding.beside import neighbouring
from audit.folding.findings import Cause, Findings
from audit.folding.rows import counted, runs
from audit.grouping import grouped
from audit.model.finding import Hit
from audit.model.site import Site, Target

OWN_TO_EACH = ("address", "host_register", "code_reference", "calibration_record")
"""Roles that are meant to count up, though devices that nobody has set yet all show the same value."""


def planned_series(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find planned values that count up from device to device, starting after the one that all devices show.

    Other findings about such a planned value go under the same cause.
    """
    site, items = findings.site, findings.items
    found = grouped(
        ((item.hit.network, item.hit.settings[0]), i)
        for i, item in findings.comparisons()
        if item.rule.check.kind == "equals-plan"
        and role_of(site, item) not in OWN_TO_EACH
        and not at_factory_default(site, item)
    )
    groups = {key: group for key, group in found.items() if len(group) >= at_least}
    networks = {network for network, _ in groups}
    beside = set(neighbouring(site, networks)) if groups else set()
    for (_, name), group in groups.items():
        group.sort(key=lambda i: items[i].hit.order)
        for run in runs(group, partial(_goes_on, site, items, beside)):
            numbers = counted(site, items[run[0]])
            if len(run) >= at_least and numbers is not None and numbers[1] == numbers[0] + 1:
                devices = {items[i].hit.order for i in run}
                along = [
                    i for i, item in findings.free()
                    if item.hit.side == "planned" and name in item.hit.settings
                    and item.hit.order in devices
                ]  # fmt: skip
                yield Cause(_hit(site, items, run, name), [*run, *along])


def _hit(site: Site, items: Sequence[Found], run: Sequence[int], name: str) -> Hit:
    first, last = items[run[0]].hit, items[run[-1]].hit
    message = (
        f"the plan counts {name} up from device to device, {first.planned} to {last.planned}, on {len(run)} "
        f"nodes, all of which have {first.found}: it was filled down as a series"
    )
    places = tuple(site.blocks[b].planned_place(k, name) for b, k in (first.order, last.order))
    tags = tuple(items[i].hit.node for i in run)
    return Hit(
        first.network, "", (name,), message, places=places, others=tags, side="planned", order=first.order
    )


def _goes_on(
    site: Site, items: Sequence[Found], beside: Collection[tuple[Target, Target]], i: int, j: int
) -> bool:
    """Tell whether the plan counts up by one from one device to the next, while both show one value."""
    one, other = counted(site, items[i]), counted(site, items[j])
    if one is None or other is None or (items[i].hit.order, items[j].hit.order) not in beside:
        return False
    return other == (one[0], one[1] + 1, one[2])
