"""planned-beside: a device has a planned value if most others of its kind have one."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from audit.checks.context import Context, hit
from audit.model.asked_of_values import PlannedBeside
from audit.model.device import Setting
from audit.model.finding import Gap, Outcome
from audit.model.site import Block

NONE_CRITICAL = "a setting marked `critical` in the device types"


class Unplanned(NamedTuple):
    """A setting of a block, and the devices that have no planned value for it."""

    b: int
    block: Block
    setting: Setting
    missing: Sequence[int]


def run(context: Context, args: PlannedBeside) -> Outcome:
    """Return a hit for each device without a planned value, if more than half of its kind have one.

    A dash or n/a in the plan says that there is none; it is not an omission.
    """
    unplanned = list(_unplanned(context, args))
    number, missing = _counts(unplanned, args)
    hits = []
    for one in unplanned:
        for i in one.missing:
            kind = _kind(one, i, args)
            have = number[kind] - missing[kind]
            place = one.block.planned_place(i, one.setting.name)
            if 2 * have > number[kind] and not place.raw.strip():
                whose = f"nodes of {kind[1]}" if args.among == "network" else f"devices of type {kind[1]}"
                message = (
                    f"no {one.setting.name} is planned for it; {have} of {number[kind]} {whose} have one"
                )
                places = [one.block.planned_place(i, "tag")]
                hits.append(hit(one.block, one.b, i, [one.setting], message, "planned", extra_places=places))
    gaps = (Gap(NONE_CRITICAL, 1),) if args.critical and not unplanned else ()
    return Outcome(number.total(), hits, gaps)


def _unplanned(context: Context, args: PlannedBeside) -> Iterator[Unplanned]:
    for b, block in context.blocks():
        for setting in block.type.settings:
            if setting.role in args.roles or (args.critical and setting.critical):
                values = block.values("planned", setting.name)
                some = not all(value.read for value in values.among)
                missing = [i for i, value in enumerate(values) if not value.read] if some else []
                yield Unplanned(b, block, setting, missing)


Kind = tuple[str, str]
"""A setting or role, and the network or device type whose devices are compared."""


def _kind(one: Unplanned, i: int, args: PlannedBeside) -> Kind:
    if args.among == "network":
        return one.setting.role, one.block.networks[i]
    return one.setting.name, one.block.type.name


def _counts(unplanned: Sequence[Unplanned], args: PlannedBeside) -> tuple[Counter[Kind], Counter[Kind]]:
    """Return how many devices of each kind there are, and how many of them have no planned value."""
    number: Counter[Kind] = Counter()
    missing: Counter[Kind] = Counter()
    networks: dict[str, Counter[str]] = defaultdict(Counter)
    for one in unplanned:
        if args.among == "type":
            number[one.setting.name, one.block.type.name] += len(one.block)
        else:
            networks[one.setting.role].update(one.block.networks)
        missing.update(_kind(one, i, args) for i in one.missing)
    number.update({(role, name): n for role, count in networks.items() for name, n in count.items()})
    return number, missing
