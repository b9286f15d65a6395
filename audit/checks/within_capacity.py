"""within-capacity: a network has no more nodes and reports than its gateway can serve."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from decimal import Decimal

from audit.checks.context import Context, hit
from audit.checks.loose_rows import named_strangers
from audit.checks.one_input import in_unit_of
from audit.engineering.airtime import SECONDS_AN_HOUR
from audit.model.asked_of_values import WithinCapacity
from audit.model.device import Setting
from audit.model.finding import Gap, Hit, Outcome
from audit.model.value import Value
from audit.phrases import counted
from audit.reading.values import number_of, plain

WHAT = {"nodes": "nodes", "reports": "reports an hour"}
"""What is counted, in words."""
NO_CAPACITY = "the `capacity` of the gateway in the plan, in "
SECONDS = Setting(name="seconds", kind="integer", unit="s")


def run(context: Context, args: WithinCapacity) -> Outcome:
    """Return a hit for each network that needs more than its gateway's capacity.

    On the found side, the nodes that were read count, and so do strangers in the network: if it is these
    that exceed the capacity, the hit names them as the other devices concerned. Reports are those of all
    planned nodes, at the planned interval if none was read.
    """
    looked_at = 0
    without: set[str] = set()
    hits: dict[str, Hit] = {}
    for side in context.sides():
        load = _nodes(context, side) if args.of == "nodes" else _reports(context, side)
        of_strangers = _of_strangers(context, args.of) if side == "found" else {}
        for network in context.site.plan.networks:
            capacity, name = network.capacity, network.name
            most = capacity and (capacity.nodes if args.of == "nodes" else capacity.reports_per_hour)
            strangers = of_strangers.get(name, [])
            if name not in load and not strangers:
                continue
            if not most:
                without.add(name)
                continue
            looked_at += 1
            own = load.get(name, Decimal(0))
            needed = round(own + sum(amount for _, amount in strangers), 9)
            if needed > most and name not in hits:
                in_excess = [who for who, _ in strangers] if own <= most else []
                message = (
                    f"{_words(args.of, side, needed, len(in_excess))}; the gateway can serve {plain(most)}"
                )
                hits[name] = _hit(context, name, message, side, in_excess)
    lacking = Gap(NO_CAPACITY + WHAT[args.of], len(without))
    return Outcome(looked_at, list(hits.values()), (lacking,) if without else ())


def _words(of: str, side: str, needed: Decimal, strangers: int) -> str:
    """Return how many nodes or reports there are, and what of that is due to strangers."""
    what = WHAT[of]
    verb = "are planned" if side == "planned" else "were found"
    unplanned = ""
    if strangers and of == "nodes":
        unplanned = f", {strangers} of them not in the plan"
    elif strangers:
        unplanned = f", some by {counted(strangers, 'device')} not in the plan"
    return f"{plain(round(needed, 3))} {what} {verb}{unplanned}"


def _hit(context: Context, network: str, message: str, side: str, strangers: Sequence[str]) -> Hit:
    """Return the hit on the gateway of a network."""
    b, i = context.site.gateways[network]
    block = context.site.blocks[b]
    others = list(dict.fromkeys(who for who in strangers if who))
    return hit(block, b, i, [], message, side, others, [block.planned_place(i, "tag")])


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
            alike = Counter(zip(block.networks, found, planned, strict=True))
            for (network, one, other), devices in alike.items():
                if reports := _an_hour(one if one.read else other, setting, devices):
                    load[network] = load.get(network, Decimal(0)) + reports
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


def _an_hour(interval: Value, setting: Setting, devices: int = 1) -> Decimal:
    """Return how many reports an hour devices with an interval make; 0 if it is not a time."""
    seconds = in_unit_of(SECONDS, setting, Value(number_of(interval, setting)))
    return devices * SECONDS_AN_HOUR / seconds if seconds is not None and seconds > 0 else Decimal(0)
