"""Steps that are more than a setting: looking, reading, deciding, replacing, changing codes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from audit.checking import Found
from audit.folding.causes import dependents
from audit.model.arguments import PatternName
from audit.model.device import AT_THE_DEVICE, Where
from audit.model.work import At, Manner
from audit.phrases import listed
from audit.reading.identifiers import natural
from audit.worklist.devices import Device, Order
from audit.worklist.drafts import DESK_MINUTES, Draft, Making, drafted
from audit.worklist.held import also_held

UNCLEAR = "reading-unclear"
"""The rule whose work is to read settings one by one."""
NOT_OF_THE_DEVICES: tuple[PatternName, ...] = (
    "another-site", "other-tags", "strange-file", "replaced", "names-slipped", "unclear-alike", "undated",
    "nameless-rows", "respelled", "nodes-under-unplanned-gateway", "silent-together", "other-order",
)  # fmt: skip
"""Patterns of folding whose cause may mean that none of the devices concerned is wrong at all."""


def add_rule_work(making: Making) -> None:
    """Add the steps for findings that no change of a setting resolves, and those to do before a change."""
    under_one = dependents(making.audited.causes)
    reads: dict[tuple[Order, Where], list[int]] = defaultdict(list)
    late: list[int] = []
    first: defaultdict[Order, set[int]] = defaultdict(set)
    for n in [n for n in making.ids if n not in making.waived]:
        item, cause = making.items[n], _open_cause(making, n)
        settled = cause is not None and _settled_with(cause)
        under = cause is not None and not cause.folds()
        if item.hit.side == "planned" and not settled:
            _add_doubt(making, n)
        elif _has_its_step(making, n) or _is_with(making, n, _causes_beside(making, n, under_one)):
            continue
        elif settled or under or _only_stands_for_others(making, n):
            late.append(n)
        elif _reads(making, item):
            reads[item.hit.order, _read_at(making, item)].append(n)
        else:
            _add_work(making, n, under_one, first)
    for (order, where), group in reads.items():
        _add_reading(making, making.devices[order], where, group)
    for n in late:
        _goes_with(making, n, under_one, first)
    for draft in making.drafts:
        if draft.device and draft.changes:
            draft.needs |= first.get(draft.device.order, set())


def _open_cause(making: Making, n: int) -> Found | None:
    """Return the finding that a finding goes under, unless that is waived."""
    cause = making.audited.causes.get(n)
    return None if cause is None or cause in making.waived else making.items[cause]


def _has_its_step(making: Making, n: int) -> bool:
    """Return whether a finding is dealt with, or held back, and needs no step before that at its device."""
    work = making.work.for_rule(making.items[n].rule.id)
    comes_first = work is not None and work.first and work.at == "device"
    return not comes_first and bool(making.made_for[n] or n in making.held_for)


def _causes_beside(making: Making, n: int, under_one: Mapping[int, Sequence[int]]) -> list[int]:
    """Return the findings at its device that a finding comes from, if they have the same root cause."""
    items, root = making.items, making.audited.causes.get(n)
    item = items[n]
    return [
        m for m in (under_one[root] if root is not None else ())
        if m in making.ids and items[m].hit.order == item.hit.order
        and items[m].rule.id in item.rule.symptom_of
    ]  # fmt: skip


def _settled_with(cause: Found) -> bool:
    """Return whether nothing is to be done at a device until a cause is settled, and perhaps nothing then.

    The plan is wrong, or there is one reason for a whole file or network.
    """
    return cause.hit.side == "planned" or cause.folds(*NOT_OF_THE_DEVICES)


def _only_stands_for_others(making: Making, n: int) -> bool:
    """Return whether a finding was made by folding and has no work of its own."""
    item = making.items[n]
    work = making.work.for_rule(item.rule.id)
    return item.folds() and (work is None or work.phase == "read")


def _reads(making: Making, item: Found) -> bool:
    odd = any((item.hit.order, name) in making.unclear for name in item.hit.settings)
    work = making.work.for_rule(item.rule.id)
    reads = work is not None and work.phase == "read" and item.hit.order in making.devices
    return reads or (odd and not item.folds())


def _read_at(making: Making, item: Found) -> Where:
    """Return where the settings of a finding are read: where the first is that is not read at the device."""
    settings = making.devices[item.hit.order].block.type.settings
    places = [setting.read_at for setting in settings if setting.name in item.hit.settings]
    return next((place for place in places if place not in AT_THE_DEVICE), "display")


PLACES: dict[Where, tuple[At, str]] = {
    "display": ("device", "at the display"),
    "gateway": ("desk", "in the gateway's list"),
    "host": ("host", "at the host"),
    "document": ("desk", "in the documents"),
}


def _add_reading(making: Making, device: Device, where: Where, findings: list[int]) -> None:
    """Add one step that reads everything that was not read of a device."""
    items = [making.items[n] for n in findings]
    whole = next((item for item in items if not item.hit.settings), None)
    works = [making.work.for_rule(item.rule.id) for item in ([whole] if whole else items)]
    work = next((w for w in works if w and w.phase == "read"), making.work.for_rule(UNCLEAR))
    if work is None:
        return
    at, words = PLACES[where]
    names = {name for item in items for name in item.hit.settings}
    settings = [s for s in device.block.type.settings if s.name in names]  # in the order of the display
    if whole:
        do = f"{_sentence(whole)} {work.do or whole.remedy}"
    else:
        labels = [f"{s.label or s.name} ({s.where})" if s.where else s.label or s.name for s in settings]
        do = f"Read {words} and write down: {listed(labels, 40)}"
    if odd := [s for s in settings if (device.order, s.name) in making.never_shown]:
        read = listed([f"{s.label or s.name} {device.value('found', s).shown}" for s in odd], 40)
        do += f". A device of its type cannot show {read}; if it does, correct the device type"
    draft = drafted(work, device, do)
    draft.at = at
    draft.minutes = work.minutes if whole else max(work.minutes, float(len(settings)))
    making.add(draft, findings)


def _add_doubt(making: Making, n: int) -> None:
    """Add a step at the desk for a doubt about the plan itself."""
    item = making.items[n]
    hit = item.hit
    making.add(
        Draft(
            at="desk",
            phase="look",
            minutes=DESK_MINUTES,
            do=f"The plan itself is in doubt: {_sentence(item)} {item.remedy}",
            device=making.devices.get(hit.order) if hit.node else None,
            network=hit.network,
            tag=hit.node,
            expect="the plan is settled and revised, and a new list has been made with it",
        ),
        [n],
    )


def _add_work(
    making: Making, n: int, under_one: Mapping[int, Sequence[int]], first: defaultdict[Order, set[int]]
) -> None:
    """Add the step that a rule asks for, in the words of its remedy if it has no others.

    `first` is device → the steps before all changes at it: the devices that their findings, or those under
    them, are about.
    """
    item = making.items[n]
    work = making.work.for_rule(item.rule.id)
    manner: Manner = work or making.work.other_rules
    device = making.devices.get(item.hit.order)
    words = f"{_sentence(item)} {(work.do if work else '') or item.remedy}"
    draft = drafted(manner, device if _is_about(item, manner) else None, words)
    if draft.device is None:
        network = item.hit.network
        draft.network, draft.place, draft.tag = network, network or "wherever it is", item.hit.node
    if work and work.each:
        draft.minutes = work.minutes * max(1, len(item.hit.others))
    number = making.add(draft, [n])
    if work and work.first:
        orders = {making.items[i].hit.order for i in under_one.get(n, ())}
        for order in orders | ({device.order} if device else set()):
            first[order].add(number)


def _is_about(item: Found, manner: Manner) -> bool:
    """Return whether a finding is worked on at one device: its own, or the first of those it covers."""
    return manner.at in ("device", "host") and bool(item.hit.node or item.hit.settings)


def _sentence(item: Found) -> str:
    """Return what was found, with the devices concerned if there are several."""
    hit = item.hit
    others = sorted((tag for tag in hit.others if tag not in hit.message), key=natural)
    return f"{hit.message} ({listed(others, 40)})." if others and not hit.node else f"{hit.message}."


def _goes_with(
    making: Making, n: int, under_one: Mapping[int, Sequence[int]], first: defaultdict[Order, set[int]]
) -> None:
    """Assign a finding to the steps of its cause, or of the findings under it; if there are none, add one."""
    causes = making.audited.causes
    family = [causes[n]] if n in causes else under_one.get(n, ())
    if not _is_with(making, n, family):
        _add_work(making, n, under_one, first)


def _is_with(making: Making, n: int, others: Iterable[int]) -> bool:
    """Assign a finding to the steps of others, or hold it back with them; False if they have neither."""
    others = list(others)
    numbers = {number for i in others for number in making.made_for[i]}
    for number in sorted(numbers):
        making.also_for(number, n)
    held = [i for i in others if i in making.held_for]
    if held and not numbers:
        also_held(making, n, held)
    return bool(numbers or held)


def has_no_step(making: Making) -> list[int]:
    """Return the findings that nothing in the list deals with; there should be none."""
    waived, causes = making.waived, making.audited.causes
    return [n for n in making.ids if n not in waived and not making.made_for[n]
            and n not in making.held_for and causes.get(n) not in making.held_for]  # fmt: skip
