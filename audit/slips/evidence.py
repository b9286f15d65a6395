"""Evidence from the rest of the readback: rows that show their neighbour's plan, columns that count up."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from audit.checking import Found
from audit.folding.about import values_of
from audit.folding.causes import Causes, dependents
from audit.model.site import Site
from audit.model.value import Value

FEWEST_OF_A_ROW = 3
"""Settings of a device that must show the neighbour's plan before this counts as the neighbour's row."""
MOST_FURTHER = 9
"""Most further values that count as evidence: ten billion to one is enough."""

Beside = dict[str, tuple[tuple[Value, ...], int]]
"""Setting → what the neighbouring rows plan for it, and how many further settings match that row."""


def rows_beside(site: Site, device: tuple[int, int], names: Collection[str]) -> Beside:
    """Return what the rows above and below plan, where at least three of the settings found match a row."""
    b, i = device
    block = site.blocks[b]
    found: Beside = {}
    if len(names) < FEWEST_OF_A_ROW:
        return found
    for j in (i - 1, i + 1):
        if not 0 <= j < len(block) or block.networks[j] != block.networks[i]:
            continue
        plans = {name: block.value("planned", name, j) for name in sorted(names)}
        matching = [
            name
            for name, plan in plans.items()
            if plan.read and plan.content == block.value("found", name, i).content
        ]
        if len(matching) >= FEWEST_OF_A_ROW:
            for name in matching:
                values, _ = found.get(name, ((), 0))
                found[name] = ((*values, plans[name]), len(matching) - 1)
    return found


def series_values(site: Site, items: Sequence[Found], causes: Causes) -> dict[int, tuple[Value, int]]:
    """Return finding → the value that a column counting up shows, and how many further rows count up."""
    values = {}
    for cause, run in dependents(causes).items():
        for n in run if items[cause].folds("filled-series") else ():
            value, _ = values_of(site, items[n])
            values[n] = (value, len(run) - 1)
    return values
