"""Drafts: steps that do not have a number yet, and what they are made from."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from audit.audited import Audited
from audit.checking import Found
from audit.model.device import Setting
from audit.model.value import Value
from audit.model.work import PHASES, At, Manner, Phase, WorkFile
from audit.model.worklist import Alternative, Change, HeldBack
from audit.reading.identifiers import natural
from audit.worklist.devices import Device, Named, Order
from audit.worklist.holders import Set, key_order

DESK_MINUTES = 15
"""To settle a doubt about the plan, or agree on a way; judgement."""
LOCK = "local_lock"
"""Role of the setting that locks a device's menu."""
_AS_SWITCHED = {"true": "on", "false": "off"}
"""How YAML and JSON write a flag → what is set at a display, where nobody finds true."""


@dataclass
class Draft:
    """A step in the making. `needs` are positions in the list of drafts."""

    at: At
    phase: Phase
    minutes: float
    do: str
    device: Device | None = None
    network: str = ""
    place: str = ""
    tag: str = ""
    changes: tuple[Change, ...] = ()
    sets: tuple[Set, ...] = ()
    """The changes of address or radio, in the form that the replay needs."""
    to_be: tuple[tuple[Setting, Value, Value], ...] = ()
    """Settings with their values before and after, to see from a later readback whether it was done."""
    findings: list[str] = field(default_factory=list)
    rules: set[str] = field(default_factory=set)
    """The rules of those findings."""
    needs: set[int] = field(default_factory=set)
    asks: set[str] = field(default_factory=set)
    """Settings of its device that its findings are about."""
    hold: str = ""
    expect: str = ""
    rollback: str = ""
    unlocks: bool = False
    """Whether it begins with unlocking the menu."""
    visit: int = 0
    """How many visits its device has had before."""


@dataclass
class Making:
    """All that the list is made from, and what has been made so far."""

    audited: Audited
    work: WorkFile
    devices: dict[Order, Device]
    ids: dict[int, str]
    """Position of a finding → its id."""
    wanted: dict[Named, list[int]]
    """Device and setting → the findings that ask for it to be changed."""
    never_shown: frozenset[Named] = frozenset()
    """The devices and settings whose reading their display cannot show."""
    unclear: frozenset[Named] = frozenset()
    """These, numbers whose unit is not known, and readings in doubt: all are read again before any change."""
    drafts: list[Draft] = field(default_factory=list)
    held: list[HeldBack] = field(default_factory=list)
    alternatives: list[Alternative] = field(default_factory=list)
    made_for: dict[int, list[int]] = field(default_factory=lambda: defaultdict(list))
    """Position of a finding → the drafts that deal with it."""
    held_for: set[int] = field(default_factory=set)
    """Positions of the findings whose correction is held back."""

    @property
    def items(self) -> Sequence[Found]:
        """All findings, by their positions."""
        return self.audited.waiving.items

    @property
    def waived(self) -> Collection[int]:
        """Positions of the findings that a waiver excuses."""
        return self.audited.waiving.waived

    @cached_property
    def gateways(self) -> dict[str, Device]:
        """Network → its gateway."""
        return {device.network: device for device in self.devices.values() if device.gateway}

    @cached_property
    def nodes_in(self) -> Counter[str]:
        """Network → how many nodes it has."""
        return Counter(device.network for device in self.devices.values() if not device.gateway)

    @cached_property
    def roles(self) -> dict[str, str]:
        """Name of a setting → its role."""
        return {s.name: s.role for block in self.audited.site.blocks for s in block.type.settings}

    def in_order(self) -> list[Device]:
        """Return the devices, sorted by network, tag and serial number."""
        return sorted(self.devices.values(), key=lambda device: key_order(device.key))

    def add(self, draft: Draft, findings: Iterable[int] = ()) -> int:
        """Add a draft that deals with some findings, and return its position."""
        number = len(self.drafts)
        self.drafts.append(draft)
        for n in findings:
            self.also_for(number, n)
        return number

    def also_for(self, number: int, finding: int) -> None:
        """Note that a draft deals with a further finding."""
        draft, item = self.drafts[number], self.items[finding]
        if draft.device and draft.device.order == item.hit.order:
            draft.asks.update(item.hit.settings)
        draft.rules.add(item.rule.id)
        if self.ids[finding] not in draft.findings:
            draft.findings.append(self.ids[finding])
            self.made_for[finding].append(number)


def lock_after(draft: Draft) -> bool | None:
    """Return whether a step leaves the menu locked; None: it does not touch the lock."""
    return next((wanted.content is True for s, _, wanted in draft.to_be if s.role == LOCK), None)


def within(draft: Draft) -> tuple[object, ...]:
    """Return the sort key of steps that are done in one go: by phase at a device, by names at a desk."""
    settings = [s.name for s in draft.device.block.type.settings] if draft.device else []
    name = draft.changes[0].setting if draft.changes else ""
    sets_unit = any(setting.role == "unit" for setting, _, _ in draft.to_be)  # numbers are read after it
    shown = settings.index(name) if name in settings and not sets_unit else -1
    last = draft.at == "closing" and draft.phase == "lock"
    who = () if draft.at == "device" else (natural(draft.network), natural(draft.tag))
    locks = lock_after(draft) is True
    return (last, who, PHASES.index(draft.phase), locks, shown, not draft.unlocks, draft.do, draft.findings)


def drafted(manner: Manner, device: Device | None, do: str, phase: Phase | None = None) -> Draft:
    """Return the draft of a piece of work, at a device if one is given."""
    draft = Draft(
        at=manner.at,
        phase=phase or manner.phase,
        minutes=manner.minutes,
        do=do,
        device=device,
        hold=manner.hold,
        expect=manner.expect,
        rollback=manner.rollback,
    )
    if device:
        draft.network, draft.place, draft.tag = device.network, device.location, device.tag
    return draft


def change_of(setting: Setting, before: str, after: str) -> Change:
    """Return a change of a setting, in words."""
    return Change(
        setting=setting.name,
        label=setting.label or setting.name,
        where=setting.where or None,
        before=at_display(setting, before),
        after=at_display(setting, after),
    )


def at_display(setting: Setting, text: str) -> str:
    """Return a value in a word that a display may have."""
    return _AS_SWITCHED.get(text.casefold(), text) if setting.kind == "flag" else text


def step_mark(number: int) -> str:
    """Return the placeholder, in texts, for the number of a step that is not known yet."""
    return f"\x00{number}\x00"


def joined(texts: Iterable[str]) -> str:
    """Return some texts as one, without repeating any of their parts."""
    return "; ".join(dict.fromkeys(part for text in texts if text for part in text.split("; ")))
