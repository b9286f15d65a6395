"""Ticking off: what a readback after the work says of each step, and what is newly wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from audit.checking import IN_PART, Found
from audit.comparing import same
from audit.judging.findings import evidence_place
from audit.judging.ordering import finding_ids
from audit.model.device import Setting
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Block
from audit.model.value import Value
from audit.model.worklist import NewlyWrong, Status, Step, WorkList
from audit.run import Audited
from audit.worklist.devices import Named, Order, is_remark
from audit.worklist.drafts import Draft
from audit.worklist.heard_again import asks_list, is_gone, is_listed, of_device, unheard
from audit.worklist.holders import ADDRESS
from audit.worklist.making import Made
from audit.worklist.meeting import perhaps_met

NOT_NEWS = ("read-back", "waiver")
"""Check kinds whose findings are no news: that a readback of some devices leaves others out, and papers."""
UNPLANNED = "unplanned-node"
"""The rule of devices that are not in the plan."""
RIGHT_LATER = "right once the plan is amended"


DOUBTS = {"readings-disagree", "deviation-in-doubt"}
"""Rules that have nothing to look at once a setting was read alike everywhere: then the doubt is gone."""


def tick_off(made: Made, after: Audited) -> WorkList:
    """Return the list with the state of each step, what stays held back, and what is newly wrong."""
    ids = finding_ids(after.site, after.waiving, after.causes, after.book, after.gate)
    still = {name for n, name in ids.items() if n not in after.waiving.waived}
    idle = {rule.id: why for rule, why in after.checked.idle}
    states = [_state(draft, after, still, idle, made.by_list) for draft in made.drafts]
    states = _made_ways(made.drafts, states)
    open_now = {name: n for n, name in ids.items() if name in still}
    silent = unheard(after, open_now)
    last_for = {name: d for d, draft in enumerate(made.drafts) for name in draft.findings}
    steps = []
    for d, (step, draft) in enumerate(zip(made.list.steps, made.drafts, strict=True)):
        words = [silent[name] for name in draft.findings if name in silent and last_for[name] == d]
        if not words and draft.device and draft.to_be and asks_list(draft, after):
            words = [silent[name] for name in of_device(after, draft.device.order, silent, open_now)]
        if states[d] == "done" and draft.device and draft.to_be and (words or not is_listed(draft, after)):
            states[d] = "not done" if words else "not read again"
            words = words or ["its gateway's list not read"]
        steps.append(_ticked(step, states[d], _as_left(draft, after, words)))
    held = [
        one
        for one in made.list.held_back
        if _unread(one.devices, one.network, after) or still & {*one.findings}
    ]
    counts = made.list.counts.model_copy(
        update={
            "held_back": len(held),
            "done": states.count("done"),
            "by_hand": states.count("by hand"),
            "open": sum(state not in ("done", "by hand") for state in states),
        }
    )
    in_steps = {name for draft in made.drafts for name in draft.findings}
    known = {file.file for file in made.list.inputs}
    more = [file.model_copy(update={"kind": "readback after the work"})
            for file in after.inputs.files.values() if file.file not in known]  # fmt: skip
    return made.list.model_copy(
        update={
            "steps": steps,
            "counts": counts,
            "held_back": held,
            "newly_wrong": [
                *_newly_wrong(after, ids, made.ids, in_steps, _ahead_of_plan(made.drafts, after)),
                *perhaps_met(made.state, after),
            ],
            "inputs": [*made.list.inputs, *more],
        }
    )


def is_over(work: WorkList) -> bool:
    """Tell whether nothing that a readback can show is left to do."""
    return not work.counts.open and not work.held_back and not work.newly_wrong


def _state(
    draft: Draft, after: Audited, still: set[str], idle: Mapping[str, str], by_list: frozenset[str]
) -> Status:
    """Return what the readback says of a step; `idle` has the rules that could not look, each with why."""
    if draft.to_be and draft.device:
        return _of_settings(draft, after)
    if not draft.findings:
        return "by hand"
    if not still.isdisjoint(draft.findings):
        return "not done"
    if UNPLANNED in draft.rules and not is_gone(draft, after, by_list):
        return "not read again"
    if draft.device is None or (draft.at == "desk" and draft.phase != "read"):
        return "done" if (draft.rules - {UNPLANNED}).isdisjoint(idle) else "by hand"
    b, i = draft.device.order
    block = after.site.blocks[b]
    if not block.rows[i] and draft.phase == "look" and _label_read(after, draft.device.order):
        return "done"
    asked = _asked(draft, block, i)
    seen = all(block.value("found", name, i).read for name in asked) if asked else block.rows[i]
    looked = all(idle.get(rule, IN_PART).startswith(IN_PART) for rule in draft.rules - DOUBTS)
    return "done" if seen and looked else "not read again"


def _label_read(after: Audited, order: Order) -> bool:
    """Tell whether a row gives the planned serial number of a device, and no setting beside it."""
    b, i = order
    serial = after.site.blocks[b].serials[i]
    return bool(serial) and order in after.site.blank and after.site.blank[order].raw.strip() == serial


def _asked(draft: Draft, block: Block, i: int) -> set[str]:
    """Return the settings that have to be read before a step counts as done.

    Where some have no planned value, as when a node was last heard, a rule takes the others from the plan.
    """
    unplanned = {name for name in draft.asks if not block.value("planned", name, i).read}
    return draft.asks if draft.phase in ("read", "code") else unplanned or draft.asks


def _of_settings(draft: Draft, after: Audited) -> Status:
    assert draft.device is not None  # noqa: S101 -- seen by the caller
    b, i = draft.device.order
    states: set[Status] = set()
    for setting, before, wanted in draft.to_be:
        value = after.site.blocks[b].value("found", setting.name, i)
        if not value.read:
            states.add("not read again")
        elif same(value, wanted, setting):
            states.add("done")
        else:
            states.add("not done" if before.read and same(value, before, setting) else "other value")
    order: tuple[Status, ...] = ("other value", "not done", "not read again", "done")
    return next(state for state in order if state in states)


def _made_ways(drafts: Sequence[Draft], states: Sequence[Status]) -> list[Status]:
    """Return the states of the steps; whoever has come to its place has also been at the spare before."""
    made: list[Status] = []
    arrived: set[Order] = set()
    for draft, state in zip(reversed(drafts), reversed(states), strict=True):
        order = draft.device.order if draft.device and draft.sets else None
        back = order in arrived and draft.sets[0].role == ADDRESS
        made.append("done" if back else state)
        if order and made[-1] == "done":
            arrived.add(order)
    return made[::-1]


def _as_left(draft: Draft, after: Audited, unheard: Sequence[str]) -> str | None:
    if not draft.device or not draft.to_be:
        return None
    b, i = draft.device.order
    shown = [after.site.blocks[b].value("found", setting.name, i).shown for setting, _, _ in draft.to_be]
    ahead = _own_ahead(draft, after)
    return "; ".join([*(text or "not read" for text in shown), *[RIGHT_LATER] * bool(ahead), *unheard])


def _ahead_of_plan(drafts: Sequence[Draft], after: Audited) -> set[Named]:
    """Return the settings that are as the list says, where the plan has to follow and has not yet.

    Of a radio setting those of the whole network, whether or not the list has a step for each device.
    """
    ahead: set[Named] = set()
    radios: dict[tuple[str, str, object], tuple[Setting, Value]] = {}
    for draft in drafts:
        ahead |= _own_ahead(draft, after)
        for setting, wanted in _to_follow(draft, after):
            if draft.device and setting.role in NETWORK_ROLES:
                radios[draft.device.network, setting.role, wanted.content] = setting, wanted
    for (network, _, _), (setting, wanted) in radios.items():
        ahead |= _shown_in(network, setting, wanted, after)
    return ahead


def _own_ahead(draft: Draft, after: Audited) -> set[Named]:
    """Return the settings of a step's own device that are as it says, where the plan has yet to follow."""
    if draft.device is None:
        return set()
    b, i = draft.device.order
    block = after.site.blocks[b]
    return {
        ((b, i), setting.name)
        for setting, wanted in _to_follow(draft, after)
        if (found := block.value("found", setting.name, i)).read and same(found, wanted, setting)
    }


