"""Values of the plan that cannot be right, and those that are written once in it for many devices."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from audit.checking import OF_ONE_DEVICE, Found
from audit.figures.answers import DeviceFigure
from audit.figures.registry import FIGURES
from audit.folding.findings import Alone, Cause, Findings, Step, Under
from audit.folding.mended import still_there, values_on
from audit.grouping import grouped
from audit.model.asked_of_figures import FigureLimits
from audit.model.asked_of_values import Unique
from audit.model.site import Site


def planned_once(findings: Findings, at_least: int) -> Iterator[Step]:
    """Put what is wrong at one place of the plan under its gateway, or under one finding for all devices.

    A device that differs from a planned value that cannot be right goes under it as well: whatever the device
    shows, the plan has to be corrected first. What is wrong among found values alone does not go with it.
    A device found with another tag or serial number goes under it where the plan gives its own to several.
    A figure that depends on where the devices are is not a fault at one place of the plan.
    """
    site, items = findings.site, findings.items
    planned = [(i, item) for i, item in enumerate(items) if item.hit.side == "planned" and item.hit.places]
    yield from _differences_under(findings, planned)
    yield from _names_under(items, planned)
    groups = grouped(
        ((item.rule.id, item.hit.places[0]), i)
        for i, item in planned if i not in findings.causes and not _depends_on_positions(item)
    )  # fmt: skip
    for group in groups.values():
        own = next((i for i in group if site.blocks[items[i].hit.order[0]].gateway), None)
        if own is None or len({items[i].hit.network for i in group}) > 1:  # a default of the site
            yield from _under_one(findings, group, at_least)
        else:  # nodes have it from their gateway
            for i in group:
                yield Under(i, own)


def _differences_under(findings: Findings, planned: Iterable[tuple[int, Found]]) -> Iterator[Under | Alone]:
    """Put what differs from a planned value that cannot be right under the finding that says so.

    Values planned twice for a node, and differently, are treated the same: nobody knows which one holds.
    A device with the same fault as the plan, by the same rule, keeps its finding; so does one whose value
    would be just as wrong among the other planned values.
    """
    site, items = findings.site, findings.items
    at_fault = {
        (item.rule.id, *about) for item in items if item.hit.side == "found" for about in _about(item)
    }
    wrong = {
        about: i
        for i, item in planned
        if _cannot_be(item)
        for about in _about(item)
        if (item.rule.id, *about) not in at_fault
    }
    for i, item in planned:
        if item.asks("identity", "planned-twice"):
            b, k = item.hit.order
            names = {name for one in site.blocks[b].again[k] for name in one.otherwise}
            wrong |= {(item.hit.network, item.hit.node, name): i for name in names}
    for i, item in findings.comparisons() if wrong else ():
        cause = wrong.get((item.hit.network, item.hit.node, item.hit.settings[0]))
        if (
            cause is not None
            and item.rule.check.kind == "equals-plan"
            and _explains(site, items[cause], item)
        ):
            yield Under(i, cause)
            for j in [j for j, of in findings.causes.items() if of == i and _of_found_values(items[j])]:
                yield Alone(j)


def _names_under(items: Sequence[Found], planned: Iterable[tuple[int, Found]]) -> Iterator[Under]:
    """Put devices found with another tag or serial number under the finding that the plan uses one twice.

    A device planned in two networks, with the same tag and serial number, is one finding, and if it was read
    in one of them it was not left unread in the other. This does not apply if another device has the tag too.
    """
    twice: dict[str, dict[str, int]] = {"tag": {}, "serial": {}}
    for i, item in planned:
        if isinstance(item.rule.check, Unique) and item.rule.check.field:
            twice[item.rule.check.field] |= dict.fromkeys((item.hit.node, *item.hit.others), i)
    one_device = {
        tag for tag, i in twice["serial"].items()
        if tag in twice["tag"] and items[i].hit.others == items[twice["tag"][tag]].hit.others
        and {tag} == {items[i].hit.node, *items[i].hit.others}
    }  # fmt: skip
    for tag in sorted(one_device):
        yield Under(twice["serial"][tag], twice["tag"][tag])
    by_tag = twice["serial"] | twice["tag"]
    for i, item in enumerate(items) if by_tag else ():
        if item.asks("identity", "tag-serial-mismatch") and item.hit.node in by_tag:
            yield Under(i, by_tag[item.hit.node])
    unread = grouped(
        (item.hit.node, i) for i, item in enumerate(items)
        if item.hit.node in one_device and item.asks("read-back", "device")
    )  # fmt: skip
    for tag, of_one in unread.items():
        if len(of_one) <= len(items[by_tag[tag]].hit.others):  # it was read in one of the places
            for i in of_one:
                yield Under(i, by_tag[tag])


def _explains(site: Site, cause: Found, item: Found) -> bool:
    """Tell whether the plan would be right with the value that a device shows; true if nobody can tell."""
    can_tell = cause.rule.check.kind in OF_ONE_DEVICE and cause.hit.order == item.hit.order
    return not (can_tell and still_there(site, cause, values_on("found", site, [item])))


def _of_found_values(item: Found) -> bool:
    """Tell whether a finding is true of what was found, whatever is planned."""
    return item.hit.side == "found" and item.rule.check.kind in (*OF_ONE_DEVICE, "unique")


def _depends_on_positions(item: Found) -> bool:
    check = item.rule.check
    figure = FIGURES[check.figure] if isinstance(check, FigureLimits) else None
    return isinstance(figure, DeviceFigure) and figure.places


def _about(item: Found) -> Iterator[tuple[str, str, str]]:
    """Yield network, tag and setting of everything a finding is about."""
    for tag in (item.hit.node, *item.hit.others):
        for name in item.hit.settings:
            yield item.hit.network, tag, name


def _cannot_be(item: Found) -> bool:
    """Tell whether a finding says that planned values are wrong, whatever was found."""
    return item.rule.check.kind in ("equals-gateway", "within-limits", "in-order", "unique")


def _under_one(findings: Findings, group: Sequence[int], at_least: int) -> Iterator[Cause]:
    """Put findings about one place of the plan that have the same message under one."""
    alike = grouped((findings.items[i].hit.message, i) for i in group)
    for message, same in alike.items():
        if len(same) >= at_least:
            hits = findings.hits(same)
            networks = {hit.network for hit in hits}
            many = f" in {len(networks)} networks" if len(networks) > 1 else ""
            said = f"planned in one place for {len(same):,} devices{many}: {message}"
            yield findings.common_cause(same, said, hits[0].settings)
