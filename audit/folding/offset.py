"""Numbers that are all off by the same step: renumbered, revised, or counted from another number."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal

from audit.checking import Found
from audit.folding.about import compared, numbers_of
from audit.folding.findings import Cause, Findings
from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.site import Site
from audit.reading.values import plain, with_unit
from audit.slips.quantities import air_pressure

NEARLY_ALL = 0.9
"""Share of the planned devices read: a side that counts from another number has all off. Judgement."""
HALF = 0.5
"""Share of them that must be off by one step: a few may be so by chance. Judgement."""
FEWEST_PLANS = 3
"""So many different planned numbers that are off by one step are not chance. Judgement."""


def shifted_by_one(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find networks in which nearly all numbers of a setting are one more, or one less, than planned."""
    for (network, name, step), group in _by_step(findings, ("within-one",)).items():
        if len(group) < at_least:
            continue
        read = len(compared(findings.site, network, name))
        if len(group) >= NEARLY_ALL * read:
            more = "more" if step > 0 else "less"
            message = (
                f"{name} is one {more} than planned on {len(group):,} of {read:,} devices: "
                "counted from another number"
            )
            yield findings.common_cause(group, message, (name,))


def same_step(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find numbers of a network, planned differently, that are all more, or all less, by the same step."""
    site, items = findings.site, findings.items
    of_unit: dict[tuple[str, str, Decimal], list[int]] = defaultdict(list)
    for (network, name, step), those in _by_step(findings, ("equals-plan", "within-one")).items():
        of_unit[network, _setting(site, items[those[0]]).unit or name, step] += those
    for (network, _, step), group in of_unit.items():
        plans = {numbers_of(site, items[i]) for i in group}
        tags = {items[i].hit.node for i in group}
        names = tuple(dict.fromkeys(items[i].hit.settings[0] for i in group))
        if len(tags) < at_least or len(plans) < FEWEST_PLANS:
            continue
        read = max(len(compared(site, network, name)) for name in names)
        if len(tags) >= HALF * read:
            setting = _setting(site, items[group[0]])
            much = f"{with_unit(plain(abs(step)), setting)} {'more' if step > 0 else 'less'}"
            message = (
                f"{' and '.join(names)} {'is' if len(names) == 1 else 'are'} {much} than planned on "
                f"{len(tags):,} of {read:,} devices: all by the same step"
            )
            if _is_the_air(site, setting, step):
                message += ", which is the air pressure: gauge and absolute are mixed up"
            yield findings.common_cause(group, message, names)


def _setting(site: Site, item: Found) -> Setting:
    return next(s for s in site.blocks[item.hit.order[0]].type.settings if s.name == item.hit.settings[0])


def _is_the_air(site: Site, setting: Setting, step: Decimal) -> bool:
    """Tell whether a difference in pressure is the one between gauge and absolute at the site."""
    air = air_pressure(setting, site.plan.site.elevation_m)
    return air is not None and abs(abs(step) - air[0]) <= air[1]


def _by_step(findings: Findings, kinds: tuple[str, ...]) -> dict[tuple[str, str, Decimal], list[int]]:
    """Return network, setting and step → the findings without a cause that are off by that step."""
    return grouped(
        ((item.hit.network, item.hit.settings[0], numbers[0] - numbers[1]), i) for i, item in findings.free()
        if item.rule.check.kind in kinds
        and (numbers := numbers_of(findings.site, item)) and numbers[0] != numbers[1]
    )  # fmt: skip
