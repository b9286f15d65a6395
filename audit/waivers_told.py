"""Findings about waivers that have ended, will end soon, or excuse nothing."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from audit.checking import Found
from audit.errors import nearest
from audit.model.arguments import WaiverState
from audit.model.finding import SITE_WIDE, Hit
from audit.model.rule import Rule
from audit.model.site import Site
from audit.model.waiver import Waiver
from audit.reading.waivers import ReadWaiver

NOTHING_LEFT = "expired, nothing left"
"""State of a waiver that has expired and whose difference is gone."""
STATES = {
    "expired": ("expired",),
    "lapsed": ("lapsed",),
    "unused": ("unused", NOTHING_LEFT),
    "not-in-force": ("not yet in force",),
}
"""What a rule looks for → the states of a waiver that match."""


@dataclass(frozen=True, slots=True)
class Used:
    """A waiver with its state and the findings that it names."""

    one: ReadWaiver
    state: str
    named: Sequence[int]
    """Positions of the findings that it names, with any value."""
    excused: Sequence[int]
    """Those of them with its value."""
    still_there: bool = False
    """Whether its value was found, though its rule is one of the other command, which alone can name it."""

    @property
    def about(self) -> Sequence[int]:
        """The findings that it is about: those with its value if there are any."""
        return self.excused or self.named


def about_waivers(
    site: Site,
    items: Sequence[Found],
    rule: Rule,
    states: Sequence[Used],
    settings: Mapping[tuple[str, str], Sequence[str]],
    today: datetime.date,
) -> Iterator[tuple[Used, Found]]:
    """Yield the findings of one rule about waivers, each with its waiver.

    `settings` is rule and node → the settings that the rule reports there, blank for a finding about none.
    """
    check = rule.check
    if not isinstance(check, WaiverState):
        return
    tags = _tags(site) if states else set()
    for used in states:
        waiver, state = used.one.waiver, used.state
        left, runs = (waiver.expires - today).days, (waiver.expires - waiver.issued).days
        if _applies(check, state, left, runs):
            named = items[used.about[0]].hit if used.about else None
            other = "check" if site.drift else "drift"
            words = _words(check.what, used, named, left, runs, other)
            if state == NOTHING_LEFT and waiver.node not in tags:
                words = _of_no_device(waiver)
            if check.what == state == "unused":
                words += _misnamed(waiver, tags, settings.get((waiver.rule, waiver.node), ()))
            yield used, Found(rule, _hit(site, used, named, words))


def _applies(check: WaiverState, state: str, left: int, runs: int) -> bool:
    """Return whether a rule is about a waiver that has `left` days left of those that it `runs`."""
    if check.what in STATES:
        return state in STATES[check.what]
    if check.what == "expiring":
        return state == "in use" and left <= check.days
    return left >= 0 and runs > check.days


def _of_no_device(waiver: Waiver) -> str:
    """Return what is said of a waiver that has expired, and whose device is gone or has another tag."""
    return (
        f"waiver {waiver.id} ({waiver.rule} on {waiver.node}) expired on {waiver.expires}, and no device "
        f"{waiver.node!r} is planned or was found; under another tag it may still differ: close the waiver"
    )


def _misnamed(waiver: Waiver, tags: set[str], settings: Sequence[str]) -> str:
    """Return what a waiver that excuses nothing names wrongly, if that can be seen."""
    if waiver.node not in tags:
        wild = "name one, since there are no wildcards; " if set("*?") & set(waiver.node) else ""
        return f": no device {waiver.node!r} is planned or was found; {wild}{nearest(waiver.node, tags)}"
    if settings:
        named = f"names the setting {waiver.setting}" if waiver.setting else "names no setting"
        reported = " and ".join(sorted(filter(None, settings))) or "no setting"
        return f": it {named}, but the rule reports {reported}"
    return ""


def _tags(site: Site) -> set[str]:
    """Return the names under which findings list devices, planned ones and others."""
    planned = {tag for block in site.blocks for tag in block.tags}
    return planned | {stranger.tag or stranger.serial for stranger in site.strangers}


SOON = {0: "today", 1: "tomorrow"}
"""Days left → how people say it."""


def _words(what: str, used: Used, hit: Hit | None, left: int, runs: int, other: str) -> str:
    """Return what is said of a waiver; `other` is the command that this run is not."""
    waiver = used.one.waiver
    about = f"waiver {waiver.id} ({waiver.rule} on {waiver.node})"
    instead = ", but reports show no value there: take the value out of the waiver"
    if hit and shown(hit):
        instead = f"; {hit.side} {shown(hit)}: correct it, or have exactly this value approved in the waiver"
    gone = f"expired on {waiver.expires}, and the difference it excused is gone: close the waiver"
    renew = ": correct the difference and close the waiver, or have it renewed by its approver"
    if used.still_there:
        still = f", and the {waiver.setting} that it excused is still there: if `asfound {other}` reports it"
        renew = f"{still}, correct it, or have the waiver renewed by its approver; otherwise close the waiver"
    elif not used.named:
        renew = ", and nothing shows whether the difference is still there: find out, and close or renew it"
    return {
        "expired": f"{about} expired on {waiver.expires}{renew}",
        "expiring": f"{about} expires on {waiver.expires}, {SOON.get(left, f'in {left} days')}",
        "lapsed": f"{about} excuses {used.one.value or 'no value'}{instead}",
        "unused": f"{about} {gone if used.state == NOTHING_LEFT else 'excuses nothing that was found'}",
        "too-long": f"{about} runs for {runs:,} days",
        "not-in-force": f"{about} is not in force until {waiver.issued}",
    }[what]


def shown(hit: Hit) -> str:
    """Return the value of a finding as reports show it: found, or planned if the plan is wrong."""
    return hit.found or (hit.planned if hit.side == "planned" else "")


def _hit(site: Site, used: Used, hit: Hit | None, message: str) -> Hit:
    """Return a finding about a waiver, with what was found on the device that it names."""
    waiver = used.one.waiver
    settings = (waiver.setting,) if waiver.setting else ()
    places = (used.one.place._replace(heading=f"waiver {waiver.id}"), *(hit.places[:1] if hit else ()))
    planned, found, network = (hit.planned, hit.found, hit.network) if hit else ("", "", "")
    network = network or next(
        (block.networks[block.tags.index(waiver.node)] for block in site.blocks if waiver.node in block.tags),
        "",
    )
    return Hit(network, waiver.node, settings, message, planned, found, places=places, order=SITE_WIDE)
