"""Alarm strips: range, setpoints and deadband of a node, planned and found, on one scale. Layout only."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from audit.model.detail import DeviceDetail, SettingDetail
from audit.model.roles import RANGE_ENDS
from audit.phrases import clean, shortened
from audit.reporting.drawing_tags import spread
from audit.reporting.drawn import text_width
from audit.reporting.one_scale import Shown, numbers, unit_of
from audit.reporting.words import PLAN, Words

SETPOINTS = {"alarm_low_low": "LL", "alarm_low": "L", "alarm_high": "H", "alarm_high_high": "HH"}
ROLES = {"range_low": "LRV", "range_high": "URV", **SETPOINTS, "deadband": "deadband"}
"""What a strip shows: the role of a setting, and what the trade calls it."""
UNLIKE = ("differs", "not read", "unclear")
"""States of settings that are not as planned."""
LEFT, RIGHT = 52.0, 326.0
"""The ends of the scale; the side is named to the left of it."""
WORDS_LEFT = 342.0
"""Where the words for range and deadband begin, to the right of the scale."""
LONGEST = 8
"""Most characters of a value on a strip; the words below it have the whole value."""


class Pointer(NamedTuple):
    """A setpoint on the scale: its tip at `x`, its text centred on `text_x`."""

    x: float
    text_x: float
    text: str
    differs: bool
    """Whether it was found at another value than planned."""


class Band(NamedTuple):
    """A stretch of the scale."""

    x: float
    width: float


@dataclass(frozen=True, slots=True)
class Lane:
    """One side of a strip: planned or found."""

    side: str
    range: Band | None
    deadbands: Sequence[Band]
    pointers: Sequence[Pointer]
    words: Sequence[str]
    """The range and the deadband in words."""


@dataclass(frozen=True, slots=True)
class Strip:
    """The alarms of one measuring input of a device."""

    device: DeviceDetail
    input: str
    lanes: Sequence[Lane]
    unlike: Sequence[str]
    """Everything that is not as planned, in words."""
    alternative: str
    """The whole strip, in words."""


def strips(device: DeviceDetail, words: Words = PLAN) -> Iterator[Strip]:
    """Yield a strip for each measuring input of a device that has alarms."""
    inputs: dict[str, dict[str, SettingDetail]] = {}
    for setting in device.settings:
        if setting.role in ROLES:
            inputs.setdefault(setting.input, {})[setting.role] = setting
    for name, shown in inputs.items():
        if any(role in shown for role in SETPOINTS):
            ordered = {role: shown[role] for role in ROLES if role in shown}
            yield _strip(device, name, ordered, words)


def _strip(device: DeviceDetail, name: str, shown: Shown, words: Words) -> Strip:
    unit = unit_of(shown)
    to_x = _scale([
        number for side in ("planned", "found") for role, number in numbers(shown, side).items()
        if role != "deadband"
    ])  # fmt: skip
    return Strip(
        device=device,
        input="" if name == "main" else name,
        lanes=[_lane(side, shown, unit, to_x) for side in ("planned", "found")],
        unlike=[_unlike(ROLES[role], s, words.side) for role, s in shown.items() if s.state in UNLIKE],
        alternative="; ".join(_told(ROLES[role], s, words) for role, s in shown.items()),
    )


class Scale(NamedTuple):
    """Turns numbers into places on the drawing."""

    low: float
    high: float

    def __call__(self, number: float) -> float:
        """Return the place of a number."""
        part = (number / 2 - self.low / 2) / (self.high / 2 - self.low / 2)
        return round(LEFT + (RIGHT - LEFT) * min(max(part, 0.0), 1.0), 1)


def _scale(numbers: Sequence[float]) -> Scale:
    """Return a scale that holds all the numbers, with a little room at its ends."""
    low, high = min(numbers, default=0.0), max(numbers, default=1.0)
    room = 0.03 * (high / 2 - low / 2) * 2 or max(abs(high), 1.0)
    return Scale(low - room, high + room) if math.isfinite(high - low) else Scale(low, high)


def _lane(side: str, shown: Shown, unit: str, to_x: Scale) -> Lane:
    placed = numbers(shown, side)
    ends = [placed.get(role) for role in RANGE_ENDS]
    band = None
    if ends[0] is not None and ends[1] is not None:
        left, right = sorted((to_x(ends[0]), to_x(ends[1])))
        band = Band(left, round(right - left, 1))
    return Lane(
        side=side,
        range=band,
        deadbands=list(_deadbands(placed, to_x)),
        pointers=_pointers(side, shown, placed, unit, to_x),
        words=list(_words(side, shown, unit)),
    )


def _deadbands(placed: Mapping[str, float], to_x: Scale) -> Iterator[Band]:
    """Yield where an alarm stays on after the value has returned: below H and HH, above L and LL."""
    deadband = placed.get("deadband", 0.0)
    for role in SETPOINTS if deadband > 0 else ():
        if role in placed:
            inwards = -deadband if "high" in role else deadband
            left, right = sorted((to_x(placed[role]), to_x(placed[role] + inwards)))
            yield Band(left, max(round(right - left, 1), 1.0))


def _pointers(side: str, shown: Shown, placed: Mapping[str, float], unit: str, to_x: Scale) -> list[Pointer]:
    """Return the setpoints of one side, with texts that would overlap moved apart."""
    there = sorted((to_x(placed[role]), role) for role in SETPOINTS if role in placed)
    texts = [_pointer_text(side, ROLES[role], shown[role], unit) for _, role in there]
    apart = max((text_width(text) + 6 for text in texts), default=0.0)
    half = text_width(texts[-1]) / 2 if texts else 0.0
    text_xs = spread([x for x, _ in there], apart, LEFT - 10, WORDS_LEFT - 12 - half)
    return [
        Pointer(x, round(text_x, 1), text, side == "found" and shown[role].state == "differs")
        for (x, role), text, text_x in zip(there, texts, text_xs, strict=True)
    ]


def _pointer_text(side: str, name: str, setting: SettingDetail, unit: str) -> str:
    """Return the text at a setpoint: always with its value if planned; if found, only where it differs."""
    value = _bare(setting, side, unit)
    if side == "planned" or setting.state in UNLIKE:
        return f"{_sign(side, setting)}{name} {_cut(value)}"
    return name


def _words(side: str, shown: Shown, unit: str) -> Iterator[str]:
    """Yield the words beside the scale: the range, then the deadband."""
    if side == "found" and all(setting.found is None for setting in shown.values()):
        yield "not read"
        return
    ends = [shown[role] for role in RANGE_ENDS if role in shown]
    if ends:
        texts = [_cut(_bare(end, side, unit)) or "?" for end in ends]
        yield f"{_sign(side, *ends)}{' to '.join(texts)} {_cut(unit)}".strip()
    if "deadband" in shown:
        text = _cut(_bare(shown["deadband"], side, unit)) or "?"
        yield f"{_sign(side, shown['deadband'])}deadband {text}"


def _sign(side: str, *settings: SettingDetail) -> str:
    return "≠ " if side == "found" and any(s.state == "differs" for s in settings) else ""


def _bare(setting: SettingDetail, side: str, unit: str) -> str:
    """Return a value without its unit, which the strip shows once; of a converted value, the result."""
    value = getattr(setting, side) or ""
    if getattr(setting, f"{side}_number") is not None:
        value = value.rpartition(" = ")[2]
    return value.removesuffix(unit).rstrip() if unit else value


def _cut(text: str) -> str:
    return shortened(clean(text), LONGEST)


def _unlike(name: str, setting: SettingDetail, of: str) -> str:
    """Return in words how a setting is not as planned."""
    planned = setting.planned or "nothing"
    if setting.state == "not read":
        return f"? {name} not read, {of} {planned}"
    marked = f"≠ {name}" if setting.state == "differs" else f"! {name} unclear"
    return f"{marked} {setting.found or ''}, {of} {planned}"


def _told(name: str, setting: SettingDetail, words: Words) -> str:
    """Return a setting in words."""
    planned = f"{words.side} {setting.planned}" if setting.planned else words.none
    found = f"found {setting.found}" if setting.found else "not read"
    return f"{name} {planned}, {found}"
