"""What a figure says of a device or a network: a number with its sum, or what it lacks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from audit.figures.surroundings import Device, Surroundings
from audit.model.site import Block


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """A figure, how it came about, and the limits that the plan or a published document sets it."""

    value: float
    sum: str
    """The sum with its inputs, so that a technician can follow it."""
    roles: tuple[str, ...] = ()
    """The roles of the device's settings that it was reckoned from."""
    low: float | None = None
    high: float | None = None
    by: str = ""
    """Where the limit is from, for instance `by the licence`."""
    others: tuple[str, ...] = ()
    """Tags of other devices concerned."""
    note: str = ""
    """What else is to be said where the limit is broken."""


@dataclass(frozen=True, slots=True)
class Lacking:
    """What has to be known before a figure can be reckoned."""

    what: str
    told_whose: bool = False
    """Whether the devices are named: the plan has to say it of each."""


Answer = Reckoned | Lacking
Assumed = Mapping[str, float]
"""Numbers that a rule assumes where the plan does not give them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """What every figure has."""

    title: str
    unit: str
    digits: int = 0
    """Decimals that are told."""
    assumes: tuple[str, ...] = ()
    """Names of the numbers that a rule has to assume for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceFigure(Figure):
    """A figure of one device. It is reckoned once for devices that are alike in what it looks at."""

    lacks: Callable[[Surroundings, Block, str], str]
    """What the devices of a block all lack on a side, blank for nothing: told without looking at each."""
    of: Callable[[Surroundings, Device, Assumed], Answer]
    roles: tuple[str, ...]
    """The roles of the device's settings that it looks at."""
    places: bool = False
    """Whether it looks at where the device stands."""
    response: bool = False
    """Whether it looks at the device's own response time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkFigure(Figure):
    """A figure of one network."""

    of: Callable[[Surroundings, str, Assumed], Mapping[str, Sequence[Answer]]]
    """From the side: network → its answers, none where there is nothing to tell. Several, where it is
    compared with several others."""
