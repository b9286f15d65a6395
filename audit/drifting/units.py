"""Units since a baseline: exchanged, crossed, under another tag, or of another type."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from audit.drifting.sides import Sides
from audit.model.drift import DeviceDrift, DeviceEvent, ReadChange
from audit.model.identified import Match
from audit.model.site import Target
from audit.pairing.crossed import Crossed
from audit.pairing.identifying import is_another
from audit.reading.identifiers import damaged, spelling
from audit.texts import field_of


def matched(sides: Sides) -> Iterator[DeviceDrift]:
    """Yield exchanged units, units that changed places, and devices under another tag."""
    pairs = sides.crossed
    types = dict(_other_types(sides))
    done: set[Target] = set()
    for match in sides.site.matches:
        target = (match.block, match.index)
        if target in done or match.how in ("settings", "corrected"):
            continue
        block, i = sides.site.blocks[match.block], match.index
        other_tag = is_another(match.found_tag, block.tags[i])
        lost = damaged(match.found_serial)
        other_serial = not lost and is_another(match.found_serial, block.serials[i])
        if target in pairs:
            crossed = pairs[target]
            done.update((one.block, one.index) for one in (crossed.one, crossed.other))
            yield from _crossed(sides, crossed)
        elif other_serial:
            done.add(target)
            exchanged = _exchanged(sides, match, types.pop(target, ""), other_tag=other_tag)
            yield exchanged
            if other_tag and exchanged.case != "drift":  # nobody accounted for the tag by that
                yield from _retagged(sides, match)
        elif other_tag:
            done.add(target)
            yield from _retagged(sides, match)
    for target, kind in types.items():
        yield from _retyped(sides, target, kind)


def _crossed(sides: Sides, crossed: Crossed) -> Iterator[DeviceDrift]:
    """Yield that two units have changed places, or only their serial numbers are crossed, now or then."""
    both = [(match.block, match.index) for match in (crossed.one, crossed.other)]
    tag, its = (sides.site.blocks[b].tags[i] for b, i in both)
    what: DeviceEvent = "crossed" if crossed.set_for_tags else "swapped"
    message = f"the units of {tag} and {its} have been swapped: each is under the other's tag"
    if crossed.set_for_tags:
        as_then = "as it was in the baseline under its tag"
        if not all(sides.sealed(one).settings for one in both):
            as_then = "as the baseline has it, or plans it where it was not read, under its tag"
        message = f"the serial numbers of {tag} and {its} are swapped, and each is set {as_then}"
        message += f" ({crossed.shown})"
    planned = _is_swap_planned(sides, both)
    explaining = _swap_recorded(sides, both)
    already = _already_swapped(sides, dict(zip(both, (its, tag), strict=True)))
    if not explaining and what == "swapped" and already:
        if not planned:
            message = f"the units of {tag} and {its} are under each other's tag, {already}"
            yield sides.as_sealed(what, both[0], message, its, (its,), field="tag")
        return
    yield sides.drift(what, both[0], message, before=f"{tag}, {its}", found=f"{its}, {tag}",
                       places=(crossed.one.place,), others=(its,), explaining=explaining,
                       planned=planned)  # fmt: skip


def _is_swap_planned(sides: Sides, both: Sequence[Target]) -> bool:
    """Tell whether the plan gives each of two devices the other's serial number, or the other's tag."""
    if sides.aligned is None:
        return False
    blocks = sides.site.blocks
    serials = [spelling(sides.name_planned("serials", one)) for one in both]
    tags = [sides.name_planned("tags", one) for one in both]
    swapped = [*reversed(both)]
    return (
        serials == [spelling(blocks[b].serials[i]) for b, i in swapped]
        or tags == [blocks[b].tags[i] for b, i in swapped]
    )  # fmt: skip


def _swap_recorded(sides: Sides, both: Sequence[Target]) -> list[ReadChange]:
    """Return the records that two units changed places: both were exchanged, or both renamed."""
    blocks = sides.site.blocks
    swapped = list(zip(both, reversed(both), strict=True))
    exchanged = [sides.exchanges(one, blocks[b].serials[i]) for one, (b, i) in swapped]
    renamed = [sides.retags(one, blocks[b].tags[i]) for one, (b, i) in swapped]
    records = exchanged if all(exchanged) else renamed
    return [read for of_one in records for read in of_one] if all(records) else []


def _already_swapped(sides: Sides, under: Mapping[Target, str]) -> str:
    """Return, in words, that two units were read under each other's tag for the baseline; empty if not.

    `under` is each of them with the tag under which it was found. One that was not read then contradicts
    nothing.
    """
    read = [one for one in under if sides.sealed(one).settings]
    if not read or any(spelling(sides.sealed(one).read_tag) != spelling(under[one]) for one in read):
        return ""
    tags = [sides.site.blocks[b].tags[i] for b, i in sorted(under, key=read.__contains__)]
    if len(read) < len(tags):
        return f"as {tags[-1]} was for the baseline; {tags[0]} was not read then"
    return "as they were for the baseline"


def _exchanged(sides: Sides, match: Match, kind: str, *, other_tag: bool) -> DeviceDrift:
    """Return the drift that a unit was exchanged; `kind` is its type if that is another one."""
    block, i = sides.site.blocks[match.block], match.index
    serial = match.found_serial
    message = f"the unit was exchanged: serial {block.serials[i]} in the baseline, {serial} now"
    if not sides.sealed((match.block, i)).settings:
        message = f"serial {serial} was read; the baseline has {block.serials[i]}, planned but not read"
    if other_tag:
        message += f", under the tag {match.found_tag}"
    places = [match.place, block.planned_place(i, "serial")]
    if spelling(sides.sealed((match.block, i)).planned_serial) == spelling(serial):
        message += ", which was planned then: a number was read wrongly, or the unit was installed since"
    its_plan = sides.name_planned("serials", (match.block, i))
    planned = bool(its_plan) and spelling(its_plan) == spelling(serial)
    if kind:
        was, as_then = _type_then(sides, (match.block, i), kind)
        before = "as the one before was" if as_then else f"the baseline has a {was!r}"
        message += f", and it is a {kind!r}, {before}"
        places += sides.places(block, i, "type")
        planned = planned and _is_planned(sides, (match.block, i), kind)
    return sides.drift("exchanged", (match.block, i), message, before=block.serials[i], found=serial,
                       places=places, explaining=sides.exchanges((match.block, i), serial),
                       planned=planned)  # fmt: skip


def _retagged(sides: Sides, match: Match) -> Iterator[DeviceDrift]:
    """Yield that a device is under another tag, since the baseline or already then."""
    block, i = sides.site.blocks[match.block], match.index
    tag, now = block.tags[i], match.found_tag
    known = bool(match.found_serial) and spelling(match.found_serial) == spelling(block.serials[i])
    what = f"serial {block.serials[i]}" if known else "the device with this network and address"
    network = field_of(block, i, "network")
    explaining = sides.retags((match.block, i), now) or sides.records.anew(
        (match.block, i), now, block.serials[i], network
    )
    its_plan = sides.name_planned("tags", (match.block, i))
    places = (match.place, block.planned_place(i, "tag"))
    if not explaining and spelling(sides.sealed((match.block, i)).read_tag) == spelling(now):
        if spelling(its_plan) != spelling(now):
            message = f"{what} is called {now}, as it was for the baseline; {tag} was planned then"
            still = sides.as_sealed("retagged", (match.block, i), message, now, field="tag")
            yield replace(still, places=places)
        return
    then = "" if sides.sealed((match.block, i)).settings else ", where it was not read,"
    message = f"{what} was {tag} in the baseline{then} and is {now} now"
    yield sides.drift("retagged", (match.block, i), message, before=tag, found=now,
                       places=places, explaining=explaining,
                       planned=bool(its_plan) and spelling(its_plan) == spelling(now))  # fmt: skip


def _other_types(sides: Sides) -> Iterator[tuple[Target, str]]:
    """Yield the devices read as another type than the baseline's, with that type as written."""
    known = {kind.name: kind for kind in sides.records.baseline.content.device_types}
    yield from sides.unlike("type", lambda text, kind: bool(text) and not known[kind].is_called(text))


