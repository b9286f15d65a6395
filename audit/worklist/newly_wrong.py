"""What is newly wrong: findings of a readback after the work that did not exist before it."""

from __future__ import annotations

from collections.abc import Collection

from audit.checking import Found
from audit.judging.findings import evidence_place
from audit.model.arguments import PatternName
from audit.model.worklist import NewlyWrong
from audit.run import Audited
from audit.worklist.devices import Named
from audit.worklist.doubts import is_remark

NOT_NEWS = ("read-back", "waiver")
"""Check kinds whose findings do not count: what a partial readback leaves out, and waivers."""
UNREAD: tuple[PatternName, ...] = ("unread", "unread-device")
"""Patterns of folding of which the same holds."""


def newly_wrong(
    after: Audited, ids: dict[int, str], known: Collection[str], in_steps: set[str], ahead: set[Named]
) -> list[NewlyWrong]:
    """Return the findings that did not exist before, without those that do not count; each cause once.

    A finding is left out if it follows, at the same device, from one that a step still has to correct.
    """
    new = []
    items = after.waiving.items
    expected = {n for n, item in enumerate(items) if _awaits_plan(item, ahead)}
    causes_of_expected = {after.causes[n] for n in expected if n in after.causes}
    causes_of_expected -= {cause for n, cause in after.causes.items() if n not in expected}
    expected |= {n for n in causes_of_expected if items[n].folds()}
    for n, name in ids.items():
        item = items[n]
        no_news = item.rule.check.kind in NOT_NEWS or is_remark(item) or item.folds(*UNREAD)
        no_news |= n in expected or item.asks("access-code", "not-tried")
        if name not in known and n not in after.waiving.waived and not no_news:
            new.append(n)
    with_it: dict[int, list[str]] = {n: [] for n in new}
    for n in new:
        if after.causes.get(n) in with_it:
            with_it[after.causes[n]].append(ids[n])
    to_do = {n for n, name in ids.items() if name in in_steps}
    follows = {n for n in new if after.causes.get(n) in to_do and not items[n].hit.others}
    return [
        _wrong(items[n], ids[n], with_it[n])
        for n in new
        if n not in follows and after.causes.get(n) not in with_it
    ]


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
