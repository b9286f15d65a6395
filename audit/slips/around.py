"""The surroundings of a value: everything that a slip may have taken another value from."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from audit.model.value import BLANK, Value

Key = Decimal | str | bool
"""A value as slips compare it: numbers as numbers, options and identifiers as text."""


@dataclass(frozen=True, slots=True)
class Around:
    """The surroundings of one setting of one device. What is left out is unknown, and nothing is guessed."""

    baseline: Value = BLANK
    """The value of an earlier reading, which the device still has if a change was keyed in but not saved."""
    elevation_m: float | None = None
    """Height of the site above sea level; if left out, sea level."""
    range_low: Value = BLANK
    """Planned lower range value of the same input, in the setting's unit or in `range_unit`."""
    range_high: Value = BLANK
    """Planned upper range value, likewise."""
    range_unit: str = ""
    """Unit of the range if the setting is a percentage of it."""
    sensor: tuple[float, float] | None = None
    """What the input can measure; bounds the random alternative where the setting has no limits."""
    pair: Value = BLANK
    """Planned value of the other setting of a pair, low and high."""
    pair_name: str = ""
    neighbours: tuple[Value, ...] = ()
    """What is planned in the row above or below, only if at least three settings found match that row."""
    taken: Value = BLANK
    """What was found, if that is the address planned for another node of the network."""
    taken_by: str = ""
    others: int = 0
    """How many other nodes of the network are planned with an address."""
    series: Value = BLANK
    """What a sheet that counts up from row to row would show here."""
    planned_text: str = ""
    """The plan's own text, if it is known."""
    further: frozenset[tuple[str, int]] = frozenset()
    """Id of a slip, and how many more values of the readback the same slip explains."""


ALONE = Around()
"""For a value with nothing known around it."""
