"""The paired site: planned and found values side by side, one column for each setting."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from audit.grouping import grouped
from audit.model.base import Position
from audit.model.code_mark import KnownMarks
from audit.model.device import DeviceType, Setting
from audit.model.drift import Drifting
from audit.model.identified import Match, Stranger
from audit.model.plan import PlanFile, PlannedObstacle
from audit.model.rows import Alike, InOneTable, Rows
from audit.model.table import NOWHERE, Place, Table
from audit.model.value import BLANK, Value, Values, blanks

if TYPE_CHECKING:
    from audit.model.sample import Sample

Target = tuple[int, int]
"""Block and index of a planned device."""


class PlannedAgain(NamedTuple):
    """Where the plan names a device again; what counts is where it does so first."""

    place: Place
    otherwise: Mapping[str, Place]
    """The fields whose values differ there, and where they are."""


@dataclass(frozen=True, slots=True)
class Block:
    """The devices of one type: each setting is a list over them, one planned and one found.

    All lists have one item for each device of the block, in the plan's order.
    """

    type: DeviceType
    tags: Sequence[str]
    serials: Sequence[str]
    networks: Sequence[str]
    locations: Sequence[str]
    installed: Sequence[str]
    positions: Sequence[Position | None]
    planned: Mapping[str, Values]
    planned_place: Callable[[int, str], Place]
    rows: Sequence[Rows] = field(default_factory=list)
    """The readback rows of each device, oldest reading first; empty if it was not read."""
    listed: Mapping[int, Rows] = field(default_factory=dict)
    """The rows of devices that appear only in gateway lists, and so were not read."""
    alike: Sequence[Alike] = ()
    """The devices that were read, and those that were not, grouped by the tables of their rows."""
    tables: Sequence[Table] = ()
    """The tables that contain those rows."""
    found: Mapping[str, Values] = field(default_factory=dict)
    """Only settings that appear in some readback."""
    response_times: Sequence[str] = ()
    """The time that each device's alarms may take, in seconds as written; empty if none is planned."""
    duties: Sequence[str] = ()
    """What depends on the readings of each device, as written; empty if nothing is planned."""
    obstacles: Sequence[Sequence[PlannedObstacle]] = ()
    """What stands between each device and its gateway; empty if the plan names nothing for any of them."""
    again: Mapping[int, Sequence[PlannedAgain]] = field(default_factory=dict)
    """The devices that the plan names more than once."""

    @property
    def gateway(self) -> bool:
        """Whether these are gateways."""
        return self.type.device == "gateway"

    def __len__(self) -> int:
        """Return the number of devices."""
        return len(self.tags)

    def unread(self) -> list[int]:
        """Return the devices that have no row in the readback; none if there is no readback."""
        if isinstance(self.rows, InOneTable):
            return self.rows.blank()
        return [i for i, of_one in enumerate(self.rows) if not of_one]

    def networks_read(self) -> list[str]:
        """Return the network of each device that has a row in the readback."""
        unread = set(self.unread())
        return [network for i, network in enumerate(self.networks) if i not in unread] if self.rows else []

    def networks_seen(self) -> list[str]:
        """Return the network of each device that was read, or that appears in a gateway's list."""
        return [*self.networks_read(), *(self.networks[i] for i in self.listed)]

    def column(self, side: str, name: str) -> Values | None:
        """Return the values of a setting on one side, or None if there is no such column."""
        return self.planned.get(name) if side == "planned" else self.found.get(name)

    def values(self, side: str, name: str) -> Values:
        """Return the values of a setting on one side, blanks if there is no such column."""
        column = self.column(side, name)
        return blanks(len(self)) if column is None else column

    def value(self, side: str, name: str, i: int) -> Value:
        """Return one value, BLANK if there is no such column."""
        column = self.column(side, name)
        return column[i] if column else BLANK

    def place(self, side: str, name: str, i: int) -> Place:
        """Return where a value is written."""
        return self.planned_place(i, name) if side == "planned" else self.found_place(i, name)

    def rows_read(self, i: int) -> Rows:
        """Return the readback rows of a device, oldest reading first; none if it was not read."""
        return self.rows[i] if self.rows else []

    def rows_of(self, i: int) -> Rows:
        """Return the rows of a device, or those of gateway lists if it has no others; oldest first."""
        return self.rows_read(i) or self.listed.get(i, [])

    def readings(self, i: int, name: str) -> Rows:
        """Return the rows in which a setting of a device was read, the newest first."""
        return [
            (table, entry)
            for table, entry in reversed(self.rows_of(i))
            if (column := table.columns.get(name)) and not column.is_blank(entry)
        ]

    def found_places(self, i: int, name: str) -> list[Place]:
        """Return where the readings of a setting of a device are, the newest first."""
        return [table.place(entry, name) for table, entry in self.readings(i, name)]

    def found_place(self, i: int, name: str) -> Place:
        """Return where the newest reading of a setting is, or else the newest row of the device.

        If no row has the setting, take the newest row with most settings: a sheet's, not a gateway list's.
        """
        places = self.found_places(i, name)
        if places:
            return places[0]
        rows = self.rows_of(i)
        holding = [(table, entry) for table, entry in reversed(rows) if name in table.columns]
        if rows and not holding:
            names = {s.name for s in self.type.settings} if self.type.setting(name) else set[str]()
            holding = [max(reversed(rows), key=lambda row: len(names & row[0].columns.keys()))]
        return holding[0][0].place(holding[0][1], name) if holding else NOWHERE

    def name_place(self, i: int) -> Place:
        """Return where the serial number of a device is in its newest row; its tag if that is blank."""
        serial = self.found_place(i, "serial")
        return serial if serial.raw.strip() else self.found_place(i, "tag")

    def settings(self, role: str) -> list[Setting]:
        """Return the settings with a role, in display order."""
        return list(self.type.by_role(role))

    def first_setting(self, role: str) -> Setting | None:
        """Return the first setting with a role, in display order, or None."""
        return self.type.first_by_role.get(role)

    def first_settings(self, *roles: str) -> list[Setting]:
        """Return the first setting with each of these roles, as far as there is one."""
        return [setting for role in roles if (setting := self.first_setting(role))]


