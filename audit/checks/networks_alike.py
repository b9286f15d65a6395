"""networks-alike: no two networks of the site have the same values of some settings of their gateways."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import TypeGuard

from audit.checks.context import Context, hit
from audit.checks.equals_gateway import Its, gateway_values
from audit.model.asked_of_values import NetworksAlike
from audit.model.finding import Hit, Outcome
from audit.reading.values import number_of

FEW = 3
"""Up to this many other networks are named; more are counted."""


def run(context: Context, args: NetworksAlike) -> Outcome:
    """Return one hit for each group of networks that are alike, on a gateway that is off plan, if any.

    On the found side a gateway that was not read counts with its planned value.
    """
    looked_at, hits = 0, []
    for side in context.sides():
        of_role = {role: gateway_values(context.site, role, side) for role in args.roles}
        groups: dict[tuple[object, ...], list[str]] = defaultdict(list)
        for network in context.site.gateways:
            held = [values.get(network) for values in of_role.values()]
            if _known(held[0]) and all(one is None or _known(one) for one in held):
                groups[tuple(_key(one) for one in held)].append(network)
        looked_at += sum(map(len, groups.values()))
        hits += [_hit(context, of_role, side, group) for group in groups.values() if len(group) > 1]
    return Outcome(looked_at, hits)


def _known(one: Its | None) -> TypeGuard[Its]:
    return one is not None and one.value.read


def _key(one: Its | None) -> object:
    """Return what is compared: a number in any spelling; None for a setting the gateway does not have."""
    if one is None:
        return None
    number = number_of(one.value, one.setting)
    return one.value.content if number is None else number


def _hit(context: Context, of_role: Mapping[str, Mapping[str, Its]], side: str, group: list[str]) -> Hit:
    site = context.site
    first = next((name for name in group if side == "found" and _off_plan(context, of_role, name)), group[0])
    b, i = site.gateways[first]
    held = [values[first] for values in of_role.values() if first in values]
    others = [name for name in group if name != first]
    tags = [site.planned_tag(site.gateways[name]) for name in others]
    whose = " and ".join(f"{name} ({tag})" for name, tag in zip(others, tags, strict=True))
    whose = whose if len(others) <= FEW else f"{len(others)} other networks"
    what = ", ".join(f"{one.setting.name} {one.value.shown}" for one in held)
    verb = "is also that" if len(held) == 1 else "are also those"
    places = [values[name].place for name in others for values in of_role.values() if name in values]
    settings = [one.setting for one in held]
    return hit(site.blocks[b], b, i, settings, f"{what} {verb} of {whose}", side, tags, places)


def _off_plan(context: Context, of_role: Mapping[str, Mapping[str, Its]], network: str) -> bool:
    b, i = context.site.gateways[network]
    names = [values[network].setting.name for values in of_role.values() if network in values]
    differing = [context.differences[b, name].differing for name in names if (b, name) in context.differences]
    return any(i in one for one in differing)
