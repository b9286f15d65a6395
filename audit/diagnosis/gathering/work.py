"""Whether a node or its gateway was worked on lately, and whether the node had ever joined."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from itertools import pairwise
from typing import Literal, NamedTuple

from audit.checks.before_set import times_said
from audit.diagnosis.evidence import MOST_PLACES, Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.exchanges import is_of_old_unit
from audit.diagnosis.gathering.courses import course
from audit.diagnosis.gathering.records import Done, recorded
from audit.diagnosis.lists import cell, time_of
from audit.diagnosis.missing import lost_between
from audit.diagnosis.other_serials import is_still_on
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Block
from audit.model.table import Place, in_file
from audit.reading.heard import NEVER

Joined = Literal["never", "was", "unknown"]
MOST_TELLING = ("record-gone", "record-gateway", "record-exchanged", "record-set", "recent-work")
"""Answers to the question about work; if several apply, the first of them is given."""


class Past(NamedTuple):
    """Whether the node had joined before."""

    joined: Joined
    stated: bool
    """Whether a person has said so; if not, it is read from the files, or not known."""
    words: str
    places: tuple[Place, ...] = ()


def past(case: Case) -> Past:
    """Return whether a node had joined before: it is in its gateway's list, or its signal was read.

    If its gateway's lists of at least two days leave it out, though they have other nodes, it has never
    joined; one list is enough if its unit was exchanged before that, by a change record. What the earlier
    unit did does not count.
    """
    exchange = case.exchange
    since = exchange.change.date.isoformat() if exchange else ""
    sightings = case.examined.lists.of(case.target)
    own = [
        seen
        for seen in sightings
        if seen.network == case.network and seen.day >= since and seen.heard_s != NEVER
        and not (exchange and is_of_old_unit(seen.serial, exchange) and not is_still_on(seen, exchange))
    ]  # fmt: skip
    if own:
        day = f" of {own[-1].day}" if own[-1].day else ""
        words = own[-1].listed(case.gateway_tag, day, "was")
        return Past("was", False, words, (own[-1].place,))
    signals = [one for one in course(case, "rssi", "dBm") if one.at.date().isoformat() >= since]
    if signals:
        words = f"its signal was read on {signals[-1].at.date().isoformat()}"
        return Past("was", False, words, (signals[-1].place,))
    lists = case.examined.lists.by_network.get(case.network, ())
    lists = [one for one in lists if one.size and not one.at_nodes and one.day >= since]
    files = tuple(map(in_file, dict.fromkeys(file for one in lists for file in one.files)))
    if exchange and lists:
        words = (
            f"its unit was exchanged on {since} by change {exchange.change.id}, and {case.gateway_tag} has "
            "not listed it since"
        )
        return Past("never", False, words, (exchange.place, *files))
    days = len({one.day for one in lists})
    if days > 1:
        words = f"it is in none of the lists of {case.gateway_tag} of {days} days"
        return Past("never", False, words, files)
    return Past("unknown", False, "no list shows whether it had joined before")


def work(case: Case) -> Answered | NotKnown:
    """Return whether the node or its gateway was set or changed shortly before the node was lost.

    What was done after that cannot have caused it. A change record that says the node is gone counts however
    old it is.
    """
    gateway, g = case.gateway
    set_at = [done for block, i in ((case.block, case.i), (gateway, g)) for done in _set_at(block, i)]
    done = [*recorded(case), *set_at, *_changed(case.block, case.i), *_changed(gateway, g)]
    newest = case.examined.newest
    if not newest or not (set_at or done or case.examined.changes):
        return NotKnown(
            "whether it was worked on lately: no readback says when it was set (configured_at), and no "
            "change records of what has been done were given (--changes)"
        )
    first, last = lost_between(case) or (newest, datetime.datetime.max)
    days = datetime.timedelta(days=case.causes.limits.recent_days)
    before = [one for one in done if one.at <= last]
    recent = [one for one in before if first - one.at <= days or one.answer == "record-gone"]
    if recent:
        answer = min((one.answer for one in recent), key=MOST_TELLING.index)
        recent.sort(key=lambda one: MOST_TELLING.index(one.answer))
        words = "; ".join(dict.fromkeys(one.words for one in recent))
        places = tuple(dict.fromkeys(place for one in recent for place in one.places))[:MOST_PLACES]
        return Answered(answer, words, places)
    if not before:
        files = dict.fromkeys(read.place.file for read in case.examined.changes)
        words = f"no record says that {case.tag} or {case.gateway_tag} was changed before it was lost"
        return Answered("no-recent-work", words, tuple(map(in_file, files)))
    newest_done = max(before, key=lambda one: one.at)
    words = f"the last work known before it was lost: {newest_done.words}"
    return Answered("no-recent-work", words, newest_done.places[:1])


def _set_at(block: Block, i: int) -> Iterator[Done]:
    """Yield when a device was set, according to its readbacks."""
    for said in times_said(block, i, "configured_at"):
        yield Done(said.at, f"{block.tags[i]} was set on {said.at.date().isoformat()}", (said.place,))


def _changed(block: Block, i: int) -> Iterator[Done]:
    """Yield the radio settings and addresses that differ from the previous dated reading."""
    for setting in block.first_settings(*NETWORK_ROLES, "address"):
        read = [
            (at, here) for table, entry in block.rows_read(i)
            if (at := time_of(table, entry)) and (here := cell(table, entry, {setting.name: setting}))
            and here.value.read
        ]  # fmt: skip
        for (_, old), (at, new) in pairwise(read):
            if old.value.content != new.value.content:
                went = f"went from {old.value.shown} to {new.value.shown} by {at.date().isoformat()}"
                yield Done(at, f"{setting.name} of {block.tags[i]} {went}", (new.place, old.place))
