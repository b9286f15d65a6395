"""Making a sample: plan and terms become the nodes to visit, and the route to them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from audit import __version__
from audit.errors import Problem
from audit.judging.cautions import CAUTION_HAZARDOUS
from audit.model.route_sheet import RouteNetwork, RouteSheet, RouteStop
from audit.model.sample import Sample, Terms
from audit.model.site import Block
from audit.model.used import SiteName, Tool
from audit.pairing.planning import planned_blocks
from audit.reading.baselines import read_baseline
from audit.reading.changes import read_changes
from audit.reading.identifiers import natural
from audit.reading.inputs import Inputs
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.plan import read_plan
from audit.reading.site_names import check_site
from audit.sampling.by_chance import Unit, unit_of
from audit.sampling.changed import by_records, since_baseline, wrong_in_baseline
from audit.sampling.drawing import draw
from audit.sampling.nodes import duties_of, units_of
from audit.sampling.terms import in_words
from audit.worklist.route import Stop, by_distance, by_names

MOST_BY_DISTANCE = 80
"""Most visits in a network that are ordered by distance; for more the library takes too long."""
CAUTION_READING = (
    "Only read: change nothing on this round. Lone work, roofs, roads and confined spaces need the site's "
    "permits; keep the control room informed of who is where."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleOrder:
    """What is asked of a sample."""

    plan: Path
    terms: Terms
    lot: Literal["site", "network"]
    spread: Literal["networks", "none"]
    seed: str
    baseline: Path | None = None
    changes: Sequence[Path] = ()
    notes: Sequence[str] = ()


def make(order: SampleOrder, warn: Callable[[Problem], object] = str) -> RouteSheet:
    """Return the sample of an order with its route. Raises InputProblems."""
    inputs = Inputs()
    plan = read_plan(order.plan, inputs)
    blocks = planned_blocks(plan, Meanings())
    always = _always(order, plan, blocks, inputs, warn)
    sample = draw(
        units_of(plan),
        order.terms,
        order.seed,
        site=plan.file.site.name,
        always=always,
        lot=order.lot,
        spread=order.spread,
        plan_revision=plan.file.site.revision,
    )
    hazardous = [CAUTION_HAZARDOUS] if any(block.type.hazardous_area for block in blocks) else []
    return RouteSheet(
        site=SiteName(name=sample.site, plan_revision=sample.plan_revision or None),
        nodes=sum(share.nodes for lot in sample.lots for share in lot.shares),
        always=len(sample.always),
        drawn=sum(lot.size for lot in sample.lots),
        gateways=sum(map(len, [block for block in blocks if block.gateway])),
        terms=in_words(sample.terms),
        notes=list(order.notes),
        sample=sample,
        networks=_route(plan, blocks, sample),
        cautions=[CAUTION_READING, *hazardous],
        inputs=list(inputs.files.values()),
        tool=Tool(name="asfound", version=__version__),
    )


def _always(
    order: SampleOrder,
    plan: LoadedPlan,
    blocks: Sequence[Block],
    inputs: Inputs,
    warn: Callable[[Problem], object],
) -> dict[Unit, list[str]]:
    """Return the nodes that are always visited, each with its reasons."""
    reasons = duties_of(plan)
    sealed_on = None
    if order.baseline:
        read = read_baseline(order.baseline)
        inputs.add(read.file, "baseline")
        content = read.baseline.content
        check_site("baseline", content.site.name, plan.file.site.names, read.name)
        sealed_on = content.sealed_on
        for why in (since_baseline(blocks, content), wrong_in_baseline(blocks, content)):
            for unit, reason in why.items():
                reasons.setdefault(unit, []).append(reason)
    changes = read_changes(order.changes, list(plan.types.values()), inputs)
    recorded, lost = by_records(blocks, changes, sealed_on)
    for unit, records in recorded.items():
        reasons.setdefault(unit, []).extend(records)
    for read_change in lost:
        message = f"change {read_change.change.id} names no device in the plan, so it adds no visit"
        warn(read_change.place.problem(message, "check network and node, or leave the record as it is"))
    return reasons


def _route(plan: LoadedPlan, blocks: Sequence[Block], sample: Sample) -> list[RouteNetwork]:
    """Return the route through each network that has a node to visit, the gateway first."""
    reasons: dict[Unit, Sequence[str]] = {unit_of(place): () for lot in sample.lots for place in lot.drawn}
    reasons |= {unit_of(place): place.reasons for place in sample.always}
    where = {
        Unit(block.networks[i], block.tags[i]): (block, i) for block in blocks for i in range(len(block))
    }
    made = []
    for network in plan.file.networks:
        gateway = Unit(network.name, network.gateway.tag)
        units = [unit for unit in reasons if unit.network == network.name]
        order, metres, how = _ordered(units, gateway, where)
        stops = [_stop(number, unit, reasons, where) for number, unit in enumerate([gateway, *order], 1)]
        made.append(RouteNetwork(network=network.name, order=how, metres=metres, stops=stops))
    return made


def _ordered(
    units: Sequence[Unit], gateway: Unit, where: Mapping[Unit, tuple[Block, int]]
) -> tuple[list[Unit], float | None, str]:
    """Return nodes in the order of the route, its length in metres, and how it was found."""
    block, g = where[gateway]
    start = block.positions[g]
    stops = [_visit(unit, *where[unit]) for unit in units]
    if start and 1 < sum(stop.position is not None for stop in stops) <= MOST_BY_DISTANCE:
        found, length, how = by_distance(stops, start)
        return [Unit(*map(str, stop.key)) for stop in found], round(length), how
    return [Unit(*map(str, stop.key)) for stop in by_names(stops)], None, "by place and tag"


def _visit(unit: Unit, block: Block, i: int) -> Stop:
    place = block.locations[i] or unit.node
    return Stop((unit.network, unit.node), unit.network, place, (natural(place), natural(unit.node)),
                position=block.positions[i])  # fmt: skip


def _stop(
    number: int,
    unit: Unit,
    reasons: Mapping[Unit, Sequence[str]],
    where: Mapping[Unit, tuple[Block, int]],
) -> RouteStop:
    block, i = where[unit]
    return RouteStop(
        number=number,
        tag=unit.node,
        serial=block.serials[i] or None,
        place=block.locations[i] or None,
        type=block.type.name,
        gateway=block.gateway,
        reasons=list(reasons.get(unit, ())),
    )
