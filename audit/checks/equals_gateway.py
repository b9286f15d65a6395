"""equals-gateway: a node's value is the one found on its gateway, or else that of most of its nodes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from audit.checks.context import Column, Context, count_read, hit
from audit.columns import where
from audit.comparing import same
from audit.model.asked_of_values import EqualsGateway
from audit.model.device import Setting
from audit.model.finding import Outcome
from audit.model.site import Block, Site
from audit.model.table import Place
from audit.model.value import BLANK, Value
from audit.phrases import counted
from audit.reading import units
from audit.reading.values import number_of


def run(context: Context, args: EqualsGateway) -> Outcome:
    """Return a hit for each node whose value differs from its gateway's.

    On the found side a gateway that was not read counts with its planned value, and the message
    says so. One for which nothing is planned either can still have only one value: that of most of
    its nodes, or of the first of them. What was found is compared with that only at nodes for which
    nothing is planned: at the others it is the plan that says what is wrong.
    """
    looked_at, hits = 0, []
    for role in args.roles:
        columns = list(context.columns([role]))
        of_gateway = {side: gateway_values(context.site, role, side) for side in context.sides()}
        of_most = {side: _of_most_nodes(columns, side, of_gateway[side]) for side in context.sides()}
        known = {side: of_gateway[side] | of_most[side] for side in of_gateway}
        for b, block, side, setting, column in columns:
            looked_at += count_read(column)
            its_of = known[side]

            def unlike(
                value: Value, network: str, its_of: dict[str, Its] = its_of, setting: Setting = setting
            ) -> bool:
                its = its_of.get(network)
                if its is None or not (value.read and its.value.read):
                    return False
                return not alike(value, setting, its.value, its.setting)

            for i in where((column, block.networks), unlike):
                network = block.networks[i]
                its, planned = its_of[network], block.value("planned", setting.name, i)
                has_plan = side == "found" and planned.read
                if has_plan and network in of_most[side]:
                    continue
                message = f"{setting.name} is {column[i].shown}, the gateway {its.how} {its.value.shown}"
                if has_plan and not alike(planned, setting, its.value, its.setting):
                    message += f"; planned {planned.shown}"
                hits.append(hit(block, b, i, [setting], message, side, extra_places=[its.place]))
    return Outcome(looked_at, hits)


class Its(NamedTuple):
    """A gateway's value, its setting, how it is known, and its place."""

    value: Value
    setting: Setting
    how: str
    place: Place


def _of_most_nodes(columns: Iterable[Column], side: str, of_gateway: Mapping[str, Its]) -> dict[str, Its]:
    """Return network → the value that most of its nodes have, where its gateway's is not known.

    A gateway that has no such setting, or a dash for it in the plan, asks nothing of its nodes. A node that
    is off its own plan does not count.
    """
    unknown = {name for name, its in of_gateway.items() if not (its.value.read or its.place.raw.strip())}
    holders: dict[str, dict[object, list[tuple[Column, int]]]] = defaultdict(lambda: defaultdict(list))
    for column in columns if unknown else ():
        for i, (network, value) in enumerate(zip(column.block.networks, column.values, strict=True)):
            if column.side == side and network in unknown and value.read and not _is_off_plan(column, i):
                key = _in_unit_of(of_gateway[network].setting, value, column.setting)
                holders[network][key].append((column, i))
    return {name: _of_most(of_content, of_gateway[name]) for name, of_content in holders.items()}


def _is_off_plan(column: Column, i: int) -> bool:
    planned = column.block.value("planned", column.setting.name, i)
    return planned.read and not same(column.values[i], planned, column.setting)


def _in_unit_of(its: Setting, value: Value, setting: Setting) -> object:
    """Return a value as a number in the unit of another setting; types may differ in unit and kind."""
    number = number_of(value, setting)
    if number is None:
        return value.content
    return number if (there := units.convert(number, setting.unit, its.unit)) is None else there


def _of_most(of_content: Mapping[object, Sequence[tuple[Column, int]]], its: Its) -> Its:
    most, number = max(of_content.values(), key=len), sum(map(len, of_content.values()))
    column, i = most[0]
    how = f"{its.how}; at {len(most):,} of {counted(number, 'node')} it is"
    place = column.block.place(column.side, column.setting.name, i)
    return Its(column.values[i], column.setting, how, place)


def gateway_values(site: Site, role: str, side: str) -> dict[str, Its]:
    """Return network → the gateway's value of a role, for gateways that have one."""
    values = {network: gateway_value(site, network, role, side) for network in site.gateways}
    return {network: its for network, its in values.items() if its is not None}


def gateway_value(site: Site, network: str, role: str, side: str) -> Its | None:
    """Return a gateway's value of a role, or None if it has no such setting."""
    b, i = site.gateways[network]
    block = site.blocks[b]
    if setting := block.first_setting(role):
        found = block.value("found", setting.name, i) if side == "found" else BLANK
        if found.read:
            return Its(found, setting, "has", block.found_place(i, setting.name))
        planned = block.value("planned", setting.name, i)
        if side == "found":
            how = unread(block, i, setting)
        else:
            how = "is planned to have" if planned.read else "has none planned"
        return Its(planned, setting, how, block.planned_place(i, setting.name))
    return None


def unread(block: Block, i: int, setting: Setting) -> str:
    """Return how a gateway's value is known where it was not read: why not, and whether it is planned."""
    read = "was read without it" if block.rows_read(i) else "was not read"
    if shown := block.value("found", setting.name, i).shown:
        read = f"shows {shown}, which is unclear"
    if block.value("planned", setting.name, i).read:
        return f"{read}, but is planned to have"
    return f"{read}{',' if shown else ''} and has none planned"


def alike(one: Value, setting: Setting, other: Value, its: Setting) -> bool:
    """Tell whether a node's and a gateway's value are the same, whatever their units and kinds."""
    same_unit = units.equal(setting.unit, its.unit)
    numbers = number_of(one, setting), number_of(other, its)
    if numbers[0] is None or numbers[1] is None or (same_unit and setting.kind == its.kind == "decimal"):
        return same(one, other, setting)
    if same_unit or not (setting.unit and its.unit):
        return numbers[0] == numbers[1]
    return units.convert(numbers[1], its.unit, setting.unit) == numbers[0]
