"""Rows whose values slipped by a column: each value is the one planned for the setting beside it."""

from __future__ import annotations

from collections.abc import Sequence

from audit.checking import Found
from audit.checks.context import hit
from audit.folding.causes import Causes, add_cause, by_device, by_setting, newest_row
from audit.model.rule import Rule
from audit.model.site import Block, Site


def columns_shifted(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find devices with several settings, side by side in the file, that show the next setting's plan."""
    for (b, k), mine in by_device(site, items, causes).items():
        of_setting = by_setting(items, mine)
        if len(of_setting) < at_least:
            continue
        block = site.blocks[b]
        table, _ = newest_row(site, items[mine[0]])
        order = [name for name in table.columns if name in block.found]
        for step, side in ((1, "right"), (-1, "left")):
            names = [n for n in order if n in of_setting and _shows_beside(block, k, n, order, step)]
            if len(names) >= at_least:
                what = f"{len(names)} values are each planned for the setting to the {side}"
                message = f"{what}: the row has slipped by a column"
                settings = [setting for setting in block.type.settings if setting.name in names]
                dependents = [i for name in names for i in of_setting[name]]
                add_cause(items, causes, rule, hit(block, b, k, settings, message), dependents)
                break


def _shows_beside(block: Block, k: int, name: str, order: Sequence[str], step: int) -> bool:
    at = order.index(name) + step
    if not 0 <= at < len(order):
        return False
    planned = block.value("planned", order[at], k)
    return planned.read and planned.content == block.value("found", name, k).content
