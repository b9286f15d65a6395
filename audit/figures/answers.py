"""What a figure says about a device or a network: a number with its calculation, or what it lacks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from audit.figures.surroundings import Device, Surroundings
from audit.model.site import Block


@dataclass(frozen=True, slots=True, kw_only=True)
class Calculated:
    """A figure, how it was calculated, and the limits that the plan or a published document sets."""

    value: float
    sum: str
    """The calculation with its inputs, so that a technician can follow it; empty if the value was read so."""
    roles: tuple[str, ...] = ()
    """The roles of the device's settings that it was calculated from."""
    low: float | None = None
    high: float | None = None
    by: str = ""
    """Where the limit comes from, for instance `by the licence`."""
    others: tuple[str, ...] = ()
    """Tags of other devices concerned."""
    note: str = ""
    """A remark to add if the limit is exceeded."""


@dataclass(frozen=True, slots=True)
class Lacking:
    """What has to be known before a figure can be calculated."""

    what: str
    names_devices: bool = False
    """Whether reports name the devices, since the plan has to give it for each one."""


Answer = Calculated | Lacking
Assumed = Mapping[str, float]
"""Numbers that a rule assumes where the plan does not give them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """What every figure has."""

    title: str
    unit: str
    digits: int = 0
    """Decimals shown."""
    assumes: tuple[str, ...] = ()
    """Names of the numbers that a rule has to assume."""
    surplus: str = ""
    """Title of the figure with its sign turned, used below its minimum: nobody reads -22 dB missing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceFigure(Figure):
    """A figure of one device, calculated once for all devices that are alike in what it looks at."""

    lacks: Callable[[Surroundings, Block, str], str]
    """What all devices of a block lack on a side, blank if nothing; found without looking at each device."""
    of: Callable[[Surroundings, Device, Assumed], Answer]
    roles: tuple[str, ...]
    """The roles of the device's settings that it looks at."""
    places: bool = False
    """Whether it looks at the position of the device."""
    response: bool = False
    """Whether it looks at the device's own response time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkFigure(Figure):
    """A figure of one network."""

    of: Callable[[Surroundings, str, Assumed], Mapping[str, Sequence[Answer]]]
    """From the side: network → its answers; none if there is nothing to say, several if the network is
    compared with several others."""
