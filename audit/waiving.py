"""Waiving: live waivers mark the findings that they excuse; waivers that excuse nothing are findings.

A waiver excuses one rule's finding on one device and setting, with one exact value. It hides nothing.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from audit.checking import Found
from audit.checks.apart import is_apart
from audit.folding.causes import Causes, dependents, root_of
from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Block, Site
from audit.model.table import Style
from audit.model.value import Code, Value
from audit.model.waiver import Waiver
from audit.reading.identifiers import bare
from audit.reading.values import parse
from audit.reading.waivers import ReadWaiver
from audit.waivers_told import NOTHING_LEFT, Used, about_waivers, shown

Key = tuple[str, str, str]
"""Rule, node and setting; the setting is blank for a finding about none."""
ENDED = ("expired", "lapsed")
"""States of a waiver that no longer excuses a difference."""


@dataclass(frozen=True, slots=True)
class Waiving:
    """All findings, including those about waivers; what is waived by what; and the state of each waiver."""

    items: list[Found]
    waived: Mapping[int, ReadWaiver]
    states: Sequence[Used]
    under: Causes
    """Position of a finding about a waiver that has ended → the cause of the difference that it excused."""


def waive(
    site: Site,
    items: Sequence[Found],
    causes: Causes,
    rules: Sequence[Rule],
    waivers: Sequence[ReadWaiver],
    today: datetime.date,
) -> Waiving:
    """Return what waivers excuse on a day, and the findings about the waivers themselves."""
    by_key: Mapping[Key, Sequence[int]] = grouped(
        ((item.rule.id, item.hit.node, setting), i)
        for i, item in enumerate(items) for setting in item.hit.settings or ("",)
    )  # fmt: skip
    here = {rule.id: rule for rule in rules}
    alone = [_alone(site, items, by_key, one, here, today) for one in waivers]
    in_use = sorted((used for used in alone if used.state == "in use"), key=lambda u: u.one.waiver.expires)
    waived = {i: used.one for used in in_use for i in used.excused}  # the one that runs longest wins
    waived |= _roots(items, causes, waived)
    excusing = grouped((i, used) for used in alone for i in used.excused)
    naming = grouped((_names(used), used) for used in alone)
    beside = [excusing[used.about[0]] if used.about else naming[_names(used)] for used in alone]
    states = [
        replace(used, state="renewed") if _renewed(used, others, today) else used
        for used, others in zip(alone, beside, strict=True)
    ]
    settings = grouped(((rule_id, node), setting) for rule_id, node, setting in by_key)
    about = [pair for rule in rules for pair in about_waivers(site, items, rule, states, settings, today)]
    under = {
        len(items) + n: root_of(used.about[0], causes)
        for n, (used, _) in enumerate(about)
        if used.about and used.state in ENDED
    }
    return Waiving([*items, *(found for _, found in about)], waived, states, under)


def _alone(
    site: Site, items: Sequence[Found], by_key: Mapping[Key, Sequence[int]], one: ReadWaiver,
    here: Mapping[str, Rule], today: datetime.date,
) -> Used:  # fmt: skip
    """Return a waiver with its state, as if there were no others, and the findings that it names."""
    waiver = one.waiver
    named = by_key.get((waiver.rule, waiver.node, waiver.setting or ""), [])
    excused = [i for i in named if _same_value(site, items[i].hit, one)]
    rule = here.get(waiver.rule)
    state = _state(site, one, today, rule, named=bool(named), excused=bool(excused))
    return Used(one, state, named, excused, rule is None and _is_there(site, one))


def _state(
    site: Site, one: ReadWaiver, today: datetime.date, rule: Rule | None, *, named: bool, excused: bool
) -> str:
    if one.waiver.issued > today:
        return "not yet in force"
    if one.waiver.expires < today:
        may_stand = named or not _was_read(site, one.waiver, rule) or (not rule and _may_stand(site, one))
        return "expired" if may_stand else NOTHING_LEFT
    if not rule:  # check and drift share one register of waivers, but have rules of their own
        return "of another command"
    if excused:
        return "in use"
    if named:
        return "lapsed"
    return "not read" if _could_show(site, one.waiver) and not _was_read(site, one.waiver, rule) else "unused"


def _renewed(used: Used, others: Iterable[Used], today: datetime.date) -> bool:
    """Tell whether another waiver excuses the same once this one has ended.

    `others` excuse the first finding that this one is about or, if there is none, name the same.
    """
    waiver = used.one.waiver
    if used.state not in ("in use", "lapsed", "expired") or waiver.expires == datetime.date.max:
        return False
    then = waiver.expires + datetime.timedelta(days=1) if used.state == "in use" else today
    return any(
        other.one.waiver.issued <= then <= other.one.waiver.expires and set(used.about) <= set(other.excused)
        for other in others
    )


def _names(used: Used) -> tuple[str, str, str | None]:
    return used.one.waiver.rule, used.one.waiver.node, used.one.waiver.setting


def _could_show(site: Site, waiver: Waiver) -> bool:
    """Tell whether a device is planned on which a reading could show what a waiver excuses."""
    return any(
        waiver.node in block.tags and (not waiver.setting or block.type.setting(waiver.setting))
        for block in site.blocks
    )


def _was_read(site: Site, waiver: Waiver, rule: Rule | None) -> bool:
    """Tell whether what a waiver is about was looked at, so that its difference is gone if none was found."""
    for block, i in _devices(site, waiver):
        if rule and is_apart(rule, block, i):
            return False
        value = block.value("found", waiver.setting, i) if waiver.setting else None
        return bool(block.rows_read(i)) and (value is None or value.read)
    return site.readback


def _devices(site: Site, waiver: Waiver) -> Iterator[tuple[Block, int]]:
    """Yield the devices with the tag that a waiver names."""
    for block in site.blocks:
        yield from ((block, i) for i, tag in enumerate(block.tags) if tag == waiver.node)


def _may_stand(site: Site, one: ReadWaiver) -> bool:
    """Tell whether what a waiver of the other command excuses may still be found.

    If its value is no longer found, or is as planned by now, it has nothing left to excuse, nor if its device
    is neither here nor in the readback. Of a waiver that names no setting, nothing shows that.
    """
    unknown = not one.waiver.setting or any(its.tag == one.waiver.node for its in site.strangers)
    return unknown or _is_there(site, one)


def _is_there(site: Site, one: ReadWaiver) -> bool:
    """Tell whether the value of a waiver is found on the device that it names, and is not as planned now."""
    name = one.waiver.setting or ""
    for block, i in _devices(site, one.waiver):
        setting = block.type.setting(name)
        if setting is None:
            continue
        found, planned = (block.value(side, name, i) for side in ("found", "planned"))
        as_planned = site.drift is None and planned.read and found.content == planned.content
        among_others = f"{name} {found.shown}" in one.value  # the finding rests on several settings
        excused = found.state != "blank" and (among_others or _is_excused(one, found, setting))
        if excused and not as_planned:
            return True
    return False


def _same_value(site: Site, hit: Hit, one: ReadWaiver) -> bool:
    """Tell whether a finding is about exactly the value that a waiver excuses."""
    b, i = hit.order
    setting = site.blocks[b].type.setting(one.waiver.setting or "") if b < len(site.blocks) else None
    if setting is None:
        return bare(one.value) == bare(hit.found)
    value = site.blocks[b].value(hit.side, setting.name, i)
    if len(hit.settings) > 1 and shown(hit) and not isinstance(value.content, Code):
        return bare(one.value) == bare(shown(hit))  # the finding rests on all of them, so all count
    return _is_excused(one, value, setting)


def _is_excused(one: ReadWaiver, value: Value, setting: Setting) -> bool:
    """Tell whether a value is the one that a waiver excuses; of an access code, none is written."""
    if isinstance(value.content, Code):
        return not one.value
    if bare(one.value) == bare(value.shown):
        return True
    return value.state != "unclear" and parse(one.value, setting, Style()).content == value.content


def _roots(items: Sequence[Found], causes: Causes, waived: Mapping[int, ReadWaiver]) -> dict[int, ReadWaiver]:
    """Return the folded causes of which all dependents are waived, each with a waiver of theirs."""
    return {
        cause: waived[under[0]]
        for cause, under in dependents(causes).items()
        if items[cause].folds() and all(i in waived for i in under)
    }
