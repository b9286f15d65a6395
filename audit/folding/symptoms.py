"""Symptoms on a device stand under the finding that causes them."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, link


def under_symptoms(items: list[Found], causes: Causes) -> None:
    """Put findings under those that their rule calls a cause, on the same device or on another concerned."""
    concerning: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        for tag in (item.hit.node, *item.hit.others):
            concerning[item.hit.network, tag].append(i)
    in_network: dict[str, list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        in_network[item.hit.network].append(i)
    for i, item in enumerate(items):
        of_network = item.rule.applies_to == "network"
        tags = [item.hit.node] if item.rule.everywhere else [item.hit.node, *item.hit.others]
        near = (
            in_network[item.hit.network]
            if of_network
            else [j for tag in tags for j in concerning[item.hit.network, tag]]
        )
        for rule in item.rule.symptom_of:
            cause = next(
                (j for j in near if j != i and items[j].rule.id == rule and _related(item, items[j])),
                None,
            )
            if cause is not None:
                link(causes, i, cause)
                break


def _related(symptom: Found, cause: Found) -> bool:
    """Tell whether one finding may follow from another; what is planned does not follow from a reading."""
    if symptom.hit.side == "planned" and cause.hit.side != "planned":
        return False
    if cause.rule.id == "unplanned-node":
        return cause.hit.node in symptom.hit.others
    return symptom.rule.everywhere or bool(set(symptom.hit.settings) & set(cause.hit.settings))
