"""What a plan says about radio, power and time, from which engineering figures are calculated."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.engineering.airtime import frame_bits
from audit.model.base import Id, Name, Written

Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Percent = Annotated[float, Field(gt=0, le=100)]
PartPercent = Annotated[float, Field(gt=0, lt=100)]


class Licence(Written):
    """What the site's radio licence allows, where it differs from the band's own limits."""

    reference: str = ""
    """Its number or title, as findings quote it."""
    eirp_dbm: float | None = None
    """Highest radiated power relative to an isotropic antenna (e.i.r.p.), in dBm."""
    erp_dbm: float | None = None
    """Highest radiated power relative to a half-wave dipole (e.r.p.), in dBm."""
    duty_percent: Percent | None = None
    """Largest share of an hour for which one device may be on air."""
    airtime_s_per_hour: Positive | None = None
    """Longest time on air in an hour, in seconds, for all nodes of a network together."""


class Channels(Written):
    """The frequency that each channel number stands for."""

    first: int = 1
    """The lowest channel number."""
    last: int | None = None
    """The highest channel number."""
    first_mhz: Positive
    """Frequency of the lowest channel, in MHz."""
    step_mhz: Positive
    """Spacing from one channel to the next, in MHz."""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.last is not None and self.first > self.last:
            raise ValueError(f"first {self.first} is above last {self.last} -- swap them")
        return self

    def mhz(self, channel: int) -> float | None:
        """Return the frequency of a channel in MHz, to the hertz; None if there is no such channel."""
        if channel < self.first or (self.last is not None and channel > self.last):
            return None
        return round(self.first_mhz + (channel - self.first) * self.step_mhz, 6)  # exact on a band's edge


class PathLoss(Written):
    """How the signal falls with distance, as a survey found it; if left out, as in free space."""

    exponent: Annotated[float, Field(ge=1, le=10)] | None = None
    """The loss is 10 × this, in dB, per decade of distance: 2 in free space, about 4 over flat ground."""
    flat_ground_m: float | None = None
    """Instead of an exponent, for open and level ground: its height in metres, above the same level as the
    antennas' `height_m`. The loss is then that of two rays, one of them reflected by the ground."""
    reference_m: Positive = 1.0
    """Up to this distance, in metres, it falls as in free space."""
    obstacles_db: NotNegative = 0.0
    """The additional loss caused by obstacles on the path, in dB."""
    shadowing_db: Positive | None = None
    """Standard deviation of the loss from place to place, in dB, as a survey found it."""

    @model_validator(mode="after")
    def _has_one_model(self) -> Self:
        if (self.exponent is None) == (self.flat_ground_m is None):
            raise ValueError("a path has either an exponent or flat_ground_m -- give one of the two")
        return self


class Access(Written):
    """How the nodes of a network share the channel."""

    how: Literal["at random", "at random in slots", "polled", "own slots"]
    poll_s: Positive | None = None
    """For `polled`: time of one poll, from one request to the next."""
    round_s: Positive | None = None
    """For `polled` and `own slots`: time in which every node gets its turn."""
    slot_s: Positive | None = None
    """For `own slots`: length of a slot."""

    @model_validator(mode="after")
    def _has_its_times(self) -> Self:
        needs = {"polled": ("poll_s", "round_s"), "own slots": ("slot_s", "round_s")}.get(self.how, ())
        missing = [name for name in needs if getattr(self, name) is None]
        if missing:
            them = "them" if missing[1:] else "it"
            raise ValueError(f"access {self.how!r} needs {' and '.join(missing)} -- give {them}, in seconds")
        return self


class Radio(Written):
    """Radio data of a site or of a network; what a network says takes precedence over what the site says."""

    band: Id | None = None
    """A band in rules/bands.yaml, for instance eu-863-870: `asfound rules --bands` lists them."""
    licence: Licence | None = None
    channels: Channels | None = None
    path: PathLoss | None = None
    availability_percent: PartPercent | None = None
    """How much of the time, and at how many of such places, a link has to hold: 99 for all but 1 %."""
    access: Access | None = None