def _is_planned(sides: Sides, target: Target, kind: str) -> bool:
    """Tell whether the plan gives a device of the baseline that type."""
    its = sides.aligned.of.get(target) if sides.aligned else None
    planned = sides.aligned.plan[its[0]].type if sides.aligned and its else None
    return planned is not None and planned.is_called(kind)


def _type_then(sides: Sides, target: Target, kind: str) -> tuple[str, bool]:
    """Return the type of a device in the baseline, as it was read there, and whether it is this one."""
    read = sides.sealed(target).read_type
    return read or sides.site.blocks[target[0]].type.name, read.casefold() == kind.casefold()


def _retyped(sides: Sides, target: Target, kind: str) -> Iterator[DeviceDrift]:
    """Yield that a device was read as another type, now or already then, though its unit is the same."""
    b, i = target
    block = sides.site.blocks[b]
    planned = _is_planned(sides, target, kind)
    explaining = sides.exchanges(target, field_of(block, i, "serial"))
    was, as_then = _type_then(sides, target, kind)
    if not explaining and as_then:
        if not planned:
            message = f"is a {kind!r}, as it was for the baseline; a {block.type.name!r} was planned then"
            yield sides.as_sealed("retyped", target, message, kind, field="type")
        return
    message = f"is a {kind!r} now; in the baseline it is a {was!r}"
    yield sides.drift("retyped", target, message, before=was, found=kind,
                      places=sides.places(block, i, "type"), planned=planned,
                      explaining=explaining)  # fmt: skip
