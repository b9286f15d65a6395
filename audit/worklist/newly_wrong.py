"""What is newly wrong: findings of a readback after the work that are new, or worse than before it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from audit.audited import Audited
from audit.checking import Found
from audit.comparing import same
from audit.grouping import grouped
from audit.judging.findings import evidence_place
from audit.model.arguments import PatternName
from audit.model.roles import NETWORK_ROLES
from audit.model.value import Value
from audit.model.worklist import NewlyWrong
from audit.worklist.devices import Named, Order, devices
from audit.worklist.doubts import is_remark
from audit.worklist.heard_again import LISTED, roles_of
from audit.worklist.holders import ADDRESS, heard, sharing, taken
from audit.worklist.meeting import kept_apart

NOT_NEWS = ("read-back", "waiver")
"""Check kinds whose findings do not count: what a partial readback leaves out, and waivers."""
RADIO = {ADDRESS, *NETWORK_ROLES}
"""Roles of the settings without which a gateway does not hear a node, or hears another in its place."""
UNREAD: tuple[PatternName, ...] = ("unread", "unread-device")
"""Patterns of folding of which the same holds."""


@dataclass(frozen=True, slots=True)
class Told:
    """What was found before the work."""

    findings: Mapping[str, Found]
    """All findings by their ids, including excused ones."""
    values: Mapping[Named, Value]
    """The settings of planned devices that something was found about, with what was read."""
    to_set: Collection[Named]
    """The settings that steps set: their states show what became of them."""


def newly_wrong(
    after: Audited, ids: dict[int, str], told: Told, to_do: Collection[str], ahead: set[Named]
) -> list[NewlyWrong]:
    """Return the findings that are new or worse, without those that do not count; each cause once.

    `to_do` are the findings that a step still has to correct, or that are held back. A finding is left out if
    it was found before or follows from one of `to_do`, and has not become worse; if all that it is about has
    yet to be set and is as it was found; or if folding names it as the cause of none but such findings.
    """
    items, causes = after.waiving.items, after.causes
    left_out = {*after.waiving.waived, *_awaiting_plan(after, ahead), *kept_apart(after)}
    left_out |= _yet_to_be_set(after, told, to_do)
    for n, name in ids.items():
        if name in told.findings and not _is_worse(items[n], after, told, waits=name in to_do):
            left_out.add(n)
    left_out = _with_causes(left_out, after)
    new = [n for n in ids if n not in left_out and _is_news(items[n])]
    shown = set(new)
    with_it = grouped((causes[n], ids[n]) for n in new if causes.get(n) in shown)
    follows = {
        n for n in new
        if ids.get(causes.get(n, -1)) in to_do and not items[n].hit.others
        and not _is_worse(items[n], after, told, waits=True)
    }  # fmt: skip
    return [
        _wrong(items[n], ids[n], with_it[n])
        for n in new if n not in follows and causes.get(n) not in shown
    ]  # fmt: skip


def _yet_to_be_set(after: Audited, told: Told, to_do: Collection[str]) -> set[int]:
    """Return the findings about what is as found and has yet to be set.

    Once a gateway is set, a node that waits for its step differs from it, and several may do so in one way.
    Whether a gateway hears such a node, and which one, says nothing before that, unless it ought to be heard.
    One of two gateways that wait for each other's channel comes to that of the other too early; its step said
    so.
    """
    items = after.waiving.items
    before = [told.findings[name] for name in to_do if name in told.findings]
    waiting = {(item.hit.order, name) for item in before for name in item.hit.settings}
    values = {named: value for named, value in told.values.items() if named in waiting}
    held = [item for item in told.findings.values() if item.rule.check.kind == "unique"]
    still = {
        n for n, item in enumerate(items)
        if (_is_left_over(item, held) or _came_too_early(item, after, told, values)
            if item.hit.others else _is_as_found(item, after, values))
    }  # fmt: skip
    roles = [roles_of(after, item.hit.order, item.hit.settings) for item in items]
    wait = {items[n].hit.order for n in still if not RADIO.isdisjoint(roles[n])} - _ought_to_be_heard(after)
    still |= {n for n, item in enumerate(items) if item.hit.order in wait and not LISTED.isdisjoint(roles[n])}
    return still


def _ought_to_be_heard(after: Audited) -> set[Order]:
    """Return the nodes that, as left, have their gateway's radio settings, and an address of their own."""
    of = devices(after)
    state = {device.key: device.found for device in of.values()}
    places, hears_them = taken(state), heard(state)
    return {
        order for order, one in of.items()
        if one.key in hears_them and not sharing(places, one.key, one.found.cells())
    }  # fmt: skip


