"""What is newly wrong: findings of a readback after the work that did not exist before it."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from audit.audited import Audited
from audit.checking import Found
from audit.comparing import same
from audit.grouping import grouped
from audit.judging.findings import evidence_place
from audit.model.arguments import PatternName
from audit.model.value import Value
from audit.model.worklist import NewlyWrong
from audit.worklist.devices import Named
from audit.worklist.doubts import is_remark
from audit.worklist.meeting import kept_apart

NOT_NEWS = ("read-back", "waiver")
"""Check kinds whose findings do not count: what a partial readback leaves out, and waivers."""
UNREAD: tuple[PatternName, ...] = ("unread", "unread-device")
"""Patterns of folding of which the same holds."""


def newly_wrong(
    after: Audited,
    ids: dict[int, str],
    known: Collection[str],
    in_steps: set[str],
    ahead: set[Named],
    told: Mapping[Named, Value],
) -> list[NewlyWrong]:
    """Return the findings that did not exist before, without those that do not count; each cause once.

    A finding is left out if it follows, at the same device, from one that a step still has to correct, or if
    all that it is about was told already and is as it was found. `told` has these settings, as found.
    """
    items, causes = after.waiving.items, after.causes
    left_out = {*after.waiving.waived, *_awaiting_plan(after, ahead), *kept_apart(after)}
    left_out |= _as_told(after, told)
    new = [n for n, name in ids.items() if name not in known and n not in left_out and _is_news(items[n])]
    shown = set(new)
    with_it = grouped((causes[n], ids[n]) for n in new if causes.get(n) in shown)
    to_do = {n for n, name in ids.items() if name in in_steps}
    follows = {n for n in new if causes.get(n) in to_do and not items[n].hit.others}
    return [
        _wrong(items[n], ids[n], with_it[n])
        for n in new if n not in follows and causes.get(n) not in shown
    ]  # fmt: skip


def _as_told(after: Audited, told: Mapping[Named, Value]) -> set[int]:
    """Return the findings about settings that were told already and are as found, and causes of no others.

    Once a gateway is set, a node that waits for its step differs from it, and several may do so in one way.
    """
    items = after.waiving.items
    still = {n for n, item in enumerate(items) if _is_as_found(item, after, told)}
    followed = {cause for cause in after.causes.values() if items[cause].folds()}
    return still | (followed - {cause for n, cause in after.causes.items() if n not in still})


def _is_as_found(item: Found, after: Audited, told: Mapping[Named, Value]) -> bool:
    hit = item.hit
    if hit.others or not hit.settings or hit.order[0] >= len(after.site.blocks):
        return False
    (b, i), names = hit.order, hit.settings
    block = after.site.blocks[b]
    settings = [setting for setting in block.type.settings if setting.name in names]
    return len(settings) == len(names) and all(
        (was := told.get((hit.order, one.name))) is not None
        and (now := block.value("found", one.name, i)).read
        and same(now, was, one)
        for one in settings
    )


def _awaiting_plan(after: Audited, ahead: set[Named]) -> set[int]:
    """Return the findings that wait for the plan to be amended, and causes that have only such under them."""
    items = after.waiving.items
    waiting = {n for n, item in enumerate(items) if _awaits_plan(item, ahead)}
    causes = {cause for n, cause in after.causes.items() if n in waiting and items[cause].folds()}
    return waiting | (causes - {cause for n, cause in after.causes.items() if n not in waiting})


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


def _awaits_plan(item: Found, ahead: set[Named]) -> bool:
    """Return whether a finding only says that a device is not as planned, and the plan is to be amended."""
    about = {(item.hit.order, name) for name in item.hit.settings}
    return item.rule.check.kind == "equals-plan" and bool(about) and about <= ahead
