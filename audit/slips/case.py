"""The case of one planned value: which values its setting can take, and how the display writes them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from math import isfinite
from typing import NamedTuple

from audit.model.device import Setting
from audit.model.table import tidied
from audit.model.value import Value
from audit.reading.values import EXACT, LARGEST, default_value
from audit.slips.around import Around, Key

MOST_LISTED = 1024
"""Most values that one slip lists; those beyond are counted, and recognised by its rule."""


LONGEST = 64
"""Most characters of an identifier that somebody keys in."""
MOST_PLACES = 20
"""Most decimal places of a number that a display shows."""


class Span(NamedTuple):
    """A value that need not be on the display's steps, and how far from it a value still counts."""

    middle: Decimal
    within: Decimal
    words: str = ""


def never(key: Key) -> bool:
    """Recognise nothing."""
    return False


@dataclass(frozen=True, slots=True)
class Reach:
    """The legal values that one slip could make of a planned one."""

    values: Mapping[Key, str] = field(default_factory=dict)
    """Each with its own words, empty where the slip's title is enough."""
    spans: Sequence[Span] = ()
    also: Callable[[Key], bool] = never
    """Recognises what is not listed."""
    unlisted: int = 0
    """How many values are not listed and in no span."""
    in_spans: int = 0

    @property
    def count(self) -> int:
        """How many legal values the slip could yield."""
        return len(self.values) + self.in_spans + self.unlisted

    def words(self, key: Key) -> str | None:
        """Return what to say about a value, empty for the slip's title; None for one that is not reached."""
        if key in self.values:
            return self.values[key]
        if isinstance(key, Decimal):
            for span in self.spans:
                if abs(key - span.middle) <= span.within:
                    return span.words
        return "" if self.also(key) else None


NOTHING = Reach()


@dataclass(frozen=True, slots=True)
class Case:
    """One planned value of a setting, with its surroundings."""

    setting: Setting
    plan: Key
    around: Around
    default: Key | None
    places: int
    """Decimal places of the display."""
    grid: Decimal
    """The smallest step between numbers."""
    limited: bool = True
    """Whether the setting's limits and steps apply: not for a value beyond them, which no device can hold."""

    @property
    def numeric(self) -> bool:
        """Whether the setting is a number."""
        return isinstance(self.plan, Decimal)

    def number(self) -> Decimal:
        """Return the planned number."""
        return self.plan if isinstance(self.plan, Decimal) else Decimal(0)

    def legal(self, key: Key) -> bool:
        """Tell whether the setting can take a value."""
        setting = self.setting
        if isinstance(key, bool):
            return setting.kind == "flag"
        if isinstance(key, Decimal):
            if not self.numeric or (self.limited and not self.on_display(key)):
                return False
            return self._within(key) and self._fits(self.field(key))
        if setting.kind == "option":
            return key in setting.options
        return setting.kind == "text" and bool(key) and tidied(key) == key and self._fits(key)

    def on_display(self, number: Decimal) -> bool:
        """Tell whether a number is on the steps of the display."""
        return not EXACT.remainder(number, self.grid)

    @property
    def low(self) -> Decimal | None:
        """The lowest value that counts as legal."""
        return limit(self.setting.low) if self.limited else None

    @property
    def high(self) -> Decimal | None:
        """The highest value that counts as legal."""
        return limit(self.setting.high) if self.limited else None

    def _within(self, number: Decimal) -> bool:
        low, high = self.low, self.high
        if abs(number) > LARGEST:
            return False
        return (low is None or number >= low) and (high is None or number <= high)

    def _fits(self, text: str) -> bool:
        return not self.limited or self.setting.digits is None or len(text) <= self.setting.digits

    def text(self, key: Key) -> str:
        """Return a value as the display writes it, without leading zeros."""
        return f"{key:.{self.places}f}" if isinstance(key, Decimal) else str(key)

    def field(self, key: Key) -> str:
        """Return the digits of a value as the display's field holds them, without sign and point."""
        if not isinstance(key, Decimal):
            return str(key)
        return self.text(abs(key)).replace(".", "").rjust(self.setting.digits or 0, "0")

    def of_field(self, digits: str) -> Key:
        """Return the value that the digits of a field mean, with the sign of the plan."""
        if not self.numeric:
            return digits
        number = Decimal(int(digits)).scaleb(-self.places)
        return -number if self.number() < 0 else number

    def reach(self, values: Iterable[tuple[Key, str]]) -> Reach:
        """Return those values that are legal and not as planned."""
        return Reach({key: words for key, words in values if key != self.plan and self.legal(key)})

    def reach_plain(self, values: Iterable[Key]) -> Reach:
        """Return the same for values that the slip's title describes."""
        return self.reach((key, "") for key in values)

    def reach_spans(self, spans: Iterable[Span]) -> Reach:
        """Return what lies within spans, on the steps of the display or between them."""
        kept = [span for span in spans if abs(self.number() - span.middle) > span.within]
        counts = [self._steps_in(span) for span in kept]
        kept = [span for span, count in zip(kept, counts, strict=True) if count]
        return Reach(spans=tuple(kept), in_spans=sum(counts))

    def bounds(self, span: Span) -> tuple[int, int]:
        """Return the first and the last legal step of the display within a span."""
        low, high = span.middle - span.within, span.middle + span.within
        low = low if self.low is None else max(low, self.low)
        high = high if self.high is None else min(high, self.high)
        first = (low / self.grid).to_integral_value(ROUND_CEILING)
        return int(first), int((high / self.grid).to_integral_value(ROUND_FLOOR))

    def _steps_in(self, span: Span) -> int:
        first, last = self.bounds(span)
        return max(last - first + 1, 0)


def case_of(setting: Setting, planned: Value, around: Around, *, limited: bool = True) -> Case | None:
    """Return the case of a planned value; None if no slip can be named for it, as for access codes."""
    plan = key_of(planned)
    if plan is None or setting.kind == "secret" or (isinstance(plan, str) and len(plan) > LONGEST):
        return None
    if isinstance(plan, Decimal) and abs(plan) > LARGEST:
        return None
    places, grid = _steps(setting, plan)
    if places > MOST_PLACES:
        return None
    return Case(setting, plan, around, default_of(setting), places, grid, limited)


def limit(number: float | None) -> Decimal | None:
    """Return a limit as a number, None where there is none."""
    return None if number is None or not isfinite(number) else Decimal(str(number))


def key_of(value: Value) -> Key | None:
    """Return a value as slips compare it; if it is unclear, the text that was found."""
    if value.state == "unclear":
        return value.shown
    if value.number is not None:
        return value.number
    return value.content if isinstance(value.content, (str, bool)) else None


def default_of(setting: Setting) -> Key | None:
    """Return the factory default of a setting."""
    default = default_value(setting)
    return key_of(default) if default else None


def _steps(setting: Setting, plan: Key) -> tuple[int, Decimal]:
    """Return decimal places and smallest step of a display; finer where the plan itself is finer."""
    if not isinstance(plan, Decimal):
        return 0, Decimal(1)
    step = setting.display_step
    places = max(_places(step), 0)
    if EXACT.remainder(plan, step) == 0:
        return places, step
    places = max(places, _places(plan))
    return places, Decimal(1).scaleb(-places)


def _places(number: Decimal) -> int:
    exponent = number.normalize().as_tuple().exponent
    return -exponent if isinstance(exponent, int) else 0
