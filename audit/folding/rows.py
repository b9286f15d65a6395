"""Tables whose rows slipped, or were filled down as a series."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from functools import partial

from audit.checking import Found
from audit.folding.causes import Causes, add_root, comparisons, found_and_planned, newest_row
from audit.model.rule import Rule
from audit.model.site import Site


def filled_series(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find values that count up from one device read to the next, where the plan has one value."""
    groups: dict[tuple[str, str, int], list[int]] = defaultdict(list)
    for i, item in comparisons(site, enumerate(items), causes):
        table, _ = newest_row(site, item)
        groups[item.hit.network, item.hit.settings[0], id(table)].append(i)
    for (network, name, _), group in groups.items():
        group.sort(key=lambda i: newest_row(site, items[i])[1])
        for run in _runs(group, partial(_counts_up, site, items, name)):
            first, planned = found_and_planned(site, items[run[0]], name)
            starts_right = isinstance(first, int) and isinstance(planned, int) and first == planned + 1
            if len(run) >= at_least or (len(run) >= 2 and starts_right):
                last, _ = found_and_planned(site, items[run[-1]], name)
                tags = [items[i].hit.node for i in run]
                message = (
                    f"{name} counts up from device to device, {first} to {last}, on {len(run)} nodes; "
                    f"planned is {planned} for all of them: it was filled down as a series"
                )
                add_root(items, causes, rule, run, network, message, tags, (name,))


def _counts_up(site: Site, items: Sequence[Found], name: str, i: int, j: int) -> bool:
    one, other = items[i], items[j]
    (first, planned), (second, also) = (
        found_and_planned(site, one, name),
        found_and_planned(site, other, name),
    )
    next_row = newest_row(site, other)[1] == newest_row(site, one)[1] + 1
    return next_row and isinstance(first, int) and second == first + 1 and planned == also


def _runs(group: list[int], follows: Callable[[int, int], bool]) -> list[list[int]]:
    """Return the longest stretches in which each finding follows the one before it."""
    runs: list[list[int]] = []
    for i in group:
        if runs and follows(runs[-1][-1], i):
            runs[-1].append(i)
        else:
            runs.append([i])
    return runs


def rows_shifted(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find stretches of nodes that each show what is planned for the next, or the one before."""
    by_device: dict[tuple[int, int], list[int]] = defaultdict(list)
    for i, item in comparisons(site, enumerate(items), causes):
        by_device[item.hit.order].append(i)
    for shift in (1, -1):
        shifted = [
            device
            for device in sorted(by_device)
            if _reads_neighbour(site, items, by_device[device], device, shift)
        ]
        for run in _device_runs(site, shifted):
            if len(run) >= at_least:
                dependents = [i for device in run for i in by_device[device]]
                b, first = run[0]
                block = site.blocks[b]
                which = "next" if shift == 1 else "previous"
                tags = [block.tags[k] for _, k in run]
                message = (
                    f"{len(run)} nodes, {tags[0]} to {tags[-1]}, each show the values planned for the "
                    f"{which} one: the rows have slipped by one"
                )
                add_root(items, causes, rule, dependents, block.networks[first], message, tags, ())
                for device in run:
                    by_device.pop(device)


def _reads_neighbour(
    site: Site, items: list[Found], mine: list[int], device: tuple[int, int], shift: int
) -> bool:
    b, i = device
    block = site.blocks[b]
    j = i + shift
    if not 0 <= j < len(block) or block.networks[j] != block.networks[i]:
        return False
    names = {items[k].hit.settings[0] for k in mine}
    return all(block.value("found", n, i).content == block.value("planned", n, j).content for n in names)


def _device_runs(site: Site, devices: list[tuple[int, int]]) -> list[list[tuple[int, int]]]:
    runs: list[list[tuple[int, int]]] = []
    for b, i in devices:
        if (
            runs
            and runs[-1][-1] == (b, i - 1)
            and site.blocks[b].networks[i] == site.blocks[b].networks[i - 1]
        ):
            runs[-1].append((b, i))
        else:
            runs.append([(b, i)])
    return runs
