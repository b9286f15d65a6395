"""Readings of one setting that disagree, where no time says which is newer."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from itertools import product
from typing import NamedTuple

from audit.checks.context import Context
from audit.columns import where
from audit.comparing import same
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.rows import Alike, Rows
from audit.model.site import Block
from audit.model.table import Place, Table
from audit.model.value import BLANK, Value
from audit.pairing.listed_twice import listings, silence_s
from audit.pairing.zeros_lost import is_without_zeros
from audit.reading.gateway_lists import LIST_SETTINGS
from audit.reading.gateway_names import gateway_names
from audit.reading.meanings import Meanings
from audit.reading.moments import in_order
from audit.reading.trials import refused


class Reading(NamedTuple):
    """One reading of a setting of a device."""

    value: Value
    place: Place
    time: str
    """As it is written; empty if there is none."""


def perhaps_as_planned(block: Block, i: int, name: str) -> bool:
    """Tell whether some reading of a setting of a device is as planned, or nothing is planned for it."""
    setting, planned = block.type.setting(name), block.value("planned", name, i)
    return setting is not None and (
        not planned.read
        or any(_same(one.value, planned, setting) for one in readings_of(block.rows[i], setting, Meanings()))
    )


def disagreements(context: Context, *, off_plan: bool) -> Outcome:
    """Return the hits on settings for which two readings differ.

    With `off_plan`, only those where the reading that counts is as planned and the other is off plan.
    """
    looked_at = 0
    hits: list[Hit] = []
    meanings = Meanings()
    gateways = gateway_names(context.site.plan.networks)
    for b, block in enumerate(context.site.blocks):
        compared, unlike = read_differently(block, meanings)
        looked_at += compared
        for i, setting in unlike:
            planned = block.value("planned", setting.name, i)
            rows = _of_one_gateway(block, i, setting, gateways, meanings)
            *others, counting = readings_of(rows, setting, meanings)
            at_odds = [
                other for other in others
                if not is_without_zeros(other.value, planned, setting)
                and not _same(other.value, counting.value, setting)
                and not in_order(other.time, counting.time)
            ]  # fmt: skip
            if off_plan:
                at_odds = off_plan_before(at_odds, counting, planned, setting)
            if at_odds:
                hits.append(_hit((b, i), block, setting, at_odds[-1], counting))
    return Outcome(looked_at, hits)


def read_differently(block: Block, meanings: Meanings) -> tuple[int, list[tuple[int, Setting]]]:
    """Return how many settings of devices were read more than once, and those with different readings."""
    compared = 0
    unlike: list[tuple[int, Setting]] = []
    groups = [group for group in block.alike if len(group.tables) > 1]
    for group, setting in product(groups, block.type.settings):
        columns = _columns(group, setting, meanings)
        if len(columns) > 1:
            compared += len(where(columns, lambda *values: len(values) - values.count(BLANK) > 1))
            differing = where(columns, lambda *values: len({*values} - {BLANK}) > 1)
            unlike += [(group.devices[k], setting) for k in differing]
    return compared, sorted(unlike, key=lambda one: one[0])


def off_plan_before(
    others: Sequence[Reading], counting: Reading, planned: Value, setting: Setting
) -> list[Reading]:
    """Return the readings that are off plan, if the one that counts is as planned."""
    if setting.role == "default_refused":  # nobody need plan that it is refused
        return [other for other in others if refused(counting.value) and refused(other.value) is False]
    if not _same(counting.value, planned, setting):
        return []
    return [other for other in others if other.value.read and not _same(other.value, planned, setting)]


def _of_one_gateway(
    block: Block, i: int, setting: Setting, gateways: Mapping[str, str], meanings: Meanings
) -> Rows:
    """Return the rows of a device, without those in lists of gateways other than the one that counts.

    Those describe another link. For the gateway joined, rows stay if two gateways heard the node at once.
    """
    rows = block.rows[i]
    if setting.role not in LIST_SETTINGS:
        return rows
    listed = listings(block, i, rows, gateways, meanings)
    last = max(listed, key=lambda one: one.place, default=None)
    at_once = datetime.timedelta(seconds=silence_s(block, i) * (setting.role == "joined_gateway"))
    aside = {
        one.place for one in listed
        if last and one.network != last.network
        and (setting.role != "joined_gateway" or abs(one.heard - last.heard) > at_once)
    }  # fmt: skip
    return [row for place, row in enumerate(rows) if place not in aside]


def _same(one: Value, other: Value, setting: Setting) -> bool:
    return one.read and other.read and same(one, other, setting)


def _columns(group: Alike, setting: Setting, meanings: Meanings) -> list[list[Value]]:
    """Return all readings of a setting of a group of devices, a column for each table that has it."""
    found = []
    for table, entries in zip(group.tables, group.entries, strict=True):
        column = table.columns.get(setting.name)
        if column is not None and column.codes is None:
            memo, texts = meanings.memo(setting, column.style), column.texts
            found.append([memo[texts[entry]] for entry in entries])
    return found


def readings_of(rows: list[tuple[Table, int]], setting: Setting, meanings: Meanings) -> list[Reading]:
    """Return all readings of a setting of one device, oldest first; the last one counts."""
    readings = []
    for table, entry in rows:
        column = table.columns.get(setting.name)
        if column is None or column.codes is not None:
            continue
        value = meanings.memo(setting, column.style)[column.texts[entry]]
        if value is not BLANK:
            time = table.texts("read_at")[entry].strip()
            readings.append(Reading(value, table.place(entry, setting.name), time))
    return readings


def _hit(order: tuple[int, int], block: Block, setting: Setting, other: Reading, counting: Reading) -> Hit:
    i = order[1]
    message = (
        f"{setting.name} was read as {other.value.shown} ({other.time or 'no time'}) and as "
        f"{counting.value.shown} ({counting.time or 'no time'}): nothing says which is newer; "
        f"{counting.value.shown} counts"
    )
    places = [counting.place, other.place]
    if block.value("planned", setting.name, i).read:
        places.append(block.planned_place(i, setting.name))
    planned = block.value("planned", setting.name, i).shown
    return Hit(block.networks[i], block.tags[i], (setting.name,), message, planned, counting.value.shown,
               tuple(places), order=order)  # fmt: skip
