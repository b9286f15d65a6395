"""Devices that were never set, or have lost what was set: most of what differs is as it left the factory."""

from __future__ import annotations

from audit.checking import Found
from audit.checks.context import hit
from audit.folding.causes import Causes, add_cause, by_device, by_setting
from audit.model.rule import Rule
from audit.model.site import Block, Site
from audit.reading.values import default_value

SHARE = 0.75
"""Of the settings that are not planned at the default: so many are no slips of the keys. Judgement."""


def at_default(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find devices that differ from the plan in several settings and there are at the factory default."""
    accepted = {item.hit.order: i for i, item in enumerate(items) if _accepts_the_factory_code(item)}
    for (b, k), mine in by_device(site, items, causes).items():
        of_setting = by_setting(items, mine)
        if len(of_setting) < at_least:
            continue
        block = site.blocks[b]
        left, telling = _at_default(block, k)
        if len(left) < max(at_least, SHARE * telling):
            continue
        message = (
            f"{len(left)} of the {telling} settings that are planned otherwise are at the factory default: "
            "it was never set, or has lost what was set"
        )
        settings = [setting for setting in block.type.settings if setting.name in left]
        dependents = [i for name in left for i in of_setting.get(name, ())]
        dependents += [accepted[b, k]] if (b, k) in accepted else []
        add_cause(items, causes, rule, hit(block, b, k, settings, message), dependents)


def _accepts_the_factory_code(item: Found) -> bool:
    check = item.rule.check
    return check.kind == "access-code" and check.what == "default-accepted" and item.hit.side == "found"


def _at_default(block: Block, k: int) -> tuple[list[str], int]:
    """Return the settings of a device that are at a default that is not planned, and how many could be."""
    left, telling = [], 0
    for setting in block.type.settings:
        default = default_value(setting)
        planned, found = (block.value(side, setting.name, k) for side in ("planned", "found"))
        if default and planned.read and found.read and planned.content != default.content:
            telling += 1
            left += [setting.name] if found.content == default.content else []
    return left, telling
