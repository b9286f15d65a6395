"""Working figures out: of all devices of a block, of all networks, and the limits that hold for each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from audit.errors import first_line
from audit.figures.answers import Answer, Assumed, Calculated, DeviceFigure, Lacking, NetworkFigure
from audit.figures.surroundings import Device, Surroundings, alike, looked_at
from audit.model.asked_of_figures import FigureLimits
from audit.model.site import Block

ROUNDING = 1e-6
"""Share of a limit by which a figure may exceed it through rounding alone: 13.98 dBm is 25 mW."""


class Limits(NamedTuple):
    """Between what a figure has to be, and who says so, empty if the rule does."""

    least: float | None
    most: float | None
    by: tuple[str, str] = ("", "")

    def too_low(self, value: float) -> bool:
        """Tell whether a value is below the limit, by more than rounding."""
        return self.least is not None and value < self.least - abs(self.least) * ROUNDING

    def too_high(self, value: float) -> bool:
        """Tell whether a value is above the limit, by more than rounding."""
        return self.most is not None and value > self.most + abs(self.most) * ROUNDING


def limits_of(args: FigureLimits | None, answer: Calculated) -> Limits:
    """Return the limits for a figure: its own, from plan, licence or band; the rule's where it has none.

    Those of a site's own rule hold besides; the stricter counts.
    """
    lows, highs = [answer.low], [answer.high]
    if args and (args.in_any_case or answer.low is None):
        lows.append(args.at_least)
    if args and (args.in_any_case or answer.high is None):
        highs.append(args.at_most)
    least = max((limit for limit in lows if limit is not None), default=None)
    most = min((limit for limit in highs if limit is not None), default=None)
    by = (answer.by if least == answer.low else "", answer.by if most == answer.high else "")
    return Limits(least, most, by)


def of_devices(
    figure: DeviceFigure, around: Surroundings, block: Block, side: str, assumed: Assumed
) -> tuple[Sequence[object], Mapping[object, Answer]]:
    """Return each device's key, and what the figure says for each key.

    It is worked out once for all devices that are alike in what it looks at.
    """
    keys, first = alike(_columns(figure, block, side))
    return keys, {
        key: _of_device(figure, around, Device(block, i, side), assumed) for key, i in first.items()
    }


def _of_device(figure: DeviceFigure, around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return what a figure says about a device; numbers outside the domain of its formula give nothing."""
    try:
        return figure.of(around, device, assumed)
    except (ArithmeticError, ValueError) as error:
        return _beyond(error)


def of_networks(
    figure: NetworkFigure, around: Surroundings, side: str, assumed: Assumed
) -> Mapping[str, Sequence[Answer]]:
    """Return what a figure says about each network."""
    try:
        return figure.of(around, side, assumed)
    except (ArithmeticError, ValueError) as error:
        return {network: [_beyond(error)] for network in around.site.gateways}


def _beyond(error: Exception) -> Lacking:
    return Lacking(f"numbers within the limits of its formula ({first_line(error)})")


def _columns(figure: DeviceFigure, block: Block, side: str) -> list[Sequence[object]]:
    """Return all that a figure looks at, each over the devices of a block."""
    columns = looked_at(block, side, figure.roles)
    if figure.places and any(block.positions):
        columns.append(range(len(block)))
    if figure.response and block.response_times:
        columns.append(block.response_times)
    return columns
