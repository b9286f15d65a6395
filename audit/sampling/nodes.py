"""The nodes of a plan, with what hangs on each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.model.site import Block
from audit.reading.identifiers import bare
from audit.reading.loaded_plan import LoadedPlan
from audit.sampling.by_chance import Unit
from audit.texts import parted


def units_of(plan: LoadedPlan) -> list[Unit]:
    """Return every node of a plan; gateways are read in any case, and no part of a sample."""
    return [
        Unit(network, bare(tag))
        for group in plan.nodes
        for network, tag in zip(group.networks, group.table.texts("tag"), strict=True)
    ]


def placed_units(blocks: Sequence[Block]) -> Iterator[tuple[Block, int, Unit]]:
    """Yield every node with its block, and its number in it."""
    for block in blocks:
        if not block.gateway:
            for i, (network, tag) in enumerate(zip(block.networks, block.tags, strict=True)):
                yield block, i, Unit(network, tag)


def duties_of(plan: LoadedPlan) -> dict[Unit, list[str]]:
    """Return the duties of the nodes that have any."""
    found: dict[Unit, list[str]] = {}
    for group in plan.nodes:
        texts = group.table.texts("duties") if "duties" in group.table.columns else ()
        for entry, text in enumerate(texts):
            if duties := parted(text):
                found[Unit(group.networks[entry], bare(group.table.texts("tag")[entry]))] = duties
    return found
