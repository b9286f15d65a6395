"""Plan: a site, its networks and their nodes, as they are meant to be set."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from audit.model.base import Name, Position, Scalar, SettingName, Written
from audit.model.mapping import DEFAULT_BLANKS
from audit.model.radio import AlarmTimes, Positive, Radio
from audit.model.table import tidied

Settings = dict[SettingName, Scalar]


def _to_date(value: object) -> object:
    """Read `2026-03-31`: the YAML 1.2 core schema has no scalar type for dates."""
    if isinstance(value, str):
        try:
            return datetime.date.fromisoformat(value)
        except ValueError:
            raise ValueError(f"{value[:60]!r} is not a date -- write it as 2026-03-31") from None
    return value


def _serial(text: str) -> str:
    """Return a serial number; blank for what says that it is not known, such as `n/a`."""
    return "" if tidied(text).casefold() in DEFAULT_BLANKS else text


Date = Annotated[
    datetime.date,
    BeforeValidator(_to_date, json_schema_input_type=str),
    Field(json_schema_extra={"type": "string", "format": "date"}),
]


class SiteInfo(Written):
    """The site that the plan is for."""

    name: Name
    """The site's name; a readback that names another site is refused."""
    formerly: tuple[Name, ...] = ()
    """Names that the site had before: readbacks, results and baselines of these are its own."""
    revision: str = ""
    """Revision of the plan, as sheets and records quote it."""
    elevation_m: float | None = None
    """Height above sea level, in metres."""

    @property
    def names(self) -> tuple[str, ...]:
        """Its name, and those that it had before."""
        return (self.name, *self.formerly)


class Approved(Written):
    """What the owner allows for a setting, for instance firmware versions or batteries."""

    setting: SettingName
    """The setting that the list is for."""
    types: tuple[str, ...] = ()
    """The device types it applies to; if empty, every type that has the setting."""
    values: Annotated[tuple[Scalar, ...], Field(min_length=1)]
    """The values allowed."""


class Addresses(Written):
    """The block of addresses set aside for a network."""

    first: int
    """The lowest address of the block."""
    last: int
    """The highest; it belongs to the block too."""
    reserved: tuple[int, ...] = ()
    """Addresses inside the block that no node may have, for instance spares."""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.first > self.last:
            raise ValueError(f"first {self.first} is above last {self.last} -- swap them")
        return self

    def holds(self, number: Decimal | float) -> bool:
        """Tell whether an address is in the block, reserved or not."""
        return self.first <= number <= self.last

    def offers(self, number: Decimal | float) -> bool:
        """Tell whether an address is in the block, and a node may have it."""
        return self.holds(number) and number not in self.reserved


class Capacity(Written):
    """What a gateway can serve."""

    nodes: Annotated[int, Field(ge=1)] | None = None
    """The largest number of nodes that can join."""
    reports_per_hour: Annotated[float, Field(gt=0)] | None = None
    """The largest number of reports in an hour, over all nodes."""


class Gateway(Written):
    """The gateway of a network, with its own settings."""

    tag: Annotated[Name, AfterValidator(lambda tag: " ".join(tag.split()))]
    """Its tag. Surrounding blanks are removed, as everywhere, so that it can be found among the devices."""
    type: Name
    """Name of its device type."""
    serial: Annotated[str, AfterValidator(_serial)] = ""
    """Its serial number, in quotes."""
    location: str = ""
    """Where it is, in words."""
    position: Position | None = None
    settings: Settings = {}
    """Setting, by its name, label or role in lower case → planned value. Nodes take over channel, air rate,
    network identity and encryption."""


class PlannedObstacle(Written):
    """Something that stands between a node and its gateway."""

    what: Name
    """What it is, as findings name it."""
    from_node_m: Positive
    """How far it is from the node, in metres along the way to the gateway."""
    top_m: float
    """Height of its top, in metres above the same level as the antennas' `height_m`."""


