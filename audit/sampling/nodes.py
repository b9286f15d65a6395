"""The nodes of a plan, with their duties."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.model.site import Block
from audit.pairing.planned_twice import each_once
from audit.reading.identifiers import bare
from audit.reading.loaded_plan import LoadedPlan
from audit.sampling.by_chance import Unit
from audit.texts import parted


def units_of(plan: LoadedPlan) -> list[Unit]:
    """Return every node of a plan; gateways are always read, and are not part of a sample."""
    return [unit for unit, _ in _with_duties(plan)]


def placed_units(blocks: Sequence[Block]) -> Iterator[tuple[Block, int, Unit]]:
    """Yield every node with its block, and its index in the block."""
    for block in blocks:
        if not block.gateway:
            for i, (network, tag) in enumerate(zip(block.networks, block.tags, strict=True)):
                yield block, i, Unit(network, tag)


def duties_of(plan: LoadedPlan) -> dict[Unit, list[str]]:
    """Return the duties of those nodes that have any."""
    return {unit: duties for unit, text in _with_duties(plan) if (duties := parted(text))}


def _with_duties(plan: LoadedPlan) -> Iterator[tuple[Unit, str]]:
    """Yield every node of a plan with its duties as written; a node that is planned twice, once."""
    for group, e in each_once(plan.nodes):
        yield Unit(group.networks[e], bare(group.table.texts("tag")[e])), group.text(e, "duties")
