"""A plan as read: what it says about the site, its devices in tables, and the defaults they share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from audit.model.device import DeviceType
from audit.model.plan import Approved, PlanFile
from audit.model.table import Place, Style, Table
from audit.model.value import Code
from audit.reading.files import beside
from audit.reading.vocabulary import Vocabulary

INLINE = Style(blanks=frozenset({"", "-", "n/a"}))
"""How values are written in the plan itself, with the texts that mean nothing is planned."""


@dataclass(frozen=True, slots=True)
class Group:
    """The nodes of one table, or a gateway."""

    networks: Sequence[str]
    """Network of each entry."""
    table: Table
    types: Sequence[str]
    """Device type of each entry."""


@dataclass(frozen=True, slots=True)
class LoadedPlan:
    """A plan with everything it refers to."""

    name: str
    path: Path
    file: PlanFile
    types: dict[str, DeviceType]
    words: Vocabulary
    gateways: list[Group]
    nodes: list[Group]
    defaults: dict[str, list[dict[str, tuple[str, Place]]]]
    """Network → its defaults and the site's: setting → text and place, the nearer first."""
    codes: dict[str, Code]
    """Placeholder for an access code in the plan's own settings → what is kept of the code."""
    rules: list[tuple[str, int]]
    """Site rule files that the plan names, each with the line on which it does so."""
    waivers: list[tuple[str, int]]
    """Waiver files, likewise."""

    def named(self, references: Sequence[tuple[str, int]]) -> list[Path]:
        """Return the files that these references name. Raises InputProblems."""
        return [beside(self.path, reference, self.name, line) for reference, line in references]


def without_settings(plan: PlanFile, approved: tuple[Approved, ...]) -> PlanFile:
    """Return a plan without its settings, which from now on are in tables, with access codes replaced."""
    networks = tuple(
        network.model_copy(
            update={
                "defaults": {},
                "nodes": (),
                "gateway": network.gateway.model_copy(update={"settings": {}}),
            }
        )
        for network in plan.networks
    )
    return plan.model_copy(update={"defaults": {}, "networks": networks, "approved": approved})
