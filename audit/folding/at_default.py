"""Devices that were never set, or have lost what was set: most of what differs is as it left the factory."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.checks.context import hit
from audit.folding.causes import Causes, comparisons, link
from audit.model.rule import Rule
from audit.model.site import Block, Site
from audit.model.table import Style
from audit.reading.values import parse

SHARE = 0.75
"""Of the settings that are not planned at the default: so many are no slips of the keys. Judgement."""


def at_default(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find devices that differ from the plan in several settings and there are at the factory default."""
    differing: dict[tuple[int, int], dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for i, item in comparisons(site, enumerate(items), causes):
        differing[item.hit.order][item.hit.settings[0]].append(i)
    accepted = {item.hit.order: i for i, item in enumerate(items) if _accepts_the_factory_code(item)}
    for (b, k), of_setting in differing.items():
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
        items.append(Found(rule, hit(block, b, k, settings, message)))
        for i in [i for name in left for i in of_setting.get(name, ())]:
            link(causes, i, len(items) - 1)
        if (b, k) in accepted:
            link(causes, accepted[b, k], len(items) - 1)


def _accepts_the_factory_code(item: Found) -> bool:
    check = item.rule.check
    return check.kind == "access-code" and check.what == "default-accepted" and item.hit.side == "found"


def _at_default(block: Block, k: int) -> tuple[list[str], int]:
    """Return the settings of a device that are at a default that is not planned, and how many could be."""
    left, telling = [], 0
    for setting in block.type.settings:
        if setting.default is None or setting.kind == "secret":
            continue
        planned, found = (block.value(side, setting.name, k) for side in ("planned", "found"))
        default = parse(str(setting.default), setting, Style()).content
        if planned.read and found.read and planned.content != default:
            telling += 1
            left += [setting.name] if found.content == default else []
    return left, telling
