"""Whether a node is in another gateway's list, and whether its own gateway accepts new nodes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.diagnosis.evidence import Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.since import held, last_heard
from audit.diagnosis.lists import Sighting, cell
from audit.diagnosis.missing import silent_after_s, state_of
from audit.diagnosis.snapshot import Snapshot
from audit.model.table import in_file
from audit.reading.identifiers import bare, spelling

CLOSED, OPEN = ("closed", "off", "no", "false"), ("open", "on", "yes", "true")


def elsewhere(case: Case) -> Answered | NotKnown | None:
    """Return whether it is in the newest list of another gateway; None if there is no other."""
    if len(case.site.gateways) < 2:
        return None
    others = _others(case)
    if not others:
        return NotKnown("whether it is in another gateway's list: none was given")
    seen_at = [(_is_heard(case, newest, seen), newest, seen) for newest in others
               if (seen := _seen(case, newest))]  # fmt: skip
    if seen_at:
        is_heard, newest, seen = max(seen_at, key=lambda one: one[0])
        words = seen.listed(case.examined.gateway_of(newest.network))
        places = (seen.place, seen.table.place(seen.entry, "serial"))
        answer = "heard-elsewhere" if is_heard else "listed-elsewhere"
        return Answered(answer, words, tuple(dict.fromkeys(places)))
    nameless = next(_nameless(case, others), "")
    if nameless:
        return NotKnown(f"whether it is in another gateway's list: {nameless}")
    others = [one for one in others if not one.at_nodes]  # these do not show what is not in them
    if not others:
        return NotKnown("whether it is in another gateway's list: none was given")
    others = [one for one in others if not _before_it_was_lost(case, one)]
    if not others:
        return NotKnown(
            f"whether another gateway hears it now: {case.gateway_tag} still heard it when the newest list "
            "of another gateway was made; take a new list"
        )
    files = list(dict.fromkeys(file for newest in others for file in newest.files))
    words = f"it is in none of the lists of {len(others)} other gateways"
    words = words if len(others) > 1 else "it is not in the list of the other gateway"
    return Answered("not-listed-elsewhere", words, tuple(map(in_file, files)))


def heard_by(case: Case) -> str | None:
    """Return the tag of another gateway that hears a node now, by its newest list; None if none does."""
    for newest in (one for one in _others(case) if one.network in case.site.gateways):
        seen = _seen(case, newest)
        if seen and _is_heard(case, newest, seen):
            return case.site.planned_tag(case.site.gateways[newest.network])
    return None


def _others(case: Case) -> list[Snapshot]:
    """Return the newest lists of other gateways that list anything."""
    lists = case.examined.lists
    names = [network for network in lists.by_network if network != case.network]
    return [newest for network in names if (newest := lists.newest(network)) and newest.size]


def _before_it_was_lost(case: Case, there: Snapshot) -> bool:
    """Return whether its own gateway still heard a node when another gateway's list was made."""
    own = case.examined.lists.newest(case.network)
    if own and state_of(case.examined, case.target)[0] == "heard":
        return own.day >= there.day
    last, _ = last_heard(case)
    if there.at is None:
        return False
    return last >= there.at if there.timed else last.date() > there.at.date()


def _seen(case: Case, newest: Snapshot) -> Sighting | None:
    return newest.sightings.get(case.target) or _by_serial(case, newest)


def _nameless(case: Case, others: Sequence[Snapshot]) -> Iterator[str]:
    """Yield which other gateways list its address without a name."""
    if setting := case.block.first_setting("address"):
        has = held(case, case.target, setting)
        value = has.value if has else case.planned(setting)
        for newest in others:
            for seen in (one for one in newest.strangers if not (one.serial or one.tag)):
                here = cell(seen.table, seen.entry, {setting.name: setting})
                if value.read and here and here.value.content == value.content:
                    tag = case.examined.gateway_of(newest.network)
                    row = f"its address {value.shown} in a row that names no device"
                    yield f"the list of {tag} has {row}; find out which device it is"


def _is_heard(case: Case, there: Snapshot, seen: Sighting) -> bool:
    """Return whether another gateway hears it, by a list that is no older than that of its own gateway."""
    own = case.examined.lists.newest(case.network)
    now = own is None or own.day <= there.day
    return now and (seen.heard_s or 0) <= silent_after_s(case.examined, case.target)


def _by_serial(case: Case, newest: Snapshot) -> Sighting | None:
    """Return the row of a stranger with the serial number that was found or planned for the node."""
    own = {spelling(bare(table.texts("serial")[entry])) for table, entry in case.rows}
    own.add(spelling(case.serial))
    own.discard("")
    return next((s for s in newest.strangers if spelling(s.serial) in own), None)


def window(case: Case) -> Answered | NotKnown | None:
    """Return whether its gateway accepts new nodes; None if the gateway's type has no setting for it."""
    block, i = case.gateway
    if setting := block.first_setting("join_window"):
        value = block.value("found", setting.name, i)
        if not value.read:
            return NotKnown(f"whether joining is open at {case.gateway_tag}: it was not read")
        word = str(value.content).casefold()
        place = (block.found_place(i, setting.name),)
        if word in CLOSED:
            return Answered("joining-closed", f"joining is closed at {case.gateway_tag}", place)
        if word in OPEN:
            return Answered("joining-open", f"joining is open at {case.gateway_tag}", place)
    return None
