"""Columns of numbers that are the planned ones in another unit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import partial

from audit.folding.findings import Cause, Findings
from audit.folding.numbers import Pair, Way, names_of, pairs, put_together
from audit.grouping import grouped
from audit.model.roles import DIFFERENCES
from audit.pairing.stating import selectors_of
from audit.reading import units


def in_other_unit(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find numbers of a network, of any settings, that are the planned ones in another unit."""
    with_units = ((network, pair) for network, pair in pairs(findings) if pair.setting.unit)
    groups = grouped(((network, pair.setting.unit), pair) for network, pair in with_units)
    for (_, ours), group in groups.items():
        ways = [
            Way(
                partial(_expected, other, of_found),
                partial(_words, ours, other, of_found),
                partial(_may_be_a_point, other),
            )
            for other in units.mixed_up_with(ours)
            for of_found in (True, False)
        ]
        yield from put_together(findings, group, ways, at_least)


def _expected(other: str, of_found: bool, pair: Pair) -> Decimal | None:
    """Return the planned number converted into the other unit, or as if it were in that unit.

    A factor of ten may as well be a moved decimal point; it counts as a unit if the device can be set to that
    unit.
    """
    ours, difference = pair.setting.unit, pair.setting.role in DIFFERENCES
    source, target = (ours, other) if of_found else (other, ours)
    line = units.line(source, target, difference=difference)
    if line is None or (not line[1] and _power_of_ten(line[0]) and not _offers(pair, other)):
        return None
    return pair.planned * line[0] + line[1]


def _may_be_a_point(other: str, pair: Pair) -> bool:
    """Tell whether a number is also off by a power of ten: 25 for 250 kPa is near 25.49 mH2O."""
    return bool(pair.planned and _power_of_ten(pair.found / pair.planned)) and not _offers(pair, other)


def _power_of_ten(factor: Decimal) -> bool:
    return factor.normalize().as_tuple().digits == (1,)


def _offers(pair: Pair, unit: str) -> bool:
    """Tell whether the device can be set to a unit, whatever its pressure reference."""
    selectors = selectors_of(pair.block, pair.setting)
    return any(units.split(o)[0] == units.split(unit)[0] for s in selectors for o in s.options)


def _words(ours: str, other: str, of_found: bool, group: Sequence[Pair]) -> str:
    """Return the message for numbers in another unit, with the unit that their devices show."""
    one = len({pair.setting.name for pair in group}) == 1
    if of_found:
        said = f"{names_of(group)} {'seems' if one else 'seem'} to be in {other}, where {ours} is planned"
    else:
        what = f"{names_of(group)} {'is' if one else 'are'}"
        said = f"{what} as if the planned numbers were in {other} and not in {ours}"
    point = any(pair.planned and _power_of_ten(pair.found / pair.planned) for pair in group)
    return f"{said}{', or their decimal point has moved' if point else ''}{_shown_unit(group)}"


def _shown_unit(group: Sequence[Pair]) -> str:
    """Return what to add about the units that the devices show."""
    shown = [
        pair.block.value("found", selector.name, pair.index).shown
        for pair in group for selector in selectors_of(pair.block, pair.setting)
    ]  # fmt: skip
    if not shown:
        return ""
    read = list(dict.fromkeys(filter(None, shown)))
    return f" (the devices show {', '.join(read)})" if read else " (the unit on the devices was not read)"