class NodePlan(Written):
    """One planned node."""

    tag: Name
    """Its tag."""
    type: str = ""
    """Name of its device type; if left out, the network's `node_type`."""
    serial: Annotated[str, AfterValidator(_serial)] = ""
    """Its serial number, in quotes."""
    location: str = ""
    """Where it is, in words: sheets, work lists and routes quote it."""
    position: Position | None = None
    installed_on: Date | None = None
    """The day it was mounted: an earlier reading is not a reading of the node in place."""
    response_time_s: Positive | None = None
    """The longest allowed time from an event in the process to its alarm at the host, in seconds."""
    duties: tuple[Name, ...] = ()
    """What depends on its readings: safety, permit-limit, billing, or words of your own. A node with a duty
    is in every sample."""
    obstacles: tuple[PlannedObstacle, ...] = ()
    """What stands in the way of its signals to the gateway. The clearance over each is calculated, but what
    it costs is not counted in the link margin: `obstacles_db` of the path is for what a survey measured."""
    settings: Settings = {}
    """Setting, by its name, label or role in lower case → planned value; `-`: nothing is planned."""


class NodeTable(Written):
    """A table of nodes in a separate file (CSV, XLSX or ODS)."""

    file: Name
    """Path, relative to the plan. Its columns are keys of a node (x_m, y_m, latitude, longitude and height_m
    for the position; duties separated by commas or semicolons; no obstacles) and settings."""
    mapping: str = ""
    """A mapping file that says how to read it, relative to the plan."""


class FurtherTable(NodeTable):
    """A table with more about devices that the plan names elsewhere, such as a register of alarms."""

    other_devices: bool = False
    """Whether it is also about devices that are not in this plan; their rows are then passed over."""


class Network(Written):
    """One gateway and its nodes."""

    name: Name
    """The network's name, as readbacks and options of commands use it."""
    gateway: Gateway
    capacity: Capacity | None = None
    addresses: Addresses | None = None
    radio: Radio | None = None
    alarms: AlarmTimes | None = None
    service_interval_years: Positive | None = None
    """How many years a battery has to last; if left out, what the site says."""
    node_type: str = ""
    """Device type of the nodes that do not name one."""
    defaults: Settings = {}
    """Settings that the nodes of this network share."""
    nodes: tuple[NodePlan, ...] = ()
    node_tables: tuple[NodeTable, ...] = ()
    """Tables of the nodes of this network."""
    further_tables: tuple[FurtherTable, ...] = ()
    """Tables with more about the devices of this network, as those of the whole site."""


class AccessCodes(Written):
    """What the site requires of access codes."""

    change_every_days: Annotated[int, Field(ge=1)]
    """A code that is older than this is a finding, and so is one whose age is not known."""


class PlanFile(Written):
    """A plan as it is written."""

    asfound: Literal["plan/1"]
    """Marks the file as a plan, format 1."""
    site: SiteInfo
    device_types: Annotated[tuple[str, ...], Field(min_length=1)]
    """Device type files, relative to the plan."""
    rules: tuple[str, ...] = ()
    """Files of site rules, relative to the plan."""
    waivers: tuple[str, ...] = ()
    """Files of waivers, relative to the plan."""
    approved: tuple[Approved, ...] = ()
    """What the owner allows: firmware, batteries, band variants."""
    access_codes: AccessCodes | None = None
    """How often access codes have to be changed; if left out, their age is not checked."""
    radio: Radio | None = None
    """Radio data of all networks, unless they say otherwise."""
    alarms: AlarmTimes | None = None
    """Alarm times of all networks, unless they say otherwise."""
    service_interval_years: Positive | None = None
    """How many years a battery has to last before somebody comes to change it."""
    defaults: Settings = {}
    """Settings that all nodes share, unless their network or they themselves say otherwise."""
    networks: Annotated[tuple[Network, ...], Field(min_length=1)]
    node_tables: tuple[NodeTable, ...] = ()
    """Tables of nodes of the whole site; a column `network` says to which network each belongs, by name or
    the tag of its gateway."""
    further_tables: tuple[FurtherTable, ...] = ()
    """Tables with more about gateways and nodes that the plan names elsewhere; a device is found by its tag,
    or else by its serial number."""

    def radios(self) -> list[Radio]:
        """Return what the plan says about radio, for the site and for its networks."""
        return [radio for radio in (self.radio, *(network.radio for network in self.networks)) if radio]
