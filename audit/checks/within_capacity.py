"""within-capacity: a network has no more nodes and reports than its gateway can serve."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from audit.checks.context import Context
from audit.checks.loose_rows import named_strangers
from audit.checks.one_input import in_unit_of
from audit.engineering.airtime import SECONDS_AN_HOUR
from audit.model.asked_of_values import WithinCapacity
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.value import Value
from audit.phrases import counted
from audit.reading.values import number_of, plain

SECONDS = Setting(name="seconds", kind="integer", unit="s")


def run(context: Context, args: WithinCapacity) -> Outcome:
    """Return a hit for each network that needs more than its gateway's capacity.

    On the found side, the nodes that were read count, and so do strangers in the network: if it is these
    that exceed the capacity, the hit names them as the other devices concerned. Reports are those of all
    planned nodes, at the planned interval if none was read.
    """
    looked_at, hits, said = 0, [], set()
    for side in context.sides():
        load = _nodes(context, side) if args.of == "nodes" else _reports(context, side)
        strange = _of_strangers(context, args.of) if side == "found" else {}
        for network in context.site.plan.networks:
            capacity = network.capacity
            most = capacity and (capacity.nodes if args.of == "nodes" else capacity.reports_per_hour)
            extra = strange.get(network.name, [])
            if not most or (network.name not in load and not extra):
                continue
            looked_at += 1
            own = load.get(network.name, Decimal(0))
            asked = round(own + sum(amount for _, amount in extra), 9)
            if asked > most and network.name not in said:
                said.add(network.name)
                what = "nodes" if args.of == "nodes" else "reports an hour"
                b, i = context.site.gateways[network.name]
                verb = "are planned" if side == "planned" else "were found"
                tipped = extra if own <= most else []
                others = tuple(dict.fromkeys(who for who, _ in tipped if who))
                unplanned = f", {len(tipped)} of them not in the plan" if tipped else ""
                if args.of == "reports" and tipped:
                    unplanned = f", some by {counted(len(tipped), 'device')} not in the plan"
                message = (
                    f"{plain(round(asked, 3))} {what} {verb}{unplanned}, the gateway can serve {plain(most)}"
                )
                place = context.site.blocks[b].planned_place(i, "tag")
                hits.append(
                    Hit(
                        network.name,
                        network.gateway.tag,
                        (),
                        message,
                        places=(place,),
                        others=others,
                        side=side,
                        order=(b, i),
                    )
                )
    return Outcome(looked_at, hits)


def _nodes(context: Context, side: str) -> dict[str, Decimal]:
    count: Counter[str] = Counter()
    for block in context.site.blocks:
        if not block.gateway:
            count.update(block.networks if side == "planned" else block.networks_seen())
    return {network: Decimal(n) for network, n in count.items()}


def _reports(context: Context, side: str) -> dict[str, Decimal]:
    load: dict[str, Decimal] = {}
    for block in context.site.blocks:
        for setting in [] if block.gateway else block.settings("report_interval"):
            planned, found = (block.values(of, setting.name) for of in ("planned", side))
            for (network, one, other), count in Counter(
                zip(block.networks, found, planned, strict=True)
            ).items():
                interval = in_unit_of(SECONDS, setting, Value(number_of(one if one.read else other, setting)))
                if interval is not None and interval > 0:
                    load[network] = load.get(network, Decimal(0)) + count * SECONDS_AN_HOUR / interval
    return load


def _of_strangers(context: Context, of: str) -> dict[str, list[tuple[str, Decimal]]]:
    """Return network → what each device that is not in the plan adds, with its tag or serial number."""
    intervals = {s.name: s for block in context.site.blocks for s in block.settings("report_interval")}
    added: dict[str, list[tuple[str, Decimal]]] = {}
    for _, stranger in named_strangers(context.site):
        amount = Decimal(of == "nodes")
        for name, value in stranger.found.items() if of == "reports" else ():
            if name in intervals:
                amount += _an_hour(value, intervals[name])
        if amount:
            added.setdefault(stranger.network, []).append((stranger.tag or stranger.serial, amount))
    return added


def _an_hour(interval: Value, setting: Setting) -> Decimal:
    """Return how many reports an hour an interval makes; 0 if it is not a time."""
    seconds = in_unit_of(SECONDS, setting, Value(number_of(interval, setting)))
    return SECONDS_AN_HOUR / seconds if seconds is not None and seconds > 0 else Decimal(0)
