"""Nodes in the lists of two gateways on one day: which row says where they are.

A gateway keeps a node in its list for a while after another one hears it. What a row says belongs together:
the gateway, when it heard the node, and with what signal. The row of the gateway that heard it last counts;
the node's own gateway has precedence for as long as a node may be silent.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from audit.model.rows import InOneTable, Rows
from audit.model.site import Block
from audit.model.table import Table
from audit.reading.gateway_lists import is_list
from audit.reading.identifiers import spelling
from audit.reading.meanings import Meanings
from audit.reading.moments import moment
from audit.reading.values import seconds_of

SILENT_INTERVALS = 3
"""Report intervals for which a node may be silent. Judgement."""
UNPLANNED_S = 3600
"""Seconds for which a node without a planned interval may be silent, like silent_minutes of asfound why."""
LONG_AGO = datetime.datetime.min


class Listing(NamedTuple):
    """A node's row in a gateway's list."""

    heard: datetime.datetime
    """When the gateway heard the node; if the row does not say, when the list was made."""
    own: bool
    """Whether the gateway is the node's own."""
    at: datetime.datetime
    """When the list was made."""
    place: int
    """Which of the node's rows it is."""
    network: str


def lists_in_order(
    block: Block, rows: Sequence[Rows], gateways: Mapping[str, str], meanings: Meanings
) -> Sequence[Rows]:
    """Return the rows of a block's devices, those from several lists of one day by when the node was heard.

    `gateways` maps the names that gateways may have to their networks.
    """
    if isinstance(rows, InOneTable) or not block.settings("joined_gateway"):
        return rows
    tables = {id(table): table for of_one in rows for table, _ in of_one}
    lists = {key for key, table in tables.items() if is_list(table, block.type.settings)}
    return [
        _in_order(block, i, of_one, gateways, meanings)
        if len(of_one) > 1 and sum(id(table) in lists for table, _ in of_one) > 1
        else of_one
        for i, of_one in enumerate(rows)
    ]


def _in_order(block: Block, i: int, rows: Rows, gateways: Mapping[str, str], meanings: Meanings) -> Rows:
    found = listings(block, i, rows, gateways, meanings)
    allowed = silence_s(block, i)
    ordered = sorted(found, key=lambda one: (_later(one.heard, allowed * one.own), one.own))
    new = list(rows)
    for place, one in zip(sorted(one.place for one in found), ordered, strict=True):
        new[place] = rows[one.place]
    return new


def listings(
    block: Block, i: int, rows: Rows, gateways: Mapping[str, str], meanings: Meanings
) -> list[Listing]:
    """Return a device's rows in the lists of the newest day, if they name several gateways."""
    name = block.settings("joined_gateway")[0].name
    found = []
    for place, (table, entry) in enumerate(rows):
        if name in table.columns and is_list(table, block.type.settings):
            network = gateways.get(spelling(table.texts(name)[entry]))
            at = moment(table.texts("read_at")[entry]) or LONG_AGO
            if network:
                heard = _heard(block, table, entry, at, meanings)
                found.append(Listing(heard, network == block.networks[i], at, place, network))
    newest = max((one.at.date() for one in found), default=None)
    found = [one for one in found if one.at.date() == newest]
    return found if len({one.network for one in found}) > 1 else []


def silence_s(block: Block, i: int) -> float:
    """Return the seconds for which a node may be silent, by its planned interval; an hour without one."""
    setting = block.first_setting("report_interval")
    seconds = seconds_of(block.value("planned", setting.name, i), setting) if setting else None
    return SILENT_INTERVALS * seconds if seconds else UNPLANNED_S


def _heard(
    block: Block, table: Table, entry: int, at: datetime.datetime, meanings: Meanings
) -> datetime.datetime:
    if setting := block.first_setting("last_heard"):
        column = table.columns.get(setting.name)
        if column is not None:
            seconds = seconds_of(meanings.value(column, setting, entry), setting)
            return LONG_AGO if seconds is None else _later(at, -seconds)
    return at


def _later(at: datetime.datetime, seconds: float) -> datetime.datetime:
    try:
        return at + datetime.timedelta(seconds=seconds)
    except OverflowError:
        return LONG_AGO
