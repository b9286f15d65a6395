"""within-limits: a value lies between two limits, both included."""

from __future__ import annotations

from decimal import Decimal

from audit.checks.context import Context, count_read, hit, positions, said_on_plan
from audit.model.arguments import WithinLimits
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.plan import Addresses
from audit.model.site import Block
from audit.model.value import Value
from audit.reading.values import plain

Limits = tuple[float | None, float | None]


def run(context: Context, args: WithinLimits) -> Outcome:
    """Return a hit for each device whose value lies outside its limits."""
    looked_at = 0
    hits: list[Hit] = []
    blocks_of_addresses = {n.name: n.addresses for n in context.site.plan.networks if n.addresses}
    for b, block, side, setting, column in context.columns(args.roles):
        if args.limits == "settings":
            looked, found = _between_settings(context, args, b, block, side, setting, column)
        elif args.limits == "address-block":
            looked, found = _in_block(context, blocks_of_addresses, b, block, side, setting, column)
        else:
            looked, found = _fixed(context, args, b, block, side, setting, column)
        looked_at += looked
        hits.extend(found)
    return Outcome(looked_at, hits)


def _fixed(context: Context, args: WithinLimits, b: int, block: Block, side: str,
           setting: Setting, column: list[Value]) -> tuple[int, list[Hit]]:  # fmt: skip
    low, high = _limits(args, block, setting)
    options = setting.options if args.limits == "device" else ()
    if low is None and high is None and not options:
        return 0, []

    def outside(value: Value) -> bool:
        if options:
            return value.content not in options
        return _outside(value, low, high)

    what = {"device": "what the device can be set to", "sensor": "what the sensor can measure"}.get(args.limits, "the limits")
    allowed = ", ".join(options) if options else _span(low, high, setting.unit)
    hits = [
        hit(block, b, i, [setting], f"{setting.name} {column[i].shown} is outside {what}: {allowed}", side)
        for i in positions(column, outside)
        if not said_on_plan(context, block, side, [setting.name], i)
    ]
    return count_read(column), hits


def _limits(args: WithinLimits, block: Block, setting: Setting) -> Limits:
    if args.limits == "device":
        return setting.low, setting.high
    if args.limits == "sensor":
        sensor = block.type.sensors.get(setting.input)
        return (sensor.low, sensor.high) if sensor else (None, None)
    return args.low, args.high


def _outside(value: Value, low: float | None, high: float | None) -> bool:
    if not isinstance(value.content, (int, Decimal)):
        return False
    below = low is not None and value.content < Decimal(str(low))
    return below or (high is not None and value.content > Decimal(str(high)))


def _span(low: float | None, high: float | None, unit: str) -> str:
    unit = f" {unit}" if unit else ""
    if low is None:
        return f"at most {plain(high or 0)}{unit}"
    return f"at least {plain(low)}{unit}" if high is None else f"{plain(low)} to {plain(high)}{unit}"


def _in_block(context: Context, of_network: dict[str, Addresses], b: int, block: Block, side: str,
              setting: Setting, column: list[Value]) -> tuple[int, list[Hit]]:  # fmt: skip
    looked, hits = 0, []
    for i, value in enumerate(column):
        addresses = of_network.get(block.networks[i])
        if addresses is None or not isinstance(value.content, int):
            continue
        looked += 1
        if addresses.first <= value.content <= addresses.last and value.content not in addresses.reserved:
            continue
        if not said_on_plan(context, block, side, [setting.name], i):
            why = "is a reserved one of" if value.content in addresses.reserved else "is outside"
            message = f"{setting.name} {value.shown} {why} the block of {block.networks[i]}: {addresses.first} to {addresses.last}"
            hits.append(hit(block, b, i, [setting], message, side))
    return looked, hits


def _between_settings(context: Context, args: WithinLimits, b: int, block: Block, side: str,
                      setting: Setting, column: list[Value]) -> tuple[int, list[Hit]]:  # fmt: skip
    looked, hits = 0, []
    ends = [s for role in args.between or () for s in block.settings(role) if s.input == setting.input]
    if len(ends) != 2:
        return 0, []
    lows, highs = (_side_or_plan(block, side, s) for s in ends)
    known: dict[tuple[int, int, int], bool] = {}
    for i, (value, low, high) in enumerate(zip(column, lows, highs, strict=True)):
        if not (value.read and low.read and high.read):
            continue
        looked += 1
        key = (id(value), id(low), id(high))
        if key not in known:
            known[key] = low.content <= value.content <= high.content  # type: ignore[operator]
        if not known[key] and not said_on_plan(context, block, side, [setting.name, *(s.name for s in ends)], i):
            message = f"{setting.name} {value.shown} is outside the range {low.shown} to {high.shown}"
            hits.append(hit(block, b, i, [setting, *ends], message, side))
    return looked, hits


def _side_or_plan(block: Block, side: str, setting: Setting) -> list[Value]:
    """Return a setting's values on a side, with the planned one wherever it was not read."""
    planned = block.column("planned", setting.name)
    found = block.column(side, setting.name)
    if found is None or planned is None:
        return found or planned or [Value(None, "blank")] * len(block)
    return [value if value.read else other for value, other in zip(found, planned, strict=True)]
