"""Ticking off: what a readback after the work shows of each step, and what is newly wrong."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from audit.audited import Audited
from audit.checking import IN_PART
from audit.checks.apart import is_apart
from audit.checks.before_set import TOO_EARLY, last_said
from audit.comparing import same
from audit.judging.ordering import finding_ids
from audit.model.roles import EXCUSING_ROLES
from audit.model.site import Block
from audit.model.used import InputFile
from audit.model.worklist import HeldBack, Status, Step, WorkCounts, WorkList
from audit.reading.moments import is_later
from audit.worklist.ahead_of_plan import ahead_of_plan, own_ahead
from audit.worklist.changing import at_menu
from audit.worklist.devices import Order
from audit.worklist.drafts import Draft, at_display
from audit.worklist.heard_again import asks_list, is_listed, of_device, of_unplanned, unheard
from audit.worklist.holders import ADDRESS
from audit.worklist.making import Made
from audit.worklist.meeting import perhaps_met
from audit.worklist.newly_wrong import newly_wrong

UNPLANNED_RULE = "unplanned-node"
"""The rule of devices that are not in the plan."""
RIGHT_LATER = "right once the plan is amended"
DOUBTS = {"readings-disagree", "deviation-in-doubt"}
"""Rules with nothing to look at once all readings of a setting agree: then the doubt is gone."""


def tick_off(made: Made, after: Audited) -> WorkList:
    """Return the list with the state of each step, what stays held back, and what is newly wrong."""
    ids = finding_ids(after.site, after.waiving, after.causes, after.book, after.gate)
    still = {name: n for n, name in ids.items() if n not in after.waiving.waived}
    steps = _steps(made, after, still)
    held = [
        one
        for one in made.list.held_back
        if _unread(one.devices, one.network, after) or not still.keys().isdisjoint(one.findings)
    ]
    to_do = {name for one in held for name in one.findings}
    to_do |= {name for step in steps if step.status not in ("done", "by hand") for name in step.findings}
    wrong = newly_wrong(after, ids, made.told, to_do, ahead_of_plan(made.drafts, after))
    return made.list.model_copy(
        update={
            "steps": steps,
            "counts": _counts(made.list, steps, held),
            "held_back": held,
            "newly_wrong": [*wrong, *perhaps_met(made.state, after)],
            "inputs": _inputs(made.list, after),
        }
    )


def is_over(work: WorkList) -> bool:
    """Return whether nothing is left to do that a readback can show."""
    return not work.counts.open and not work.held_back and not work.newly_wrong


def _steps(made: Made, after: Audited, still: Mapping[str, int]) -> list[Step]:
    """Return the steps with what became of each, by the readback and the gateways' lists after the work.

    `still` has the findings that remain after the work: ids and positions.
    """
    idle = {rule.id: why for rule, why in after.checked.idle}
    states = [_state(draft, after, still, idle, made.by_list) for draft in made.drafts]
    silent = unheard(after, still)
    last_for = {name: d for d, draft in enumerate(made.drafts) for name in draft.findings}
    ways = _made_ways(made.drafts, states)
    steps: list[Step] = []
    for d, state in enumerate(ways):
        draft, status = made.drafts[d], state
        sets = draft.device is not None and bool(draft.to_be)
        words = [silent[name] for name in draft.findings if name in silent and last_for[name] == d]
        if not words and sets and asks_list(draft, after):
            words = of_device(draft, after, silent, still)
        words = [f"but {'; '.join(words)}"] if words else []
        if state == "done" and sets and (words or not is_listed(draft, after)):
            status = "not done" if words else "not read again"
            words = words or ["its gateway's list was not read"]
        locks_again = status == "done" and _locks_again_later(made, draft, ways[:d])
        as_left = None if locks_again else _as_left(draft, after, words)
        outcome = {"status": "not done" if locks_again else status, "as_left": as_left}
        steps.append(made.list.steps[d].model_copy(update=outcome))
    return steps


def _counts(work: WorkList, steps: Sequence[Step], held: Sequence[HeldBack]) -> WorkCounts:
    states = [step.status for step in steps]
    done, by_hand = states.count("done"), states.count("by hand")
    left = len(states) - done - by_hand
    now = {"held_back": len(held), "done": done, "by_hand": by_hand, "open": left}
    return work.counts.model_copy(update=now)


def _inputs(work: WorkList, after: Audited) -> list[InputFile]:
    """Return the files of the list, followed by those that were read after the work."""
    known = {file.file for file in work.inputs}
    more = [file for file in after.inputs.files.values() if file.file not in known]
    left = {"readback": "readback after the work"}
    return [
        *work.inputs,
        *(file.model_copy(update={"kind": left.get(file.kind, file.kind)}) for file in more),
    ]


def _state(
    draft: Draft, after: Audited, still: Collection[str], idle: Mapping[str, str], by_list: frozenset[str]
) -> Status:
    """Return what the readback shows of a step; `idle` has the rules that could not look, with why."""
    if draft.to_be and draft.device:
        return _of_settings(draft, after)
    if not draft.findings:
        return "by hand"
    if any(name in still for name in draft.findings):
        return "not done"
    if UNPLANNED_RULE in draft.rules and (shown := of_unplanned(draft, after, by_list)) != "done":
        return shown
    if draft.device is None or (draft.at == "desk" and draft.phase != "read"):
        return "done" if (draft.rules - {UNPLANNED_RULE}).isdisjoint(idle) else "by hand"
    b, i = draft.device.order
    block = after.site.blocks[b]
    if not block.rows[i] and draft.phase == "look" and _label_read(after, draft.device.order):
        return "done"
    asked = _asked(draft, block, i)
    seen = all(block.value("found", name, i).read for name in asked) if asked else block.rows[i]
    rules = draft.rules - DOUBTS - {TOO_EARLY}
    looked = all(idle.get(rule, IN_PART).startswith(IN_PART) for rule in rules)
    looked = looked and not any(is_apart(rule, block, i) for rule in after.book.rules if rule.id in rules)
    in_time = TOO_EARLY not in draft.rules or _read_since_set(draft.device.block, block, i)
    return "done" if seen and looked and in_time else "not read again"


def _read_since_set(before: Block, after: Block, i: int) -> bool:
    """Tell whether a device was read after it was set, which its new row need not say again."""
    read = last_said(after, i, "read_at")
    done = last_said(after, i, "configured_at") or last_said(before, i, "configured_at")
    return read is not None and done is not None and not is_later(done.text, read.text)


def _label_read(after: Audited, order: Order) -> bool:
    """Return whether a row gives the planned serial number of a device, and no setting with it."""
    b, i = order
    serial = after.site.blocks[b].serials[i]
    return bool(serial) and order in after.site.blank and after.site.blank[order].raw.strip() == serial


def _asked(draft: Draft, block: Block, i: int) -> set[str]:
    """Return the settings that have to be read before a step counts as done.

    If some have no planned value, such as when a node was last heard, a rule takes the others from the plan.
    An alarm that is on and a trim that was taken back need nothing that excuses them.
    """
    if draft.phase in ("read", "code"):
        return draft.asks
    asks = draft.asks - {setting.name for role in EXCUSING_ROLES for setting in block.settings(role)}
    asks = asks or draft.asks
    return {name for name in asks if not block.value("planned", name, i).read} or asks


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
            found = draft.device.value("found", setting)  # `before` may be a spare address
            as_before = same(value, before, setting) if before.read else setting.kind == "flag"
            as_before = as_before or (found.read and same(value, found, setting))
            states.add("not done" if as_before else "other value")
    order: tuple[Status, ...] = ("other value", "not done", "not read again", "done")
    return next(state for state in order if state in states)


def _made_ways(drafts: Sequence[Draft], states: Sequence[Status]) -> list[Status]:
    """Return the states of the steps; a device that has reached its place was at its spare address before."""
    made: list[Status] = []
    arrived: set[Order] = set()
    for draft, state in zip(reversed(drafts), reversed(states), strict=True):
        order = draft.device.order if draft.device and draft.sets else None
        back = order in arrived and draft.sets[0].role == ADDRESS
        made.append("done" if back else state)
        if order and made[-1] == "done":
            arrived.add(order)
    return made[::-1]


def _locks_again_later(made: Made, lock: Draft, before: Sequence[Status]) -> bool:
    """Return whether a step locks a menu again while an earlier step, still open, has to unlock it.

    By what the devices show: where only a gateway's list is missing, nothing has to be keyed in.
    """
    if lock.phase != "lock" or lock.findings or lock.device is None:
        return False
    return any(
        status not in ("done", "by hand")
        for draft, status in zip(made.drafts, before, strict=False)
        if draft.device and draft.device.key == lock.device.key and draft.visit == lock.visit
        and at_menu(made.work, draft)
    )  # fmt: skip


def _as_left(draft: Draft, after: Audited, unheard: Sequence[str]) -> str | None:
    if not draft.device or not draft.to_be:
        return None
    b, i = draft.device.order
    found = [(s, after.site.blocks[b].value("found", s.name, i).shown) for s, _, _ in draft.to_be]
    ahead = own_ahead(draft, after)
    return "; ".join(
        [*(at_display(*one) or "not read" for one in found), *[RIGHT_LATER] * bool(ahead), *unheard]
    )


def _unread(tags: Collection[str], network: str, after: Audited) -> bool:
    return any(
        not block.rows[i]
        for block in after.site.blocks for i in range(len(block))
        if block.networks[i] == network and block.tags[i] in tags
    )  # fmt: skip
