"""What a check would report for a device if some of its settings had other values: this decides causes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from audit.checking import Found
from audit.checks.context import Context
from audit.checks.registry import CHECKS
from audit.model.site import Block, Site
from audit.model.value import Value, Values


def still_there(site: Site, item: Found, values: Mapping[str, Value]) -> bool:
    """Tell whether a finding about one device remains once some settings have other values on its side.

    Its check must be of a kind in OF_ONE_DEVICE (`checking.py`).
    """
    b, i = item.hit.order
    one = _with_values(site.blocks[b], i, item.hit.side, values)
    alone = replace(site, blocks=[one])
    rule = item.rule.model_copy(update={"sides": (item.hit.side,)})
    outcome = CHECKS[rule.check.kind](Context(alone, {}, rule), rule.check)
    if rule.check.kind == "in-order":  # a value out of order with one setting may be so with the next
        return any({*hit.settings} & {*item.hit.settings} for hit in outcome.hits)
    return any(hit.settings == item.hit.settings for hit in outcome.hits)


def values_on(side: str, site: Site, findings: Sequence[Found]) -> dict[str, Value]:
    """Return setting → planned or found value, for those settings of findings on one device that have one."""
    return {
        name: value
        for item in findings
        for name in item.hit.settings
        if (value := site.blocks[item.hit.order[0]].value(side, name, item.hit.order[1])).read
    }


def _with_values(block: Block, i: int, side: str, values: Mapping[str, Value]) -> Block:
    """Return one device as a block of its own, with other values on one side."""
    sides = {
        of: {name: Values([column[i]]) for name, column in columns.items()}
        for of, columns in (("planned", block.planned), ("found", block.found))
    }
    sides[side] |= {name: Values([value]) for name, value in values.items()}
    return Block(
        type=block.type,
        tags=[block.tags[i]],
        serials=[block.serials[i]],
        networks=[block.networks[i]],
        locations=[block.locations[i]],
        installed=[block.installed[i]],
        positions=[block.positions[i]],
        planned=sides["planned"],
        planned_place=lambda _, name: block.planned_place(i, name),
        rows=[block.rows[i]] if block.rows else [],
        found=sides["found"],
    )
