"""Tables of single sampling plans, as in rules/sampling-tables.yaml."""

from __future__ import annotations

import re
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from audit.model.base import AnyText, Name, Written

Inspection = Literal["normal", "tightened", "reduced"]
InspectionLevel = Literal["S-1", "S-2", "S-3", "S-4", "I", "II", "III"]
Letters = Annotated[str, StringConstraints(pattern=r"^[A-Z]( [A-Z])*$")]
Cells = Annotated[str, StringConstraints(pattern=r"^(v|\^|[0-9]+/[0-9]+)( (v|\^|[0-9]+/[0-9]+))*$")]

DOWN, UP = "v", "^"


class LetterRow(Written):
    """The code letters of one range of lot sizes."""

    first: Annotated[int, Field(ge=2)]
    """The smallest lot of the range."""
    last: int | None = None
    """The largest; if left out, there is no upper limit."""
    letters: Letters
    """A letter for each inspection level, in the order of `levels`."""


class LetterTable(Written):
    """The code letter for each lot size."""

    table: Name
    verified: AnyText
    """What the table was compared with."""
    levels: Annotated[tuple[InspectionLevel, ...], Field(min_length=1)]
    rows: Annotated[tuple[LetterRow, ...], Field(min_length=1)]


class PlanRow(Written):
    """The sampling plans for one code letter."""

    letter: Annotated[str, StringConstraints(pattern=r"^[A-Z]$")]
    size: Annotated[int, Field(ge=1)]
    """How many are drawn."""
    cells: Cells
    """For each AQL, `Ac/Re` or an arrow: `v` for the first plan below, `^` for the first above."""


class PlanTable(Written):
    """The sampling plans for one kind of inspection."""

    inspection: Inspection
    table: Name
    verified: AnyText
    """What the table was compared with."""
    rows: Annotated[tuple[PlanRow, ...], Field(min_length=1)]


class SamplingTables(Written):
    """The file of sampling plans."""

    asfound: Literal["sampling-tables/1"]
    """Marks the file as tables of sampling plans, format 1."""
    title: Name
    standard: Name
    version: Name
    code_letters: LetterTable
    aqls: Annotated[str, StringConstraints(pattern=r"^[0-9.]+( [0-9.]+)*$")]
    """The acceptable quality levels, one for each column, as the standard writes them."""
    plans: Annotated[tuple[PlanTable, ...], Field(min_length=1)]

    @model_validator(mode="after")
    def _every_row_is_full(self) -> Self:
        levels, columns = len(self.code_letters.levels), len(self.aqls.split())
        for row in self.code_letters.rows:
            if len(row.letters.split()) != levels:
                raise ValueError(f"the code letters from {row.first} are not {levels} -- give one per level")
        for table in self.plans:
            for plan in table.rows:
                if len(plan.cells.split()) != columns:
                    raise ValueError(
                        f"{table.table}, letter {plan.letter}: not {columns} cells -- give one per AQL"
                    )
                for accept, reject in re.findall(r"([0-9]+)/([0-9]+)", plan.cells):
                    if int(accept) >= int(reject):
                        raise ValueError(
                            f"{table.table}, letter {plan.letter}: {accept}/{reject} -- Ac must be below Re"
                        )
        return self
