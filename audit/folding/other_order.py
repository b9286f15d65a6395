"""Columns that are in another order than their rows, as after sorting one column of a sheet alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from audit.checking import Found
from audit.folding.about import compared, found_and_planned
from audit.folding.causes import root_of
from audit.folding.findings import Cause, Findings
from audit.folding.rows import shifted_runs
from audit.grouping import grouped
from audit.reading.identifiers import natural

FEWEST_VALUES = 4
"""Fewest different values: with two or three, many devices may show another's by chance."""
FEWEST_CROSSED = 3
"""Fewest pairs or rings of names in a network that are taken for one sorted column. Judgement."""
CROSSED = ("units-swapped", "serials-swapped")


def in_other_order(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find settings in which many devices of a network each show what is planned for another of them.

    A pair of devices that show each other's value is a cause of its own, unless there are many such pairs;
    the same holds for crossed names. Sorting a column leaves few rows with their own value: at least half of
    a network's nodes for which one is planned must be off. Where whole rows have slipped, the values of one
    of their columns may happen to be those planned.
    """
    site, items = findings.site, findings.items
    read = Counter(network for block in site.blocks if not block.gateway for network in block.networks_read())
    yield from _names_in_other_order(findings, read)
    runs = (run for _, run, _ in shifted_runs(findings, at_least))
    slipped = [set(run) for run in runs if len(findings.by_setting(run)) > 1]
    roots = [root_of(i, findings.causes) for i in range(len(items))]
    groups = grouped(
        ((item.hit.network, item.hit.settings[0]), i) for i, item in enumerate(items)
        if item.rule.check.kind == "equals-plan"
        and (roots[i] == i or items[roots[i]].rule.check.kind == "swapped-pair")
    )  # fmt: skip
    for (network, name), group in groups.items():
        if len(group) < at_least:
            continue
        if any(run.issuperset(group) for run in slipped):
            continue
        found, planned = zip(*(found_and_planned(site, items[i]) for i in group), strict=True)
        if (
            Counter(found) == Counter(planned)
            and len(set(found)) >= FEWEST_VALUES
            and 2 * len(group) >= sum(not site.blocks[b].gateway for b, _ in compared(site, network, name))
        ):
            message = (
                f"{name}: {len(group):,} devices each show the value that is planned for another of them: "
                "one column was put into another order without the rest of its rows"
            )
            under = list(dict.fromkeys(roots[i] for i in group))
            yield findings.common_cause(under, message, (name,), [hit.node for hit in findings.hits(group)])


def _names_in_other_order(findings: Findings, read: Mapping[str, int]) -> Iterator[Cause]:
    """Put pairs and rings of crossed names of a network under one cause, if there are many."""
    crossed = grouped((item.hit.network, i) for i, item in findings.free() if _crosses_names(item))
    for network, roots in crossed.items():
        hits = findings.hits(roots)
        tags = sorted({tag for hit in hits for tag in (hit.node, *hit.others) if tag}, key=natural)
        if len(roots) >= FEWEST_CROSSED and 2 * len(tags) >= read[network]:
            message = (
                f"the tags of {len(tags):,} devices are each beside the serial number of another of them: "
                "one of the two columns was put into another order without the rest of its rows"
            )
            yield findings.common_cause(roots, message, tags=tags)


def _crosses_names(item: Found) -> bool:
    return item.asks("identity", *CROSSED) or item.folds("names-slipped")
