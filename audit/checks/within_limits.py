"""within-limits: a value is between two limits, both included."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from operator import gt, lt

from audit.checks.context import Column, Context, count_all_read, count_numbers, count_read, hit
from audit.checks.one_input import in_unit_of, of_range, one_unit, side_or_plan
from audit.columns import where, where_numbers
from audit.model.asked_of_values import WithinLimits
from audit.model.device import Setting
from audit.model.finding import Gap, Hit, Outcome
from audit.model.site import Block
from audit.model.value import Value, Values
from audit.pairing.stating import in_its_own_unit
from audit.phrases import counted
from audit.reading import units
from audit.reading.values import number_of, plain

Limits = tuple[float | None, float | None]


def run(context: Context, args: WithinLimits) -> Outcome:
    """Return a hit for each device whose value is outside its limits."""
    looked_at = 0
    hits: list[Hit] = []
    lacking: dict[str, dict[int, int]] = {}  # what is missing → block → devices
    for column in context.chosen(args):
        if what := _lacks(context, args, column):
            number = count_numbers(column.values, column.setting)
            of_blocks = lacking.setdefault(what, {})
            of_blocks[column.b] = max(number, of_blocks.get(column.b, 0))
            continue
        looked, found = WAYS.get(args.limits, _fixed)(context, args, column)
        looked_at += looked
        hits.extend(found)
    gaps = (Gap(what, sum(of_blocks.values())) for what, of_blocks in lacking.items())
    return Outcome(looked_at, hits, tuple(gap for gap in gaps if gap.number))


def _fixed(context: Context, args: WithinLimits, column: Column) -> tuple[int, list[Hit]]:
    """Compare with limits that are the same for all devices of the block."""
    b, block, side, setting, values = column
    if args.limits == "device" and setting.kind == "text" and setting.digits and side == "planned":
        return count_read(values), _of_another_length(column, setting.digits)
    low, high = _limits(args, block, setting)
    options = setting.options if args.limits == "device" else ()
    if low is None and high is None and not options:
        return 0, []

    def outside(value: Value) -> bool:
        if options:
            return value.read and value.content not in options
        if not _outside(number_of(value, setting), low, high):
            return False
        return not setting.numeric or _outside(in_its_own_unit(value, setting), low, high)

    allowed = ", ".join(options) if options else _span(low, high, setting.unit)
    beyond = f"is outside {WORDS[args.limits]}: {allowed}"
    hits = [
        hit(block, b, i, [setting], f"{setting.name} {values[i].shown} {beyond}", side)
        for i in where((values,), outside)
    ]
    if args.length:
        hits += _ends_beyond(args, column, high)
    looked = count_read(values) if options else count_numbers(values, setting)
    return looked, hits


def _of_another_length(column: Column, digits: int) -> list[Hit]:
    """Return a hit for each planned text too long for the display, or too short for a network identity."""
    b, block, side, setting, values = column

    def outside(value: Value) -> bool:
        length = len(str(value.content)) if value.read else digits
        return length > digits or (length < digits and setting.role == "network_id")

    def words(value: Value) -> str:
        count = counted(len(str(value.content)), "character")
        return f"{setting.name} {value.shown} has {count}, the display shows {digits}; leading zeros count"

    return [hit(block, b, i, [setting], words(values[i]), side) for i in where((values,), outside)]


def _ends_beyond(args: WithinLimits, column: Column, high: float | None) -> Iterator[Hit]:
    """Yield a hit for each device whose value is within the limits, but whose last place is not."""
    b, block, side, setting, values = column
    lengths = [s for s in block.settings(args.length) if s.input == setting.input]
    for length in lengths if high is not None else ():
        for i, count in enumerate(side_or_plan(block, side, length)):
            first = values[i].number
            if first is None or count.number is None or first > Decimal(str(high)):
                continue
            last = first + count.number - 1
            if last > Decimal(str(high)):
                places = f"{setting.name} {values[i].shown} takes {count.shown} places"
                message = f"{places} and ends at {plain(last)}, beyond {plain(high or 0)}"
                yield hit(block, b, i, [setting, length], message, side)


def _limits(args: WithinLimits, block: Block, setting: Setting) -> Limits:
    if args.limits == "device":
        return setting.low, setting.high
    if args.limits == "sensor":
        sensor = block.type.sensors.get(setting.input)
        return (sensor.low, sensor.high) if sensor else (None, None)
    return args.low, args.high


def _outside(number: Decimal | None, low: float | None, high: float | None) -> bool:
    if number is None:
        return False
    below = low is not None and number < Decimal(str(low))
    return below or (high is not None and number > Decimal(str(high)))


def _span(low: float | None, high: float | None, unit: str) -> str:
    unit = f" {unit}" if unit else ""
    if low is None:
        return f"at most {plain(high or 0)}{unit}"
    return f"at least {plain(low)}{unit}" if high is None else f"{plain(low)} to {plain(high)}{unit}"


def _in_block(context: Context, args: WithinLimits, column: Column) -> tuple[int, list[Hit]]:
    """Compare addresses with the block of addresses of each device's network."""
    b, block, side, setting, values = column
    of_network = {n.name: n.addresses for n in context.site.plan.networks if n.addresses}
    kinds = {repr(addresses): addresses for addresses in of_network.values()}
    kind_of = {name: repr(addresses) for name, addresses in of_network.items()}

    def outside(value: Value, kind: str | None) -> bool:
        number = number_of(value, setting)
        if kind is None or number is None:
            return False
        return not kinds[kind].offers(number)

    hits = []
    for i in where((values, list(map(kind_of.get, block.networks))), outside):
        addresses = of_network[block.networks[i]]
        why = "is reserved in" if number_of(values[i], setting) in addresses.reserved else "is outside"
        span = f"{addresses.first} to {addresses.last}"
        message = f"{setting.name} {values[i].shown} {why} the block of {block.networks[i]}: {span}"
        hits.append(hit(block, b, i, [setting], message, side))
    looked = count_numbers(values, setting) if set(block.networks) & of_network.keys() else 0
    return looked, hits


