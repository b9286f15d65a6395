"""A planned device: its block, its index in the block, and what the plan says of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from audit.model.base import Position
from audit.model.plan import PlannedObstacle
from audit.model.site import Block


@dataclass(frozen=True, slots=True)
class InBlock:
    """A planned device: its block, and its index in the block."""

    block: Block
    i: int

    @property
    def network(self) -> str:
        """The name of its network."""
        return self.block.networks[self.i]

    @property
    def tag(self) -> str:
        """Its planned tag."""
        return self.block.tags[self.i]

    @property
    def serial(self) -> str:
        """Its planned serial number; empty if it is not known."""
        return self.block.serials[self.i]

    @property
    def location(self) -> str:
        """Its location, in the plan's words."""
        return self.block.locations[self.i]

    @property
    def position(self) -> Position | None:
        """Its planned position."""
        return self.block.positions[self.i]

    @property
    def obstacles(self) -> Sequence[PlannedObstacle]:
        """What stands between it and its gateway."""
        return self.block.obstacles[self.i] if self.block.obstacles else ()