def every_device(blocks: Sequence[Block]) -> list[Target]:
    """Return every device of some blocks, in their order."""
    return [(b, i) for b, block in enumerate(blocks) for i in range(len(block))]


@dataclass(frozen=True, slots=True)
class Site:
    """Everything that checks look at."""

    plan: PlanFile
    blocks: Sequence[Block]
    strangers: Sequence[Stranger]
    matches: Sequence[Match]
    """Only matches worth reporting: those in which tag and serial disagree, and weak ones."""
    readback: bool
    """Whether there is a readback at all; without one the plan alone is checked."""
    gateways: Mapping[str, tuple[int, int]]
    """Network → block and index of its gateway."""
    clear_codes: Sequence[tuple[Place, int]]
    """Columns that contain access codes in clear: where the first is, and how many there are."""
    drift: Drifting | None = None
    """What happened to everything since a baseline; None if a plan is checked, not a baseline."""
    day: datetime.date | None = None
    """The day of the run."""
    marks: KnownMarks | None = None
    """Marks of access codes from other runs; None if none are kept."""
    sample: Sample | None = None
    """The nodes that were to be visited; None if all were."""
    left_out: Mapping[tuple[str, str, str], Place] = field(default_factory=dict)
    """Network, tag and setting → where a person skipped it, with the reason."""
    asides: Rows = field(default_factory=list)
    """Rows that belong to no planned device and contain no reading: totals, signatures, titles."""
    blank: Mapping[Target, Place] = field(default_factory=dict)
    """Device that a readback lists with no setting filled in, and so was not read → where it is listed."""
    noted: Mapping[Target, Place] = field(default_factory=dict)
    """Such a device → what somebody wrote beside it, if there is a note."""

    def tables(self) -> Sequence[Table]:
        """Return the tables from which a device was read, each once."""
        return list({id(table): table for block in self.blocks for table in block.tables}.values())

    def planned_tag(self, device: Target) -> str:
        """Return the planned tag of a device."""
        b, i = device
        return self.blocks[b].tags[i]

    def nodes(self) -> Mapping[str, Sequence[Target]]:
        """Return network → its planned nodes."""
        return grouped(
            (network, (b, i))
            for b, block in enumerate(self.blocks)
            for i, network in enumerate(() if block.gateway else block.networks)
        )

    def by_tag(self) -> dict[str, Target]:
        """Return tag → the device that has it in the plan; if several do, the last."""
        return {tag: (b, i) for b, block in enumerate(self.blocks) for i, tag in enumerate(block.tags)}

    def by_serial(self) -> dict[str, Target]:
        """Return serial number → the device that it is planned for; if several, the last."""
        return {
            serial: (b, i)
            for b, block in enumerate(self.blocks)
            for i, serial in enumerate(block.serials)
            if serial
        }