def _to_follow(draft: Draft, after: Audited) -> Iterator[tuple[Setting, Value]]:
    """Yield the settings of a step, with what it sets them to, that are still planned otherwise."""
    if draft.device is None or not draft.sets:
        return
    b, i = draft.device.order
    for setting, _, wanted in draft.to_be:
        planned = after.site.blocks[b].value("planned", setting.name, i)
        if setting.role != ADDRESS and planned.read and not same(planned, wanted, setting):
            yield setting, wanted


def _shown_in(network: str, setting: Setting, wanted: Value, after: Audited) -> set[Named]:
    """Return the settings of a role that show a value, on all devices of a network."""
    return {
        ((b, i), own.name)
        for b, block in enumerate(after.site.blocks)
        for own in block.settings(setting.role)[:1]
        for i, its in enumerate(block.networks)
        if its == network and (found := block.value("found", own.name, i)).read and same(found, wanted, own)
    }


def _ticked(step: Step, status: Status, as_left: str | None) -> Step:
    return step.model_copy(update={"status": status, "as_left": as_left})


def _unread(tags: Collection[str], network: str, after: Audited) -> bool:
    return any(
        not block.rows[i]
        for block in after.site.blocks for i in range(len(block))
        if block.networks[i] == network and block.tags[i] in tags
    )  # fmt: skip


def _newly_wrong(
    after: Audited, ids: dict[int, str], known: Collection[str], in_steps: set[str], ahead: set[Named]
) -> list[NewlyWrong]:
    """Return the findings that were none before, without those that are no news; each cause once.

    What follows for the same device from a finding that a step still has to mend goes with that step.
    """
    new = []
    items = after.waiving.items
    told = {n for n, item in enumerate(items) if _is_told(item, ahead)}
    stand_for = {after.causes[n] for n in told if n in after.causes}
    stand_for -= {cause for n, cause in after.causes.items() if n not in told}
    told |= {n for n in stand_for if items[n].rule.check.kind == "fold"}
    for n, name in ids.items():
        item = items[n]
        no_news = item.rule.check.kind in NOT_NEWS or is_remark(item) or _folds_unread(after, n) or n in told
        not_tried = item.rule.check.kind == "access-code" and item.rule.check.what == "not-tried"
        if name not in known and n not in after.waiving.waived and not no_news and not not_tried:
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


def _is_told(item: Found, ahead: set[Named]) -> bool:
    """Tell whether a finding only says that a device is not as planned, where the plan has to follow."""
    about = {(item.hit.order, name) for name in item.hit.settings}
    return item.rule.check.kind == "equals-plan" and bool(about) and about <= ahead


def _folds_unread(after: Audited, n: int) -> bool:
    check = after.waiving.items[n].rule.check
    return check.kind == "fold" and check.pattern.startswith("unread")
