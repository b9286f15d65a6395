"""Columns that are in another order than their rows, as after sorting one column of a sheet alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from audit.checking import Found
from audit.folding.causes import Causes, add_root, found_and_planned, root_of
from audit.grouping import grouped
from audit.model.rule import Rule
from audit.model.site import Site
from audit.reading.identifiers import natural

FEWEST_VALUES = 4
"""Fewest different values: with two or three, many devices may show another's by chance."""
FEWEST_CROSSED = 3
"""Fewest pairs or rings of names in a network that are taken for one sorted column. Judgement."""
CROSSED = ("units-swapped", "serials-swapped")


def in_other_order(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find settings in which many devices of a network each show what is planned for another of them.

    A pair of devices that show each other's value is a cause of its own, unless there are many such pairs;
    the same holds for crossed names. Sorting a column leaves few rows with their own value: at least half of
    a network's nodes must be off.
    """
    read = Counter(network for block in site.blocks if not block.gateway for network in block.networks_read())
    _names_in_other_order(items, causes, rule, read)
    roots = [root_of(i, causes) for i in range(len(items))]
    groups = grouped(
        ((item.hit.network, item.hit.settings[0]), i) for i, item in enumerate(items)
        if item.rule.check.kind == "equals-plan"
        and (roots[i] == i or items[roots[i]].rule.check.kind == "swapped-pair")
    )  # fmt: skip
    for (network, name), group in groups.items():
        if len(group) < at_least or 2 * len(group) < read[network]:
            continue
        found, planned = zip(*(found_and_planned(site, items[i], name) for i in group), strict=True)
        if Counter(found) == Counter(planned) and len(set(found)) >= FEWEST_VALUES:
            message = (
                f"{name}: {len(group)} devices each show the value that is planned for another of them: "
                "one column was put into another order without the rest of its rows"
            )
            under = list(dict.fromkeys(roots[i] for i in group))
            tags = [items[i].hit.node for i in group]
            add_root(items, causes, rule, under, network, message, tags, (name,))


def _names_in_other_order(items: list[Found], causes: Causes, rule: Rule, read: Mapping[str, int]) -> None:
    """Put pairs and rings of crossed names of a network under one cause, if there are many."""
    crossed = grouped((item.hit.network, i) for i, item in enumerate(items)
                      if i not in causes and _crosses_names(item))  # fmt: skip
    for network, roots in crossed.items():
        hits = [items[i].hit for i in roots]
        tags = sorted({tag for hit in hits for tag in (hit.node, *hit.others) if tag}, key=natural)
        if len(roots) >= FEWEST_CROSSED and 2 * len(tags) >= read[network]:
            message = (
                f"the tags of {len(tags)} devices are each beside the serial number of another of them: "
                "one of the two columns was put into another order without the rest of its rows"
            )
            add_root(items, causes, rule, roots, network, message, tags, ())


def _crosses_names(item: Found) -> bool:
    return item.asks("identity", *CROSSED) or item.folds("names-slipped")
