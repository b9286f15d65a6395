"""Rows whose values slipped by a column: each value is the one planned for the setting beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.checks.context import hit
from audit.folding.about import newest_row
from audit.folding.findings import Cause, Findings
from audit.model.site import Block


def columns_shifted(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find devices with several settings, side by side in the file, that show the next setting's plan."""
    for (b, k), mine in findings.by_device().items():
        of_setting = findings.by_setting(mine)
        if len(of_setting) < at_least:
            continue
        block = findings.site.blocks[b]
        table, _ = newest_row(findings.site, findings.items[mine[0]])
        order = [name for name in table.columns if name in block.found]
        for step, side in ((1, "right"), (-1, "left")):
            names = [n for n in order if n in of_setting and _shows_beside(block, k, n, order, step)]
            if len(names) >= at_least:
                what = f"{len(names):,} values are each planned for the setting to the {side}"
                message = f"{what}: the row has slipped by a column"
                settings = [setting for setting in block.type.settings if setting.name in names]
                dependents = [i for name in names for i in of_setting[name]]
                yield Cause(hit(block, b, k, settings, message), dependents)
                break


def _shows_beside(block: Block, k: int, name: str, order: Sequence[str], step: int) -> bool:
    at = order.index(name) + step
    if not 0 <= at < len(order):
        return False
    planned = block.value("planned", order[at], k)
    return planned.read and planned.content == block.value("found", name, k).content
