"""A plan as read: what it says about the site, its devices in tables, and the defaults they share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from audit.model.device import DeviceType
from audit.model.plan import Approved, PlanFile
from audit.model.table import Place, Style, Table
from audit.model.value import Code
from audit.reading.files import beside
from audit.reading.vocabulary import Vocabulary

INLINE = Style(blanks=frozenset({"", "-", "n/a"}))
"""How values are written in the plan itself, with the texts that mean nothing is planned."""


class Row(NamedTuple):
    """An entry of a table of the plan."""

    table: Table
    entry: int

    def text(self, name: str) -> str:
        """Return the raw text of a field; blank if the table does not have it."""
        return self.table.texts(name)[self.entry]

    def place(self, name: str) -> Place:
        """Return where the text of a field is written."""
        return self.table.place(self.entry, name)


@dataclass(frozen=True, slots=True)
class Group:
    """The nodes of one table, or a gateway."""

    networks: Sequence[str]
    """Network of each entry."""
    table: Table
    types: Sequence[str]
    """Device type of each entry."""
    further: Mapping[int, Sequence[Row]] = field(default_factory=dict)
    """Entry → the rows of further tables about the same device."""

    def rows(self, entry: int) -> Sequence[Row]:
        """Return the rows about a device; of those that state the same field, the first one counts."""
        return (Row(self.table, entry), *self.further.get(entry, ()))

    def stating(self, entry: int, name: str) -> Row:
        """Return the row that states a field of a device; its own row if none does."""
        rows = self.rows(entry)
        return next((row for row in rows if row.text(name).strip()), rows[0])

    def text(self, entry: int, name: str) -> str:
        """Return the raw text of a field of a device; blank if no row states it."""
        return self.stating(entry, name).text(name)


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
    further: list[Group]
    """The tables with more about them; the type of a row about no device of the plan is blank."""
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