def _is_worse(item: Found, after: Audited, told: Told, *, waits: bool) -> bool:
    """Return whether something was changed that no step sets, or has brought a device to another one.

    While a step or something held back waits for it, what is not planned may change, such as a signal level.
    """
    (b, i), clash = item.hit.order, item.rule.check.kind == "unique"
    changed = [name for name, is_same in _as_found(item, after, told.values).items() if not is_same]
    return any(
        (clash or ((b, i), name) not in told.to_set)
        and not (waits and not after.site.blocks[b].value("planned", name, i).read)
        for name in changed
    )


def _is_as_found(item: Found, after: Audited, values: Mapping[Named, Value]) -> bool:
    known = _as_found(item, after, values)
    return bool(known) and len(known) == len(item.hit.settings) and all(known.values())


def _as_found(item: Found, after: Audited, values: Mapping[Named, Value]) -> dict[str, bool]:
    """Return which settings of a finding are as they were, of those read before the work and after."""
    if item.hit.order[0] >= len(after.site.blocks):
        return {}
    (b, i), block = item.hit.order, after.site.blocks[item.hit.order[0]]
    return {
        setting.name: same(now, was, setting)
        for setting in block.type.settings if setting.name in item.hit.settings
        if (was := values.get(((b, i), setting.name)))
        and (now := block.value("found", setting.name, i)).read
    }  # fmt: skip


def _is_left_over(item: Found, held: Sequence[Found]) -> bool:
    """Return whether devices that have something alike had it so before, together with one that has left."""
    hit, devices = item.hit, {item.hit.node, *item.hit.others}
    return any(
        (item.rule.id, hit.network, hit.found) == (one.rule.id, one.hit.network, one.hit.found)
        and devices <= {one.hit.node, *one.hit.others}
        for one in held
    )


def _came_too_early(item: Found, after: Audited, told: Told, values: Mapping[Named, Value]) -> bool:
    """Return whether gateways that steps set are alike because one of them, as found, waits for its own."""
    gateways = {after.site.blocks[g].tags[k]: (g, k) for g, k in after.site.gateways.values()}
    orders = [gateways.get(tag) for tag in (item.hit.node, *item.hit.others)]
    set_all = all((order, name) in told.to_set for order in orders for name in item.hit.settings)
    return set_all and any(
        _is_as_found(replace(item, hit=replace(item.hit, order=order)), after, values)
        for order in orders if order
    )  # fmt: skip


def _awaiting_plan(after: Audited, ahead: set[Named]) -> set[int]:
    """Return the findings that only say that a device is not as planned, where the plan is to be amended."""
    return {
        n for n, item in enumerate(after.waiving.items)
        if item.rule.check.kind == "equals-plan"
        and item.hit.settings and {(item.hit.order, name) for name in item.hit.settings} <= ahead
    }  # fmt: skip


def _with_causes(findings: set[int], after: Audited) -> set[int]:
    """Return findings together with the causes that folding has named for them and for no others."""
    items, causes = after.waiving.items, after.causes
    named = {cause for n, cause in causes.items() if n in findings and items[cause].folds()}
    return findings | (named - {cause for n, cause in causes.items() if n not in findings})


def _is_news(item: Found) -> bool:
    """Return whether a finding counts, rather than saying what was not read or tried, or only remarking."""
    unread = item.rule.check.kind in NOT_NEWS or item.folds(*UNREAD) or item.asks("access-code", "not-tried")
    return not unread and not is_remark(item)


def _wrong(item: Found, name: str, with_it: list[str]) -> NewlyWrong:
    where = " ".join(filter(None, (item.hit.network, item.hit.node)))
    message = f"{where}: {item.hit.message}" if where else item.hit.message
    places = [evidence_place(place) for place in item.hit.places if place.file]
    return NewlyWrong(id=name, message=message, remedy=item.remedy, place=next(iter(places), None),
                      with_it=with_it)  # fmt: skip
