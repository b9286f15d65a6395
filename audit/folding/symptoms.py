"""Symptoms on a device go under the finding that causes them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from audit.checking import OF_ONE_DEVICE, Found
from audit.folding.about import role_of, setting_of
from audit.folding.findings import Findings, Under
from audit.folding.mended import still_there, values_on
from audit.grouping import grouped
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Site
from audit.pairing.stating import is_planned_number

FOLLOWING = {"moved": (*NETWORK_ROLES, "address"), "retagged": ()}
"""What happened to a device since a baseline → the roles of settings that change with it, if not all do."""
ANY_TAG = None
"""Stands for all tags of a network."""


def under_symptoms(findings: Findings) -> Iterator[Under]:
    """Put findings under those that their rule calls a cause, on the same device or another one concerned.

    Of several causes it is the one whose correction removes the symptom, where that can be worked out.
    """
    site, items = findings.site, findings.items
    concerning = grouped(
        ((item.rule.id, item.hit.network, tag), i)
        for i, item in enumerate(items)
        for tag in (ANY_TAG, *_tags(item))
    )
    swapped = {
        (item.hit.network, tag)
        for item in items if item.rule.check.kind == "swapped-pair"
        for tag in _tags(item)
    }  # fmt: skip
    for i, item in enumerate(items):
        tags: Sequence[str | None] = [item.hit.node] if item.rule.everywhere else _tags(item)
        if item.rule.applies_to == "network":
            tags = [ANY_TAG]
        may_be = [
            j for rule in item.rule.symptom_of for tag in tags
            for j in concerning.get((rule, item.hit.network, tag), ())
            if j != i and _related(site, item, items[j])
        ]  # fmt: skip
        if item.rule.check.kind == "unique":  # two devices that swap values still hold the same two
            may_be.sort(key=lambda j: (items[j].hit.network, items[j].hit.node) in swapped)
        alike = (j for tag in tags for j in concerning.get((item.rule.id, item.hit.network, tag), ()))
        cause = _cause(site, items, i, may_be, alike)
        if cause is not None:
            yield Under(i, cause)


def _tags(item: Found) -> list[str]:
    """Return the tags that a finding concerns, each once: a plan may give one to many devices."""
    return list(dict.fromkeys((item.hit.node, *item.hit.others)))


def _cause(
    site: Site, items: Sequence[Found], i: int, may_be: Sequence[int], alike: Iterable[int]
) -> int | None:
    """Return the first finding whose correction removes a symptom, or the first if only all together do.

    None if the symptom stays when all are corrected. What cannot be worked out is left to the order of the
    rules, and so is a symptom that the plan has as well: `alike` are the findings of its rule there.
    """
    item = items[i]
    can_tell = item.hit.side == "found" and item.rule.check.kind in OF_ONE_DEVICE
    if not (may_be and can_tell and all(_of_its_values(site, item, items[j]) for j in may_be)):
        return next(iter(may_be), None)
    for j in may_be:
        if not still_there(site, item, values_on("planned", site, [items[j]])):
            return j
    gone_with_all = not still_there(site, item, values_on("planned", site, [items[j] for j in may_be]))
    return may_be[0] if gone_with_all or any(_is_planned_so(item, items[j]) for j in alike) else None


def _is_planned_so(item: Found, other: Found) -> bool:
    """Tell whether one finding says of a device's plan what another says of what was found on it."""
    one, two = item.hit, other.hit
    return two.side == "planned" and one.order == two.order and bool({*one.settings} & {*two.settings})


def _of_its_values(site: Site, symptom: Found, cause: Found) -> bool:
    """Tell whether a cause is about found values of the symptom's device, all of which are planned."""
    b, i = cause.hit.order
    return (
        cause.hit.order == symptom.hit.order
        and cause.hit.side == "found"
        and all(site.blocks[b].value("planned", name, i).read for name in cause.hit.settings)
    )


def _related(site: Site, symptom: Found, cause: Found) -> bool:
    """Tell whether one finding may follow from another; a fault of the plan never follows from a reading."""
    if symptom.hit.side == "planned" and cause.hit.side != "planned":
        return False
    if cause.rule.id == "unplanned-node":
        return cause.hit.node in symptom.hit.others and (
            symptom.rule.check.kind != "within-capacity" or len(symptom.hit.others) == 1
        )
    if symptom.rule.check.kind == "equals-plan" and role_of(site, cause) == "unit":
        b, i = symptom.hit.order
        setting = setting_of(site, symptom)
        return setting is not None and is_planned_number(site.blocks[b], setting, i)
    if cause.hit.event in FOLLOWING:
        return role_of(site, symptom) in FOLLOWING[cause.hit.event]
    return symptom.rule.everywhere or bool(set(symptom.hit.settings) & set(cause.hit.settings))