def _between_settings(context: Context, args: WithinLimits, column: Column) -> tuple[int, list[Hit]]:
    """Compare with two other settings of the same device and measuring input."""
    b, block, side, setting, values = column
    ends = _ends(args, block, setting)
    if len(ends) != 2:
        return 0, []
    if of_range(setting, ends[0]):
        return _between_settings_in_percent(column)
    lows, highs = (side_or_plan(block, side, end) for end in ends)

    def outside(value: Value, low: Value, high: Value) -> bool:
        limits = [in_unit_of(setting, end, v) for end, v in zip(ends, (low, high), strict=True)]
        if value.number is None or limits[0] is None or limits[1] is None:
            return False
        return not min(limits[0], limits[1]) <= value.number <= max(limits[0], limits[1])

    hits = []
    for i in _where_outside(setting, ends, (values, lows, highs), outside):
        message = f"{setting.name} {values[i].shown} is outside the range {lows[i].shown} to {highs[i].shown}"
        hits.append(hit(block, b, i, [setting, *ends], message, side))
    return count_all_read((values, lows, highs)), hits


def _between_settings_in_percent(column: Column) -> tuple[int, list[Hit]]:
    """Compare a percentage of a range with the whole of it, however wide it is."""
    b, block, side, setting, values = column
    hits = [
        hit(
            block, b, i, [setting], f"{setting.name} {values[i].shown} is outside the range: 0 to 100 %", side
        )
        for i in where((values,), lambda value: _outside(value.number, 0, 100))
    ]
    return count_numbers(values, setting), hits


def _ends(args: WithinLimits, block: Block, setting: Setting) -> list[Setting]:
    """Return the settings that are the limits of another, if settings are."""
    roles = args.between or () if args.limits == "settings" else ()
    return [s for role in roles for s in block.settings(role) if s.input == setting.input]


def _lacks(context: Context, args: WithinLimits, column: Column) -> str:
    """Return what all devices of a column lack for comparing a setting with its limits."""
    if args.limits == "sensor" and column.setting.input not in column.block.type.sensors:
        return "the `sensors` of the measuring inputs in the device type"
    if args.limits == "address-block":
        offering = {network.name for network in context.site.plan.networks if network.addresses}
        return "" if offering & set(column.block.networks) else "a block of `addresses` in the plan"
    return _no_common_unit(args, column)


def _no_common_unit(args: WithinLimits, column: Column) -> str:
    """Return what it takes to compare a setting with its limits, such as a level with a range in kPa."""
    setting = column.setting
    for end in _ends(args, column.block, setting):
        both = end.unit and setting.unit and not of_range(setting, end)
        if both and count_numbers(column.values, setting) and units.line(end.unit, setting.unit) is None:
            return f"a unit common to {setting.name} ({setting.unit}) and {end.name} ({end.unit})"
    return ""


def _where_outside(
    setting: Setting,
    ends: Sequence[Setting],
    columns: Sequence[Values],
    outside: Callable[[Value, Value, Value], bool],
) -> list[int]:
    """Return which values are outside the two limits beside them."""
    if not one_unit((setting, *ends)):
        return where(columns, outside)
    return where_numbers(columns, lambda n: [map(lt, n[0], n[1]), map(gt, n[0], n[2])], outside)


WAYS: dict[str, Callable[[Context, WithinLimits, Column], tuple[int, list[Hit]]]] = {
    "settings": _between_settings,
    "address-block": _in_block,
}
"""Kinds of limits that differ from device to device; all others are fixed for a block."""

WORDS = {
    "device": "what the device can be set to",
    "sensor": "what the sensor can measure",
    "numbers": "the limits",
}
