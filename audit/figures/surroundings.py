"""Devices and networks as figures see them: numbers in the units of the formulas, plan values merged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from audit.engineering.decibels import dbm
from audit.engineering.positions import near_m
from audit.model.base import Position
from audit.model.in_block import InBlock
from audit.model.plan import Network
from audit.model.radio import AlarmTimes, Band, Radio
from audit.model.site import Block, Site, Target
from audit.model.value import BLANK, Value
from audit.reading import units
from audit.reading.bands import band
from audit.reading.values import number_of

NEAREST_M = 1.0
"""Positions nearer than this are taken to be the same place."""


@dataclass(frozen=True, slots=True)
class Device(InBlock):
    """A device on one side. On the found side, what was not read counts as planned."""

    side: str

    def value(self, role: str, *, read: bool = False) -> Value:
        """Return the value of its first setting with a role; with `read`, only one from the side itself."""
        setting = self.block.first_setting(role)
        if setting is None:
            return BLANK
        value = self.block.value(self.side, setting.name, self.i)
        if value.read or read or self.side == "planned":
            return value
        return self.block.value("planned", setting.name, self.i)

    def number(self, role: str, unit: str, *, read: bool = False) -> float | None:
        """Return a number in a unit, or None if there is none; for dBm, watts are converted."""
        setting = self.block.first_setting(role)
        number = number_of(self.value(role, read=read), setting) if setting else None
        if setting is None or number is None:
            return None
        own = setting.unit or unit
        return float(number) if own == unit else _in_unit(number, own, unit)

    def was_read(self, *roles: str) -> bool:
        """Tell whether one of these settings has a value on the side itself."""
        return any(self.value(role, read=True).read for role in roles)


def lacking(what: str, side: str) -> str:
    """Return words for what a figure lacks: as found that is a reading, even where the plan has a value."""
    return f"{what} as read" if side == "found" else what


def _in_unit(number: Decimal, unit: str, wanted: str) -> float | None:
    """Return a number of one unit in another; watts to dBm too, which is not linear."""
    if units.equal(unit, wanted):
        return float(number)
    line = units.line(unit, "mW" if wanted == "dBm" else wanted)
    if line is None:
        return None
    converted = float(number * line[0] + line[1])
    if wanted != "dBm":
        return converted
    return dbm(converted) if converted > 0 else None


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What a site's plan says about radio, power and time, network by network."""

    site: Site

    @cached_property
    def networks(self) -> Mapping[str, Network]:
        """The networks by name."""
        return {one.name: one for one in self.site.plan.networks}

    @cached_property
    def _members(self) -> Mapping[str, Sequence[Target]]:
        return self.site.nodes()

    @cached_property
    def farthest_m(self) -> Mapping[str, float]:
        """Distance of each network's farthest node from its gateway, in metres, where it is known.

        One at the place of its gateway counts as `NEAREST_M` away: its network reaches that far at least.
        """
        found: dict[str, float] = {}
        for network in self.site.gateways:
            there = self.gateway(network, "planned").position
            nodes = self.nodes(network, "planned") if there else ()
            known = [m for node in nodes if (m := apart_m(node.position, there, nearest_m=0.0)) is not None]
            found |= {network: max(NEAREST_M, *known)} if known else {}
        return found

    def radio(self, network: str) -> Radio:
        """Return what the plan says about a network's radio: its own values, or else the site's."""
        own, shared = self.networks[network].radio, self.site.plan.radio
        if own is None or shared is None:
            return own or shared or Radio()
        return shared.model_copy(update={k: v for k, v in own if v is not None})

    def band(self, network: str) -> Band | None:
        """Return the band that the plan names for a network."""
        name = self.radio(network).band
        return band(name) if name else None

    def alarms(self, network: str) -> AlarmTimes:
        """Return the alarm times of a network, or else of the site."""
        own, shared = self.networks[network].alarms, self.site.plan.alarms
        if own is None or shared is None:
            return own or shared or AlarmTimes()
        return shared.model_copy(update={name: getattr(own, name) for name in own.model_fields_set})

    def service_years(self, network: str) -> float | None:
        """Return how long batteries of a network have to last, in years."""
        return self.networks[network].service_interval_years or self.site.plan.service_interval_years

    def gateway(self, network: str, side: str) -> Device:
        """Return the gateway of a network."""
        return Device(self.site.blocks[self.site.gateways[network][0]], self.site.gateways[network][1], side)

    def nodes(self, network: str, side: str) -> Iterator[Device]:
        """Yield the nodes of a network."""
        for b, i in self._members.get(network, ()):
            yield Device(self.site.blocks[b], i, side)

    def distance_m(self, device: Device) -> float | None:
        """Return how far a node is from its gateway, in metres, or None if that is not known."""
        here, there = device.position, self.gateway(device.network, device.side).position
        return apart_m(here, there)

    def frequency_mhz(self, device: Device) -> float | None:
        """Return the frequency of a device, in MHz: its own, its gateway's, or that of its channel."""
        gateway = self.gateway(device.network, device.side)
        for one in (device, gateway):
            given = one.number("frequency", "MHz")
            if given is not None:
                return given
        channel = device.number("channel", "")
        if channel is None:
            channel = gateway.number("channel", "")
        return None if channel is None else self.channel_mhz(device.network, int(channel))

    def channel_mhz(self, network: str, channel: int) -> float | None:
        """Return the frequency of a channel, in MHz, by the plan's list of channels or else the band's."""
        own, its_band = self.radio(network).channels, self.band(network)
        lists = (own,) if own else its_band.channels if its_band else ()
        return next((mhz for one in lists if (mhz := one.mhz(channel)) is not None), None)


def apart_m(here: Position | None, there: Position | None, nearest_m: float = NEAREST_M) -> float | None:
    """Return the distance between two positions, in metres; None if unknown or less than `nearest_m`."""
    if here is None or there is None:
        return None
    with suppress(ValueError):  # one in site grid coordinates, the other in latitude and longitude
        distance = near_m(here, there)
        return distance if distance >= nearest_m else None
    return None


def has_column(block: Block, side: str, *roles: str) -> bool:
    """Tell whether a block has a column on a side for some setting with one of these roles."""
    return any(block.column(side, setting.name) for role in roles for setting in block.settings(role))


def alike(columns: Sequence[Sequence[object]]) -> tuple[list[object], dict[object, int]]:
    """Return a key for each device, the same for those alike in these columns; key → the first of them."""
    keys: list[object] = list(zip(*columns, strict=True))
    return keys, {key: i for i, key in reversed(list(enumerate(keys)))}


def looked_at(block: Block, side: str, roles: Sequence[str]) -> list[Sequence[object]]:
    """Return the columns in which devices are alike for a figure that looks at the settings of some roles."""
    names = [setting.name for setting in block.first_settings(*roles)]
    sides = dict.fromkeys(("planned", side))
    return [block.networks, *(block.values(of, name) for name in names for of in sides)]
