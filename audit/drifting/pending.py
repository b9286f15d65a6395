"""What the plan has changed about devices since a baseline, but nobody has done yet."""

from __future__ import annotations

from collections.abc import Iterator

from audit.drifting.aligning import Aligned
from audit.drifting.sides import Sides
from audit.model.drift import DeviceDrift, DeviceEvent
from audit.model.finding import STRANGERS
from audit.model.site import Block, Target
from audit.pairing.identifying import is_another
from audit.reading.identifiers import spelling
from audit.texts import field_of


def pending(sides: Sides) -> Iterator[DeviceDrift]:
    """Yield the devices that the plan adds, removes or changes, where all is still as in the baseline."""
    aligned, blocks = sides.aligned, sides.site.blocks
    if aligned is None:
        return
    places = {serial: (b, i) for b, block in enumerate(blocks) for i, serial in enumerate(block.serials)}
    done: set[Target] = set()
    for b, block in enumerate(blocks):
        for i, rows in enumerate(block.rows):
            if rows and (b, i) not in aligned.of:
                message = "it is no longer in the plan, but still there"
                yield _pending(sides, "gone", (b, i), message, "tag", block.tags[i])
            elif rows and (b, i) not in done:
                its, planned = block.serials[i], aligned.name("serials", b, i)
                other = places.get(planned, (b, i)) if planned != its else (b, i)
                to_swap = other != (b, i) and aligned.name("serials", *other) == its
                if to_swap and _in_old_places(sides, (b, i), other):
                    done.add(other)
                    yield _to_change_places(sides, (b, i), other)
                else:
                    yield from _to_change(sides, aligned, (b, i))
    yield from _to_come(sides, aligned)


def _in_old_places(sides: Sides, one: Target, other: Target) -> bool:
    """Tell whether two units were both read in the places that they have in the baseline."""
    blocks = [(sides.site.blocks[b], i) for b, i in (one, other)]
    return all(_is_read(block, i, "serial", block.serials[i]) for block, i in blocks)


def _to_change_places(sides: Sides, one: Target, other: Target) -> DeviceDrift:
    """Return the drift that two units are to change places, or are still the other way round."""
    (block, i), (beside, k) = ((sides.site.blocks[b], n) for b, n in (one, other))
    units = f"the units of {block.tags[i]} and {beside.tags[k]}"
    then = [sides.sealed(target).planned_serial for target in (one, other)]
    if then == [beside.serials[k], block.serials[i]]:
        message = f"{units} are the other way round from the plan, as they were in the baseline"
        return sides.as_sealed("swapped", one, message, block.serials[i], (beside.tags[k],))
    message = f"the plan swaps {units}; both are where they were in the baseline"
    return _pending(sides, "swapped", one, message, "serial", block.serials[i], (beside.tags[k],))


def _to_change(sides: Sides, aligned: Aligned, target: Target) -> Iterator[DeviceDrift]:
    """Yield what the plan changes about a device, where that was read as it is in the baseline."""
    b, i = target
    block = sides.site.blocks[b]
    p, k = aligned.of[target]
    new = aligned.plan[p]
    kind, its = new.type, block.type
    retyped = not its.is_called(kind.name)
    with_type = f", as a {kind.name!r}" if retyped else ""
    g, n = sides.site.gateways[block.networks[i]]
    gateway = sides.site.blocks[g].tags[n]
    as_then = "as in the baseline"
    changes: list[tuple[DeviceEvent, str, str, str, str]] = [
        ("exchanged", "serial", new.serials[k], block.serials[i],
         f"the plan gives it serial {new.serials[k]}{with_type}; it has {block.serials[i]}, {as_then}"),
        ("retagged", "tag", new.tags[k], block.tags[i],
         f"the plan calls it {new.tags[k]}; it is {block.tags[i]}, {as_then}"),
        ("moved", "network", new.networks[k], block.networks[i],
         f"the plan has it in the network {new.networks[k]}; it is in {block.networks[i]}, {as_then}"),
    ]  # fmt: skip
    events = []
    for what, field, planned, before, message in changes:
        names = (before, gateway) if field == "network" else (before,)
        if field == "serial" and not retyped and _is_unmended(sides, target, planned):
            still = f"has serial {before}, as in the baseline; {planned} was planned then, and still is"
            yield sides.as_sealed("exchanged", target, still, before)
        elif planned != before and is_another(planned, before) and _is_read(block, i, field, *names):
            events.append(what)
            yield _pending(sides, what, target, message, field, before)
    if retyped and "exchanged" not in events and _is_read(block, i, "type", its.name, its.title):
        message = f"the plan has a {kind.name!r} in its place; it is a {its.name!r}, {as_then}"
        yield _pending(sides, "retyped", target, message, "type", its.name)


def _is_unmended(sides: Sides, target: Target, serial: str) -> bool:
    """Tell whether this serial number was planned for the baseline too, whose other one was read again."""
    b, i = target
    block = sides.site.blocks[b]
    then = sides.sealed(target).planned_serial
    return spelling(then) == spelling(serial) and _is_read(block, i, "serial", block.serials[i])


def _is_read(block: Block, i: int, field: str, *names: str) -> bool:
    """Tell whether a field of a device was read as one of the names."""
    return spelling(field_of(block, i, field)) in {spelling(name) for name in names if name}


def _to_come(sides: Sides, aligned: Aligned) -> Iterator[DeviceDrift]:
    """Yield the devices that are in the plan, but neither in the baseline nor in a readback."""
    found = {spelling(name) for one in sides.site.strangers for name in (one.tag, one.serial) if name}
    for p, k in aligned.new:
        new = aligned.plan[p]
        if not {spelling(name) for name in (new.tags[k], new.serials[k]) if name} & found:
            yield DeviceDrift("came", "pending", new.networks[k], new.tags[k], (STRANGERS, STRANGERS + k),
                              "is planned, but is neither in the baseline nor in a readback",
                              places=(new.planned_place(k, "tag"),))  # fmt: skip


def _pending(
    sides: Sides, what: DeviceEvent, target: Target, message: str, field: str, before: str,
    others: tuple[str, ...] = (),
) -> DeviceDrift:  # fmt: skip
    """Return the drift that the plan has another text in a field of a device, which still is `before`."""
    b, i = target
    block = sides.site.blocks[b]
    its = sides.aligned.of.get(target) if sides.aligned else None
    planned = [sides.aligned.plan[its[0]].planned_place(its[1], field)] if sides.aligned and its else []
    return DeviceDrift(what, "pending", block.networks[i], block.tags[i], target, message, before, before,
                       (block.found_place(i, field), *planned), others)  # fmt: skip
