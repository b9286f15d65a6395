"""apart: numbers that an expression is to compare with each other, and that are not side by side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from audit.model.asked_of_values import Expression
from audit.model.device import DeviceType, Setting
from audit.model.rule import Rule
from audit.model.site import Block
from audit.reading import units
from audit.reading.moments import day_of


def named(kind: DeviceType, name: str) -> Setting | None:
    """Return the setting that a name in an expression means: the first one with that role, or so named."""
    return kind.first_by_role.get(name) or kind.setting(name)


def apart(
    args: Expression, block: Block, side: str, devices: Sequence[int]
) -> Iterator[tuple[str, Sequence[int]]]:
    """Yield what some devices lack for their numbers to be compared with each other, and which they are."""
    if not (args.side_by_side and devices):
        return
    needed, optional = (
        [setting for name in names if (setting := named(block.type, name))]
        for names in (args.needs, args.may_use)
    )
    if not _convertible([*needed, *optional]):
        yield "units that convert into each other", devices
    elif side == "found" and (those := [i for i in devices if not _on_one_day(block, i, needed)]):
        yield "readings of one day", those


def is_apart(rule: Rule, block: Block, i: int) -> bool:
    """Tell whether a rule leaves out what was found of a device, since it is not side by side."""
    args = rule.check
    return isinstance(args, Expression) and any(apart(args, block, "found", [i]))


def _convertible(settings: Iterable[Setting]) -> bool:
    """Tell whether the numbers of settings are of one quantity, as far as their units say."""
    given = [setting.unit for setting in settings if setting.unit]
    return all(units.convert(Decimal(1), unit, given[0]) is not None for unit in given)


def _on_one_day(block: Block, i: int, settings: Iterable[Setting]) -> bool:
    """Tell whether no settings of a device were read on different days; an undated reading is of any day."""
    newest = [row for setting in settings for row in block.readings(i, setting.name)[:1]]
    return len({day_of(table.texts("read_at")[entry]) for table, entry in newest} - {None}) <= 1
