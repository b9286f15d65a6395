"""Making: from a site with its findings to the list of steps, checked by replaying it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from audit import __version__
from audit.audited import Audited
from audit.errors import stop
from audit.grouping import grouped
from audit.judging.ordering import finding_ids
from audit.model.base import Position
from audit.model.used import InputFile, SiteName, Tool
from audit.model.work import WorkFile
from audit.model.worklist import WorkCounts, WorkList
from audit.phrases import counted
from audit.reading.documents import read_model
from audit.resources import folder
from audit.worklist.addressing import new_addresses, spares_by_network
from audit.worklist.asking import add_rule_work, has_no_step
from audit.worklist.cautions import cautions_before
from audit.worklist.changing import add_changes, add_locks, is_locked
from audit.worklist.deciding import decide, weigh_many
from audit.worklist.devices import devices, strangers
from audit.worklist.doubts import as_unread, in_doubt, is_remark, never_shown, of_unknown_unit, wanted
from audit.worklist.drafts import Draft, Making
from audit.worklist.gateways_apart import keep_gateways_apart
from audit.worklist.heard_again import only_listed
from audit.worklist.held import hold_back_exchanged
from audit.worklist.holders import ADDRESS, Holder, Key, State
from audit.worklist.joining import Joining, add_joining, add_rest_of_radio, add_roots_of_radio
from audit.worklist.newly_wrong import Told
from audit.worklist.numbering import Numbered, number
from audit.worklist.radio import Way
from audit.worklist.replay import replay
from audit.worklist.spares import check_given
from audit.worklist.unread_first import (
    read_addresses_first,
    read_gateways_first,
    read_nodes_first,
    set_gateways_first,
)
from audit.worklist.visits import finish_last, split_visits

CHANGED_UNKEYED = ("power", "radio", "code")
"""Phases in which a device is changed even where no setting is keyed in: a battery, an antenna, a code."""
TRIED = frozenset({"default-code-not-tried"})
"""The rule, alone, of a step that only tries a code."""
READ_BACK_MINUTES = 5.0
"""To read back what was changed of a device; judgement."""


@dataclass(frozen=True, slots=True)
class Choices:
    """What a person has decided about the list."""

    spares: Sequence[int] = ()
    """Addresses that may be used on the way."""
    start: Position | None = None
    """Where the work begins; the visits are then ordered by distance."""
    radio: Mapping[str, str] = field(default_factory=dict)
    """Network → `plan`, `gateway` or `nodes`: what its radio is to be like."""


@dataclass(frozen=True, slots=True)
class Made:
    """A list, and what it was made from."""

    list: WorkList
    work: WorkFile
    drafts: Sequence[Draft]
    """The draft of each step."""
    state: State
    """Which device was where, as found."""
    told: Told
    """What was found."""
    by_list: frozenset[str] = frozenset()
    """Findings about devices that are not in the plan, but only in gateway lists."""


def make(audited: Audited, choices: Choices) -> Made:
    """Return the work list of a site. Raises InputProblems if none can be made.

    What must not be changed is taken out first; radio and addresses come before other settings, since these
    may depend on what was decided for the network. Passes that let drafts wait for others need all drafts,
    and visits all that waits; locking and reading back close what the visits have become.
    """
    work, inputs = _work_file()
    odd = never_shown(audited)
    doubt = odd | in_doubt(audited)
    unclear = doubt | of_unknown_unit(audited, doubt)
    audited = as_unread(audited, unclear)
    making = Making(audited, work, devices(audited), _ids(audited), wanted(audited, unclear), odd, unclear)
    abroad = hold_back_exchanged(making)
    everyone = list(making.devices.values())
    state = {one.key: replace(one.found, planned=one.key not in abroad) for one in everyone}
    state |= strangers(audited.site, making.devices)
    networks = {network.name: network for network in audited.site.plan.networks}
    check_given(choices.spares, networks.values(), everyone, state)
    ways, desk = decide(making, choices.radio)
    spares, outside = spares_by_network(making, choices.spares, state)
    joining = Joining(state, networks, spares, outside, ways, new_addresses(making))
    add_joining(making, joining)
    _add_rest(making, ways, desk)
    add_changes(making)
    add_rule_work(making)
    read_gateways_first(making)
    read_nodes_first(making)
    set_gateways_first(making, ways)
    read_addresses_first(making)
    keep_gateways_apart(making)
    weigh_many(making)
    split_visits(making)
    finish_last(making)
    add_locks(making)
    _close(making)
    numbered = number(making, choices.start)
    _check(making, state, numbered)
    listed = _listed(making, numbered, inputs)
    return Made(listed, work, numbered.drafts, state, _told(making), only_listed(making))


def _told(making: Making) -> Told:
    """Return what was found, for telling after the work what is new."""
    blocks, items = making.audited.site.blocks, making.items
    found = {name: items[n] for n, name in making.ids.items()}
    named = {(item.hit.order, name) for item in found.values() for name in item.hit.settings}
    values = {
        (order, name): value for order, name in named if order[0] < len(blocks)
        if (value := blocks[order[0]].value("found", name, order[1])).read
    }  # fmt: skip
    to_set = {
        (draft.device.order, setting.name)
        for draft in making.drafts if draft.device for setting, _, _ in draft.to_be
    }  # fmt: skip
    return Told(found, values, to_set)


@cache
def _work_file() -> tuple[WorkFile, InputFile]:
    work, _, file = read_model(folder("rules") / "work.yaml", WorkFile, "work", "rules/work.yaml")
    return work, InputFile(file=file.name, kind="work", sha256=file.sha256, note=f"version {work.version}")


def _ids(audited: Audited) -> dict[int, str]:
    """Return the ids of all findings that need work; a remark in a sheet does not."""
    ids = finding_ids(audited.site, audited.waiving, audited.causes, audited.book, audited.gate)
    return {n: name for n, name in ids.items() if not is_remark(audited.waiving.items[n])}


def _add_rest(making: Making, ways: Mapping[str, Way], desk: Mapping[str, int]) -> None:
    """Deal with radio findings that no step of their own corrects, and put the decision before all others."""
    of_radio = [n for n, draft in enumerate(making.drafts) if any(one.role != ADDRESS for one in draft.sets)]
    drafts = grouped((making.drafts[n].network, n) for n in of_radio)
    wanted = grouped((making.devices[order].network, (order, name)) for order, name in making.wanted)
    findings = grouped((making.items[n].hit.network, n) for n in making.ids)
    for name, way in ways.items():
        own = drafts[name]
        gateway = [n for n in own if (device := making.drafts[n].device) and device.gateway]
        if name in desk:
            for n in own:
                making.drafts[n].needs.add(desk[name])
        rest = gateway or ([desk[name]] if name in desk else [])
        for n in rest:
            add_rest_of_radio(making, way, n, wanted[name])
        if name in desk:
            add_roots_of_radio(making, desk[name], findings[name])


def _close(making: Making) -> None:
    """Add the last step: read back what was changed, and let the list be ticked off."""
    changed = {
        draft.device.key for draft in making.drafts
        if draft.device and (draft.changes or (draft.phase in CHANGED_UNKEYED and draft.rules != TRIED))
    }  # fmt: skip
    if not changed:
        return
    many = counted(len(changed), "device")
    making.add(
        Draft(
            at="closing",
            phase="lock",
            minutes=READ_BACK_MINUTES * len(changed),
            do=(
                f"Have all that was changed, on {many}, read back by someone other than the person who set "
                "it; then make this list again with --done and that readback"
            ),
            expect="every step ticked off, nothing newly wrong; control room told that the work is over",
        )
    )


def _check(making: Making, state: Mapping[Key, Holder], numbered: Numbered) -> None:
    """Replay the list, and refuse it if anything goes wrong on the way. Raises InputProblems."""
    locked = {d.key for d in making.devices.values() if is_locked(d)}
    fault = replay(state, numbered.turns, locked).fault
    if fault is not None:
        where = f"step {fault.step}" if fault.step else "the list"
        raise stop(
            f"the work list is refused, since its own check finds that {where} {fault.what}",
            "correct these devices by hand, with the radio engineer, or report this as a fault of asfound",
        )
    forgotten = has_no_step(making)
    if forgotten:
        raise stop(
            f"the work list is refused, since no step deals with {making.ids[forgotten[0]]}",
            "report this as a fault of asfound",
        )


def _listed(making: Making, numbered: Numbered, work_input: InputFile) -> WorkList:
    audited = making.audited
    plan = audited.site.plan
    return WorkList(
        schema_="asfound/worklist/1",
        site=SiteName.of(plan.site),
        run_on=audited.day.isoformat(),
        counts=_counts(making, numbered),
        held_back=making.held,
        alternatives=making.alternatives,
        visits=numbered.visits,
        steps=numbered.steps,
        route=numbered.route,
        waived=sum(1 for n in making.ids if n in audited.waiving.waived),
        newly_wrong=None,
        cautions=cautions_before(making),
        basis=making.work.source,
        inputs=[*audited.inputs.files.values(), work_input],
        tool=Tool(name="asfound", version=__version__),
    )


def _counts(making: Making, numbered: Numbered) -> WorkCounts:
    field_visits = {step.visit for step, draft in zip(numbered.steps, numbered.drafts, strict=True)
                    if draft.at == "device"}  # fmt: skip
    return WorkCounts(
        steps=len(numbered.steps),
        visits=len(field_visits),
        changes=sum(len(step.changes) for step in numbered.steps),
        devices=len({draft.device.key for draft in numbered.drafts if draft.device}),
        held_back=len(making.held),
        minutes=sum(step.minutes for step in numbered.steps),
        ways_minutes=making.work.amounts.next_place_minutes * len(field_visits),
        done=None,
        open=None,
        by_hand=None,
    )