class AlarmTimes(Written):
    """How fast alarms have to be, and the delays on their way from the node to the host."""

    response_time_s: Positive | None = None
    """Longest allowed time from the event to the alarm at the host, for nodes that do not have their own."""
    on_delay_s: NotNegative = 0.0
    """How long a value has to stay beyond its limit before the alarm is raised."""
    gateway_s: NotNegative = 0.0
    """Time that the gateway takes to pass on a report."""
    host_poll_s: NotNegative = 0.0
    """Time between two polls by the host; 0: the gateway sends at once."""
    host_polls: Annotated[int, Field(ge=1)] = 1
    """How many polls it may take: 1, plus as many as may fail before the host calls the link lost."""
    host_s: NotNegative = 0.0
    """Time that the host takes to show the alarm."""


Bytes = Annotated[int, Field(ge=0, le=100_000)]


class Frame(Written):
    """The parts of one report as it is sent, in bytes."""

    payload: Annotated[int, Field(ge=1, le=100_000)]
    """Its contents."""
    preamble: Bytes = 0
    """What the receiver wakes up and tunes in on."""
    sync: Bytes = 0
    """What marks the start of the frame."""
    header: Bytes = 0
    """Length, addresses and whatever else comes before the contents."""
    checksum: Bytes = 0
    """What comes after the contents: checksum or signature."""


class Message(Written):
    """What a node of this type sends, and when."""

    bits: Positive | None = None
    """All bits on air for one report: preamble, header, contents and checksum."""
    bytes: Frame | None = None
    """The same, part by part, in bytes, as protocols are described; instead of `bits`."""
    tries: Annotated[int, Field(ge=1, le=100)] = 1
    """How many times at most a report is sent until it is acknowledged.

    Where nodes send at random (`access` of the plan's radio), airtime, duty and battery life count how often
    that is on average; elsewhere they count each report once.
    """
    retry_wait_s: NotNegative = 0.0
    """Longest wait before it is sent again."""
    sense_interval_s: Positive | None = None
    """Time between two measurements; if left out, one measurement for each report."""
    alarms_at_once: bool = False
    """Whether an alarm is sent at once rather than with the next report."""

    @property
    def on_air_bits(self) -> float:
        """All bits on air for one report."""
        parts = self.bytes
        if parts is None:
            return self.bits or 0.0
        return frame_bits(
            parts.payload,
            preamble_bytes=parts.preamble,
            sync_bytes=parts.sync,
            header_bytes=parts.header,
            check_bytes=parts.checksum,
        )

    @model_validator(mode="after")
    def _has_one_length(self) -> Self:
        if self.bits is None and self.bytes is None:
            raise ValueError("the message has no length -- give bits, or bytes with its parts")
        if self.bits is not None and self.bytes is not None:
            raise ValueError("the message has bits and bytes -- give one of them")
        return self


class BandLimit(Written):
    """What a published document allows in a range of frequencies."""

    low_mhz: Positive
    high_mhz: Positive
    eirp_dbm: float | None = None
    """Highest e.i.r.p., in dBm."""
    erp_dbm: float | None = None
    """Highest e.r.p., in dBm."""
    conducted_dbm: float | None = None
    """Highest power into the antenna's feeder, in dBm."""
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
    """Channel numbers that a standard defines here; the plan's own `channels` take precedence."""

    def limit_at(self, mhz: float) -> BandLimit | None:
        """Return the limit at a frequency; at the edge between two ranges, that of the one listed first."""
        return next((limit for limit in self.limits if limit.low_mhz <= mhz <= limit.high_mhz), None)


class BandsFile(Written):
    """The published limits of radio bands."""

    asfound: Literal["bands/1"]
    """Marks the file as bands, format 1."""
    title: Name
    version: Name
    bands: Annotated[tuple[Band, ...], Field(min_length=1)]
