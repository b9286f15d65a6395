"""Columns of numbers whose decimal point is not where it is planned."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import partial

from audit.folding.findings import Cause, Findings
from audit.folding.numbers import Pair, Way, names_of, pairs, put_together
from audit.grouping import grouped
from audit.reading import units

PLACES = (1, -1, 2, -2, 3, -3)
"""Places by which the point moved, positive to the right."""


def decimal_point(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find numbers of a network, of any settings, that are off by a factor of 10, 100 or 1000."""
    groups = grouped(((network, pair.setting.kind), pair) for network, pair in pairs(findings))
    ways = [Way(partial(_expected, places), partial(_words, places)) for places in PLACES]
    for group in groups.values():
        yield from put_together(findings, group, ways, at_least)


def _expected(places: int, pair: Pair) -> Decimal | None:
    return pair.planned.scaleb(places) if pair.planned else None


def _words(places: int, group: Sequence[Pair]) -> str:
    """Return the message for numbers with their decimal point moved, or with zeros added or lost."""
    many, setting = abs(places), group[0].setting
    one = len({pair.setting.name for pair in group}) == 1
    if setting.kind == "integer":
        zeros = f"{many} {'more' if places > 0 else 'fewer'} zero{'s' if many > 1 else ''} at the end"
        return (
            f"{names_of(group)} {'has' if one else 'have'} {zeros} than planned{_typed_from_the_left(group)}"
        )
    where = f"{many} place{'s' if many > 1 else ''} too far to the {'right' if places > 0 else 'left'}"
    has_its = "has its" if one else "have their"
    return f"{names_of(group)} {has_its} decimal point {where}{_or_units(places, group)}"


def _typed_from_the_left(group: Sequence[Pair]) -> str:
    """Return what to add where the zeros of a padded number went to its end: 0037 read as 3700."""
    left = [str(pair.planned).ljust(pair.setting.digits or 0, "0") for pair in group]
    typed = all(number == str(pair.found) for number, pair in zip(left, group, strict=True))
    return ", as if typed from the left of the field" if typed else ""


def _or_units(places: int, group: Sequence[Pair]) -> str:
    """Return the units that differ by the same factor; nothing where the numbers are in several units."""
    one, (ours, *more) = Decimal(1), {pair.setting.unit for pair in group}
    others = [o for o in units.mixed_up_with(ours) if not more
              and units.convert(one, ours, o) == one.scaleb(places)]  # fmt: skip
    return f", or is in {' or '.join(others)}" if others else ""
