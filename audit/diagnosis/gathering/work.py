"""Whether it or its gateway was worked on lately, and whether it had ever joined."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from itertools import pairwise
from typing import Literal, NamedTuple

from audit.diagnosis.evidence import MOST_PLACES, NotKnown, Told, in_file
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.courses import course
from audit.diagnosis.lists import cell, time_of
from audit.merging import moment
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Block
from audit.model.table import Place

Joined = Literal["never", "was", "unknown"]


class Past(NamedTuple):
    """Whether the node had joined before."""

    joined: Joined
    stated: bool
    """Whether a person has said so; otherwise it is read from the files, or not known."""
    words: str
    places: tuple[Place, ...] = ()


def past(case: Case) -> Past:
    """Return whether a node had joined before: it stands in its gateway's list, or its signal was read.

    That it stands in no list of at least two days, though others do, says that it never has.
    """
    own = [seen for seen in case.examined.lists.of(case.target) if seen.network == case.network]
    if own:
        day = f" of {own[-1].day}" if own[-1].day else ""
        heard = f", heard {own[-1].heard} before" if own[-1].heard else ""
        words = f"it stood in the list of {case.gateway_tag}{day}{heard}"
        return Past("was", False, words, (own[-1].place,))
    signals = course(case, "rssi", "dBm")
    if signals:
        words = f"a signal of it was read on {signals[-1].at.date().isoformat()}"
        return Past("was", False, words, (signals[-1].place,))
    lists = [one for one in case.examined.lists.by_network.get(case.network, ()) if one.size]
    if len({one.day for one in lists}) > 1:
        words = f"it stands in none of the lists of {case.gateway_tag} of {len(lists)} days"
        files = dict.fromkeys(file for one in lists for file in one.files)
        return Past("never", False, words, tuple(map(in_file, files)))
    return Past("unknown", False, "no list tells whether it had joined before")


class Change(NamedTuple):
    """Something that was done to a device."""

    at: datetime.datetime
    words: str
    places: tuple[Place, ...]


def work(case: Case) -> Told | NotKnown:
    """Return whether the node or its gateway was set, or a radio setting changed, shortly before."""
    gateway, g = case.gateway
    dated, newest = False, case.examined.newest
    changes: list[Change] = []
    for block, i in ((case.block, case.i), (gateway, g)):
        settings = list(_set_at(block, i))
        dated = dated or bool(settings)
        changes += [*settings, *_changed(block, i)]
    if not newest or not (dated or changes):
        return NotKnown("whether it was worked on lately: no readback says when it was set (configured_at)")
    since = newest - datetime.timedelta(days=case.causes.limits.recent_days)
    recent = [change for change in changes if change.at >= since]
    if recent:
        words = "; ".join(dict.fromkeys(change.words for change in recent))
        places = tuple(dict.fromkeys(place for change in recent for place in change.places))[:MOST_PLACES]
        return Told("recent-work", words, places)
    last = max(changes, key=lambda change: change.at)
    words = f"nothing newer than this is known: {last.words}"
    return Told("no-recent-work", words, last.places[:1])


def _set_at(block: Block, i: int) -> Iterator[Change]:
    """Yield when a device was set, as its readbacks say."""
    for table, entry in block.rows[i] if block.rows else ():
        try:
            at = moment(table.texts("configured_at")[entry])
        except ValueError:
            continue
        if at:
            words = f"{block.tags[i]} was set on {at.date().isoformat()}"
            yield Change(at, words, (table.place(entry, "configured_at"),))


def _changed(block: Block, i: int) -> Iterator[Change]:
    """Yield the radio settings and addresses that differ from the dated reading before."""
    for role in (*NETWORK_ROLES, "address"):
        for setting in block.settings(role)[:1]:
            read = [
                (at, here) for table, entry in (block.rows[i] if block.rows else ())
                if (at := time_of(table, entry)) and (here := cell(table, entry, {setting.name: setting}))
                and here.value.read
            ]  # fmt: skip
            for (_, old), (at, new) in pairwise(read):
                if old.value.content != new.value.content:
                    words = (
                        f"{setting.name} of {block.tags[i]} went from {old.value.shown} to {new.value.shown} "
                        f"by {at.date().isoformat()}"
                    )
                    yield Change(at, words, (new.place, old.place))
