"""The rows of gateway lists: which node each is about, at which gateway, and when it was heard there."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import NamedTuple

from audit.diagnosis.words import days_old, duration
from audit.model.device import Setting
from audit.model.site import Site, Target
from audit.model.table import Place, Table
from audit.model.value import BLANK, Value
from audit.reading import units
from audit.reading.gateway_lists import LIST_SETTINGS
from audit.reading.heard import NEVER
from audit.reading.identifiers import bare
from audit.reading.moments import day_alone, moment
from audit.reading.values import parse


def names_of(site: Site, role: str) -> dict[str, Setting]:
    """Return the names that the columns of one of a list's roles have, with their settings."""
    own = LIST_SETTINGS[role]
    return {own.name: own} | {s.name: s for block in site.blocks for s in block.settings(role)}


LONG_AGO_S = 366 * 86400.0
"""Anything heard longer ago counts as heard then: some gateways write their largest number for never."""


class Cell(NamedTuple):
    """What a row says for a role."""

    value: Value
    setting: Setting
    place: Place

    def number(self, unit: str) -> float | None:
        """Return its number in a unit, None if it is not a number; NEVER for a word such as never."""
        if self.value.number is None:
            return NEVER if self.setting.role == "last_heard" and self.value.read else None
        number = units.convert(self.value.number, self.setting.unit or unit, unit)
        return None if number is None else float(number)


def cell(table: Table, entry: int, names: Mapping[str, Setting]) -> Cell | None:
    """Return the first of these columns that is not blank in a row."""
    for name, setting in names.items():
        column = table.columns.get(name)
        if column is not None and column.codes is None:
            value = parse(column.texts[entry], setting, column.style)
            if value is not BLANK:
                return Cell(value, setting, table.place(entry, name))
    return None


def time_of(table: Table, entry: int) -> datetime.datetime | None:
    """Return when a row was read; None if it does not say."""
    return moment(table.texts("read_at")[entry])


def heard_at(table: Table, entry: int, seconds: float | None) -> datetime.datetime | None:
    """Return when a node was heard, by a row that says how many seconds before; else the time of the row.

    For a row with a day and no time, whole days count. None if the row has neither.
    """
    at = time_of(table, entry)
    if at is None or at.year == 1 or seconds is None or seconds == NEVER:
        return at
    ago = datetime.timedelta(seconds=min(seconds, LONG_AGO_S))
    return at - (datetime.timedelta(days=ago.days) if day_alone(table.texts("read_at")[entry]) else ago)


def shown_at(table: Table, entry: int, heard: Mapping[str, Setting]) -> datetime.datetime | None:
    """Return when a node was as a row shows it: when it was last heard, if a column of `heard` says so."""
    ago = cell(table, entry, heard)
    return heard_at(table, entry, ago.number("s") if ago else None)


class Sighting(NamedTuple):
    """A row of a gateway's list."""

    table: Table
    entry: int
    network: str
    """The network of the gateway; empty for one that is not in the plan."""
    at: datetime.datetime | None
    target: Target | None
    """The planned device, None for one that is not in the plan."""
    heard: str
    """When or how long ago the gateway had heard it, as written; empty where the list does not say."""
    heard_s: float | None
    """How many seconds ago that was, if known; NEVER if the row has no time, though others have one."""
    place: Place
    heard_place: Place | None = None
    """Where it is written how long ago it was heard."""
    at_node: bool = False
    """Whether a person read this at the node, so that it is no row of a list that the gateway made."""
    under: str = ""
    """The serial number in its row, if that is not the planned one."""
    change: str = ""
    """The change record that brought this serial number."""

    @property
    def serial(self) -> str:
        """The serial number in it, empty if it gives none."""
        return bare(self.table.texts("serial")[self.entry])

    @property
    def tag(self) -> str:
        """The tag in it, empty if it gives none."""
        return bare(self.table.texts("tag")[self.entry])

    @property
    def day(self) -> str:
        """The day of the list, empty if it has none."""
        return self.at.date().isoformat() if self.at else ""

    @property
    def read_at(self) -> str:
        """When it was read, as written."""
        return self.table.texts("read_at")[self.entry].strip()

    @property
    def timed(self) -> bool:
        """Whether it gives a time of day."""
        return bool(self.read_at) and not day_alone(self.read_at)

    @property
    def last_heard(self) -> datetime.datetime | None:
        """When its gateway had last heard the node; the time of the list if that does not say.

        None if the list has no time, or shows the node as not heard.
        """
        return None if self.heard_s == NEVER else heard_at(self.table, self.entry, self.heard_s)

    def listed(self, gateway: str, day: str = "", be: str = "is", on: str = "") -> str:
        """Return that a node is, or was, in a gateway's list; of what was read at the node, who read what.

        `day` follows the words about the list; `on` is the date on which a reading at the node is so old.
        """
        if self.at_node:
            return self.read_at_node(gateway, on)
        return f"it {be} in the list of {gateway}{day}{self._heard_before()}"

    def _heard_before(self) -> str:
        """Return when it was heard, to follow the words about a list; empty if the list does not say."""
        if self.heard_s == NEVER:
            return ", but as not heard"
        return "" if self.heard_s is None else f", heard {duration(self.heard_s)} before it was made"

    def read_at_node(self, gateway: str, on: str = "") -> str:
        """Return what a person read of it at the node, and how old that is on a date if one is given."""
        had = f"it had joined {gateway}"
        if self.heard_s == NEVER:
            had = (
                f"{gateway} had not heard it"
                if self.heard_place
                else f"it had joined {self.heard or 'no gateway'}"
            )
        elif self.heard_s is not None:
            had = f"{gateway} had heard it {duration(self.heard_s)} before"
        day = f" on {self.day}" if self.day else ""
        return f"it was read at the node{day}{days_old(self.at, on)} that {had}"
