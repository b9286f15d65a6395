"""What a plan says of radio, power and time, so that engineering figures can be reckoned from it."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.model.base import Id, Name, Written

Above = Annotated[float, Field(gt=0)]
NotBelow = Annotated[float, Field(ge=0)]
Percent = Annotated[float, Field(gt=0, le=100)]

AT_C = 20.0
"""Temperature at which a battery's low volts hold, in °C."""


class Licence(Written):
    """What the site's radio licence allows, where it is stricter or other than the band's own limits."""

    reference: str = ""
    """Its number or title, as findings cite it."""
    eirp_dbm: float | None = None
    """Most radiated power over an isotropic antenna (e.i.r.p.), in dBm."""
    erp_dbm: float | None = None
    """Most radiated power over a half-wave dipole (e.r.p.), in dBm."""
    duty_percent: Percent | None = None
    """Largest share of an hour that one device may be on air."""
    airtime_s_per_hour: Above | None = None
    """Most seconds on air an hour, of all nodes of a network together."""


class Channels(Written):
    """Which frequency each channel number stands for."""

    first: int = 1
    """The lowest channel number."""
    last: int | None = None
    """The highest channel number."""
    first_mhz: Above
    """Frequency of the lowest channel, in MHz."""
    step_mhz: Above
    """From one channel to the next, in MHz."""

    def mhz(self, channel: int) -> float | None:
        """Return the frequency of a channel, to the hertz; None for one that there is not."""
        if channel < self.first or (self.last is not None and channel > self.last):
            return None
        return round(self.first_mhz + (channel - self.first) * self.step_mhz, 6)  # as it is on a band's edge


class PathLoss(Written):
    """How the signal falls with distance here, as a survey found it; left out: as in free space."""

    exponent: Annotated[float, Field(ge=1, le=10)]
    """10 × this is lost a decade of distance: 2 in free space, about 4 over flat ground."""
    reference_m: Above = 1.0
    """Up to this distance it falls as in free space."""
    obstacles_db: NotBelow = 0.0
    """What obstacles on the way take besides."""


class Access(Written):
    """How the nodes of a network come to send."""

    how: Literal["at random", "at random in slots", "polled", "own slots"]
    poll_s: Above | None = None
    """For `polled`: time of one poll, from the request to the next request."""
    round_s: Above | None = None
    """For `polled` and `own slots`: time in which every node has its turn."""
    slot_s: Above | None = None
    """For `own slots`: length of a slot."""

    @model_validator(mode="after")
    def _has_its_times(self) -> Self:
        needs = {"polled": ("poll_s", "round_s"), "own slots": ("slot_s", "round_s")}.get(self.how, ())
        missing = [name for name in needs if getattr(self, name) is None]
        if missing:
            raise ValueError(f"access {self.how!r} needs {' and '.join(missing)} -- give it, in seconds")
        return self


class Radio(Written):
    """Radio of a site or of a network; what a network says goes before what the site says."""

    band: Id | None = None
    """A band of rules/bands.yaml, for instance eu-863-870: `asfound rules --bands` lists them."""
    licence: Licence | None = None
    channels: Channels | None = None
    path: PathLoss | None = None
    access: Access | None = None


class AlarmTimes(Written):
    """How fast alarms have to be, and what they pass on their way behind the node."""

    response_time_s: Above | None = None
    """Longest allowed time from the event to the alarm at the host, for nodes that do not say their own."""
    on_delay_s: NotBelow = 0.0
    """How long a value has to stay beyond its limit before the alarm comes."""
    gateway_s: NotBelow = 0.0
    """Time that the gateway takes to pass a report on."""
    host_poll_s: NotBelow = 0.0
    """Time between two polls of the host; 0: the gateway sends at once."""
    host_polls: Annotated[int, Field(ge=1)] = 1
    """How many polls it may take: 1 and as many as the host lets fail before it calls the link lost."""
    host_s: NotBelow = 0.0
    """Time that the host takes to show it."""


class Message(Written):
    """What a type of node sends, and when."""

    bits: Above
    """All bits on air for one report: preamble, header, contents and check."""
    tries: Annotated[int, Field(ge=1, le=100)] = 1
    """How often a report is sent at the most until it is acknowledged."""
    retry_wait_s: NotBelow = 0.0
    """Longest wait before it is sent again."""
    sense_interval_s: Above | None = None
    """Time between two measurements; left out: one for each report."""
    alarms_at_once: bool = False
    """Whether an alarm is sent at once, and not with the next report."""


class Battery(Written):
    """The battery of a type of node, and what it has to feed."""

    capacity_ah: Above
    """Rated capacity, in ampere hours."""
    usable_percent: Percent = 100.0
    """What is left of it at the coldest, at the currents drawn, above the cut-off."""
    self_discharge_percent: Annotated[float, Field(ge=0, lt=100)] = 0.0
    """What it loses in a year by itself."""
    sleep_ua: NotBelow
    """Current asleep, in microamperes."""
    transmit_ma: NotBelow
    """Current while sending, in milliamperes."""
    receive_ma: NotBelow = 0.0
    """Current while listening behind each report."""
    receive_s: NotBelow = 0.0
    """How long it listens behind each report."""
    sense_ma: NotBelow = 0.0
    """Current while measuring."""
    sense_s: NotBelow = 0.0
    """How long one measurement takes."""
    low_v: Above | None = None
    """Volts under load, at 20 °C, below which it is to be changed; left out: nothing is said of its volts."""
    cutoff_v: Above | None = None
    """Volts below which the device goes off, at any temperature."""
    volts_per_kelvin: NotBelow = 0.0
    """How much lower its volts are a kelvin colder, where the temperature is read as well."""

    @model_validator(mode="after")
    def _low_before_off(self) -> Self:
        if self.low_v is not None and self.cutoff_v is not None and self.low_v < self.cutoff_v:
            raise ValueError("the battery's low_v is below its cutoff_v -- give a low_v of cutoff_v or above")
        return self


class BandLimit(Written):
    """What a published document allows in a range of frequencies."""

    low_mhz: Above
    high_mhz: Above
    eirp_dbm: float | None = None
    """Most e.i.r.p."""
    erp_dbm: float | None = None
    """Most e.r.p."""
    conducted_dbm: float | None = None
    """Most power into the antenna's feeder."""
    duty_percent: Percent | None = None
    """Largest share of an hour on air, for devices that do not listen before they talk."""
    clause: Name
    """Document and clause."""
    basis: Literal["read", "quoted by others", "from memory, not verified"]
    """How these values were checked before they were written down here."""
    note: str = ""


class Band(Written):
    """A band of frequencies with its limits."""

    id: Id
    title: Name
    limits: Annotated[tuple[BandLimit, ...], Field(min_length=1)]
    channels: tuple[Channels, ...] = ()
    """Channel numbers that a standard defines here; the plan's own `channels` go before them."""

    def limit_at(self, mhz: float) -> BandLimit | None:
        """Return the limit at a frequency; at the edge of two ranges, the first that is listed."""
        return next((limit for limit in self.limits if limit.low_mhz <= mhz <= limit.high_mhz), None)


class BandsFile(Written):
    """The published limits of radio bands."""

    asfound: Literal["bands/1"]
    """Marks the file as bands, format 1."""
    title: Name
    version: Name
    bands: Annotated[tuple[Band, ...], Field(min_length=1)]
