"""Waiving: live waivers mark the findings that they excuse; those that excuse nothing are findings.

A waiver excuses one rule's finding on one device and setting, with one exact value. It hides nothing.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from audit.checking import Found
from audit.errors import nearest
from audit.folding.causes import Causes
from audit.model.arguments import WaiverState
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Site
from audit.model.table import Style
from audit.model.value import Code
from audit.model.waiver import Waiver
from audit.reading.identifiers import bare
from audit.reading.values import parse
from audit.reading.waivers import ReadWaiver

SITE_WIDE = (10**9 + 1, 0)
"""Where findings about waivers stand: behind all others of their network, as no work on a device."""


@dataclass(frozen=True, slots=True)
class Used:
    """What became of a waiver."""

    one: ReadWaiver
    state: str
    named: Sequence[int]
    """Positions of the findings that it names, whatever their values."""
    excused: Sequence[int]
    """Those of them with its value."""

    @property
    def about(self) -> Sequence[int]:
        """The findings that it is about: those with its value, where there are any."""
        return self.excused or self.named


@dataclass(frozen=True, slots=True)
class Waiving:
    """The findings with those about waivers, what is waived by what, and what became of each waiver."""

    items: list[Found]
    waived: Mapping[int, ReadWaiver]
    states: Sequence[Used]


def waive(
    site: Site,
    items: Sequence[Found],
    causes: Causes,
    rules: Sequence[Rule],
    waivers: Sequence[ReadWaiver],
    today: datetime.date,
) -> Waiving:
    """Return what waivers excuse on a day, and what there is to say about them."""
    by_key: dict[tuple[str, str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        for setting in item.hit.settings or ("",):
            by_key[item.rule.id, item.hit.node, setting].append(i)
    here = {rule.id for rule in rules}
    alone = []
    for one in waivers:
        waiver = one.waiver
        named = by_key.get((waiver.rule, waiver.node, waiver.setting or ""), [])
        excused = [i for i in named if _same_value(site, items[i].hit, one)]
        state = _state(site, one, today, named=bool(named), excused=bool(excused), here=waiver.rule in here)
        alone.append(Used(one, state, named, excused))
    in_use = sorted((used for used in alone if used.state == "in use"), key=lambda u: u.one.waiver.expires)
    waived = {i: used.one for used in in_use for i in used.excused}  # by the one that runs longest
    waived |= _roots(items, causes, waived)
    states = [replace(used, state="renewed") if _renewed(used, alone, today) else used for used in alone]
    settings = {(rule, node): set[str]() for rule, node, _ in by_key}
    for rule_id, node, setting in by_key:
        settings[rule_id, node].add(setting)
    about = [found for rule in rules for found in _about(site, items, rule, states, settings, today)]
    return Waiving([*items, *about], waived, states)


def _state(
    site: Site, one: ReadWaiver, today: datetime.date, *, named: bool, excused: bool, here: bool
) -> str:
    if one.waiver.issued > today:
        return "not yet in force"
    if one.waiver.expires < today:
        return "expired" if named or not here or not _was_read(site, one.waiver) else NOTHING_LEFT
    if not here:  # check and drift have rules of their own, and one register of waivers
        return "of another command"
    if excused:
        return "in use"
    if named:
        return "lapsed"
    return "not read" if _could_show(site, one.waiver) and not _was_read(site, one.waiver) else "unused"


def _renewed(used: Used, all_of_them: Iterable[Used], today: datetime.date) -> bool:
    """Tell whether of a waiver that has ended, or will, another one excuses the same from then on."""
    if used.state not in ("in use", "lapsed", "expired"):
        return False
    waiver = used.one.waiver
    then = waiver.expires + datetime.timedelta(days=1) if used.state == "in use" else today
    return any(
        other.one.waiver.issued <= then <= other.one.waiver.expires
        and (set(used.about) <= set(other.excused) if used.about else _names(other) == _names(used))
        for other in all_of_them
    )


def _names(used: Used) -> tuple[str, str, str | None]:
    return used.one.waiver.rule, used.one.waiver.node, used.one.waiver.setting


def _could_show(site: Site, waiver: Waiver) -> bool:
    """Tell whether a device is planned whose reading could show what a waiver excuses."""
    return any(
        waiver.node in block.tags and (not waiver.setting or block.type.setting(waiver.setting))
        for block in site.blocks
    )


def _was_read(site: Site, waiver: Waiver) -> bool:
    """Tell whether what a waiver is about was looked at, and its difference is gone if none was found."""
    for block in site.blocks:
        for i in (i for i, tag in enumerate(block.tags) if tag == waiver.node):
            value = block.value("found", waiver.setting, i) if waiver.setting else None
            return bool(block.rows and block.rows[i]) and (value is None or value.read)
    return site.readback


def _same_value(site: Site, hit: Hit, one: ReadWaiver) -> bool:
    """Tell whether a finding is about exactly the value that a waiver excuses."""
    b, i = hit.order
    setting = site.blocks[b].type.setting(one.waiver.setting or "") if b < len(site.blocks) else None
    if setting is None:
        return bare(one.value) == bare(hit.found)
    value = site.blocks[b].value(hit.side, setting.name, i)
    if isinstance(value.content, Code):
        return not one.value
    if bare(one.value) == bare(value.shown):
        return True
    return value.state != "unclear" and parse(one.value, setting, Style()).content == value.content


def _roots(items: Sequence[Found], causes: Causes, waived: Mapping[int, ReadWaiver]) -> dict[int, ReadWaiver]:
    """Return the findings that only stand for others, and all of those are waived."""
    standing_for: dict[int, list[int]] = defaultdict(list)
    for i, cause in causes.items():
        if items[cause].rule.check.kind == "fold":
            standing_for[cause].append(i)
    return {
        cause: waived[dependents[0]]
        for cause, dependents in standing_for.items()
        if all(i in waived for i in dependents)
    }


NOTHING_LEFT = "expired, nothing left"
"""State of a waiver that has expired, and whose difference is no more."""
STATES = {
    "expired": ("expired",),
    "lapsed": ("lapsed",),
    "unused": ("unused", NOTHING_LEFT),
    "not-in-force": ("not yet in force",),
}
"""What a rule asks for → the states of a waiver."""


def _about(
    site: Site,
    items: Sequence[Found],
    rule: Rule,
    states: Sequence[Used],
    settings: Mapping[tuple[str, str], set[str]],
    today: datetime.date,
) -> Iterator[Found]:
    """Yield the findings of one rule about waivers.

    `settings`: rule and node → the settings that the rule reports there, blank for a finding about none.
    """
    check = rule.check
    if not isinstance(check, WaiverState):
        return
    for used in states:
        waiver, state = used.one.waiver, used.state
        left, runs = (waiver.expires - today).days, (waiver.expires - waiver.issued).days
        if check.what in STATES:
            applies = state in STATES[check.what]
        elif check.what == "expiring":
            applies = state == "in use" and left <= check.days
        else:
            applies = waiver.expires >= today and runs > check.days
        if applies:
            named = items[used.about[0]].hit if used.about else None
            words = _words(check.what, used, named, left, runs)
            if state == "unused":
                words += _misnamed(waiver, _tags(site), settings.get((waiver.rule, waiver.node), set()))
            yield Found(rule, _hit(site, used, named, words))


def _misnamed(waiver: Waiver, tags: set[str], settings: set[str]) -> str:
    """Return what a waiver that excuses nothing names wrongly, where that shows."""
    if waiver.node not in tags:
        wild = "name one, there are no wildcards; " if set("*?") & set(waiver.node) else ""
        return f": no device {waiver.node!r} is planned or was found; {wild}{nearest(waiver.node, tags)}"
    if settings:
        named = f"names the setting {waiver.setting}" if waiver.setting else "names no setting"
        return f": it {named}, the rule reports {' and '.join(sorted(settings - {''})) or 'no setting'}"
    return ""


def _tags(site: Site) -> set[str]:
    """Return the names under which findings tell devices, planned ones and others."""
    planned = {tag for block in site.blocks for tag in block.tags}
    return planned | {stranger.tag or stranger.serial for stranger in site.strangers}


SOON = {0: "today", 1: "tomorrow"}
"""Days that are left → how people say it."""


def _words(what: str, used: Used, hit: Hit | None, left: int, runs: int) -> str:
    waiver = used.one.waiver
    about = f"waiver {waiver.id} ({waiver.rule} of {waiver.node})"
    instead = f"; found {hit.found}" if hit and hit.found else ", and another value was found"
    gone = f"expired on {waiver.expires}, and what it excused is no more: close it"
    return {
        "expired": f"{about} expired on {waiver.expires}",
        "expiring": f"{about} expires on {waiver.expires}, {SOON.get(left, f'in {left} days')}",
        "lapsed": f"{about} excuses {used.one.value or 'no value'}{instead}",
        "unused": f"{about} {gone if used.state == NOTHING_LEFT else 'excuses nothing that was found'}",
        "too-long": f"{about} runs for {runs} days",
        "not-in-force": f"{about} is in force from {waiver.issued}",
    }[what]


def _hit(site: Site, used: Used, hit: Hit | None, message: str) -> Hit:
    """Return a finding about a waiver, with what was found at the device that it names."""
    waiver = used.one.waiver
    settings = (waiver.setting,) if waiver.setting else ()
    places = (used.one.place._replace(heading=f"waiver {waiver.id}"), *(hit.places[:1] if hit else ()))
    planned, found, network = (hit.planned, hit.found, hit.network) if hit else ("", "", "")
    network = network or next(
        (block.networks[block.tags.index(waiver.node)] for block in site.blocks if waiver.node in block.tags),
        "",
    )
    return Hit(network, waiver.node, settings, message, planned, found, places=places, order=SITE_WIDE)
