"""Tables whose rows slipped, or were filled down as a series."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import partial

from audit.checking import Found
from audit.folding.about import found_and_planned, newest_row, numbers_of, role_of
from audit.folding.beside import in_rows, of_one_type, own_against, shows_plan_of
from audit.folding.findings import Cause, Findings
from audit.model.site import Site, Target

_NUMBERED = re.compile(r"(?P<head>.*?)(?P<number>[0-9]{1,15})")
"""A text that ends in a number, which a spreadsheet counts up."""


def filled_series(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find values that count up from one row of a readback to the next, where the plan has one value."""
    site, items = findings.site, findings.items
    groups: dict[tuple[str, str, int], list[int]] = defaultdict(list)
    for i, item in findings.comparisons():
        table, _ = newest_row(site, item)
        groups[item.hit.network, item.hit.settings[0], id(table)].append(i)
    for (_, name, _), group in groups.items():
        group.sort(key=lambda i: newest_row(site, items[i])[1])
        for run in runs(group, partial(_counts_up, site, items)):
            first = counted(site, items[run[0]])
            goes_on = first is not None and first[0] == first[1] + 1
            goes_on = goes_on and role_of(site, items[run[0]]) != "firmware"  # two versions are not a series
            if len(run) >= at_least or (len(run) >= 2 and goes_on):
                begin, planned = found_and_planned(site, items[run[0]])
                last, _ = found_and_planned(site, items[run[-1]])
                message = (
                    f"{name} counts up from device to device, {begin} to {last}, on {len(run):,} nodes; "
                    f"{planned} is planned for all of them: it was filled down as a series"
                )
                yield findings.common_cause(run, message, (name,))


def _counts_up(site: Site, items: Sequence[Found], i: int, j: int) -> bool:
    one, other = counted(site, items[i]), counted(site, items[j])
    next_row = newest_row(site, items[j])[1] == newest_row(site, items[i])[1] + 1
    return next_row and one is not None and other is not None and other == (one[0] + 1, *one[1:])


def counted(site: Site, item: Found) -> tuple[Decimal, Decimal, str] | None:
    """Return the numbers found and planned; for texts, the numbers at their ends and the text before these.

    A spreadsheet counts 0B27 up to 0B28, just as it does 27.
    """
    numbers = numbers_of(site, item)
    if numbers is not None:
        return (*numbers, "")
    found, planned = found_and_planned(site, item)
    if not isinstance(found, str) or not isinstance(planned, str):
        return None
    ends = [_NUMBERED.fullmatch(text) for text in (found, planned)]
    if ends[0] is None or ends[1] is None or ends[0]["head"] != ends[1]["head"]:
        return None
    return Decimal(ends[0]["number"]), Decimal(ends[1]["number"]), ends[0]["head"]


def runs(group: list[int], follows: Callable[[int, int], bool]) -> list[list[int]]:
    """Return the longest stretches in which each finding follows the one before it."""
    runs: list[list[int]] = []
    for i in group:
        if runs and follows(runs[-1][-1], i):
            runs[-1].append(i)
        else:
            runs.append([i])
    return runs


def rows_shifted(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find stretches of nodes that each show what is planned for the next node, or for the previous one."""
    for run, dependents, which in shifted_runs(findings, at_least):
        first, last = map(findings.site.planned_tag, (run[0], run[-1]))
        message = (
            f"{len(run):,} nodes, {first} to {last}, each show the values planned for the {which} one: "
            "the rows have slipped by one"
        )
        yield findings.common_cause(dependents, message)


def shifted_runs(findings: Findings, at_least: int) -> list[tuple[list[Target], list[int], str]]:
    """Return stretches of nodes that show a neighbour's row, the findings about it, and which neighbour."""
    site, items = findings.site, findings.items
    found = []
    differing = findings.by_device()
    networks = {site.blocks[b].networks[i] for b, i in differing}
    for order in (in_rows, of_one_type) if len(differing) >= at_least else ():
        following = dict(order(site, networks))
        before = {other: one for one, other in following.items()}
        for which, beside in (("next", following), ("previous", before)):
            shifted = [
                device
                for device, mine in differing.items()
                if device in beside
                and all(shows_plan_of(site, items[i], beside[device]) for i in mine)
                and len(findings.by_setting(mine)) > own_against(site, device, beside[device])
            ]
            for run in _stretches(shifted, following):
                dependents = [i for device in run for i in differing[device]]
                if len(run) >= at_least and not _counts_on(findings, dependents):
                    for device in run:
                        del differing[device]
                    found.append((run, dependents, which))
    return found


def _counts_on(findings: Findings, dependents: Sequence[int]) -> bool:
    """Tell whether numbers of one setting are off by one step, so that a slipped row may be a renumbering."""
    if len(findings.by_setting(dependents)) > 1:
        return False
    numbers = [numbers_of(findings.site, findings.items[i]) for i in dependents]
    steps = {one[0] - one[1] if one else None for one in numbers}
    return len(steps) == 1 and None not in steps


def _stretches(devices: list[Target], following: Mapping[Target, Target]) -> list[list[Target]]:
    """Return the longest stretches of devices that follow each other in the plan, in its order."""
    left, firsts = set(devices), set(devices) - {following.get(device) for device in devices}
    stretches = []
    for device in sorted(firsts):
        run: list[Target] = []
        after: Target | None = device
        while after in left:
            run.append(after)
            after = following.get(after)
        stretches.append(run)
    return stretches
