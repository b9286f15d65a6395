"""Boxes on paper: how many digits a setting needs, from what its device type says about it."""

from __future__ import annotations

from dataclasses import dataclass

from audit.model.device import DeviceType, Setting
from audit.reading.written_numbers import places

USUAL_DIGITS = 5
"""Boxes for the whole digits of a number about which nothing is known. Judgement."""
MOST_BOXES = 12
"""Longer values are written on a line."""
MOST_TICKS = 24
LONGEST_TICKS = 200
"""More options, or longer ones in total, get a line to write on. Judgement: what a card has room for."""
FLAG = ("on", "off")


@dataclass(frozen=True, slots=True)
class Answer:
    """How a value is written on paper: boxes for digits, options to tick, or else a line to write on."""

    sign: bool = False
    whole: int = 0
    """Boxes before the decimal mark, or for an identifier."""
    places: int = 0
    """Boxes after the decimal mark."""
    ticks: tuple[str, ...] = ()

    @property
    def boxes(self) -> int:
        """All boxes, including the sign's."""
        return self.sign + self.whole + self.places


def answer(setting: Setting, kind: DeviceType) -> Answer:
    """Return how the value of a setting is written on paper."""
    if setting.kind == "flag":
        return Answer(ticks=FLAG)
    if setting.kind == "option":
        fits = len(setting.options) <= MOST_TICKS and sum(map(len, setting.options)) <= LONGEST_TICKS
        return Answer(ticks=setting.options) if fits else Answer()
    made = _number(setting, kind) if setting.numeric else Answer(whole=setting.digits or 0)
    return made if made.boxes <= MOST_BOXES else Answer()


def _number(setting: Setting, kind: DeviceType) -> Answer:
    """Return the boxes for a number: by the display's width, else by its limits, else by the sensor's."""
    decimals = places(setting)
    low, high, spare = setting.low, setting.high, 0
    sensor = kind.sensors.get(setting.input)
    if high is None and sensor is not None and setting.kind == "decimal":
        low, high = sensor.low if low is None else low, sensor.high
        spare = 1  # a sensor's limits do not bound what its display can show
    sign = setting.role != "deadband" and (low < 0 if low is not None else setting.kind == "decimal")
    if setting.digits:
        return Answer(sign, max(1, setting.digits - decimals), decimals)
    if high is None:
        return Answer(sign, USUAL_DIGITS, decimals)
    largest = max(abs(high), abs(low or 0))
    return Answer(sign, len(f"{largest:.0f}") + spare, decimals)
