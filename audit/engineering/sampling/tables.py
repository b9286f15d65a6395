"""The single sampling plans of MIL-STD-105E, 10 May 1989.

rules/sampling-tables.yaml says where each table is from and what it was compared with.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from functools import cache

from audit.errors import nearest, stop
from audit.model.sampling_tables import DOWN, UP, Inspection, InspectionLevel, SamplingTables

STEP = {DOWN: 1, UP: -1}
HIGHEST_PERCENT = 10
"""Above this AQL the tables count faults in a hundred units, not units (4.4, cited from memory)."""


@dataclass(frozen=True, slots=True)
class SinglePlan:
    """One single sampling plan, arrows followed."""

    aql: str
    """Percent defective, as the standard writes it."""
    letter: str
    """The code letter that the lot size leads to."""
    letter_used: str
    """The letter of the plan, after following the arrows."""
    size: int
    """Nodes to read; the whole lot if the plan asks for as many or more."""
    accept: int
    """Ac: the most nonconforming nodes that are accepted."""
    reject: int
    """Re: this many or more reject the lot. Between Ac and Re the lot passes, and reduced inspection ends."""


@cache
def sampling_tables() -> SamplingTables:
    """Return the tables from the file."""
    from audit.reading.documents import read_model
    from audit.resources import folder

    name = "sampling-tables"
    return read_model(folder("rules") / f"{name}.yaml", SamplingTables, name, f"rules/{name}.yaml")[0]


def code_letter(lot: int, level: InspectionLevel = "II") -> str:
    """Return the code letter of a lot: Table I. Raises InputProblems for lots of fewer than two nodes."""
    table = sampling_tables().code_letters
    if level not in table.levels:
        raise stop(f"inspection level {level!r} is not known", nearest(level, table.levels))
    for row in table.rows:
        if lot >= row.first and (row.last is None or lot <= row.last):
            return row.letters.split()[table.levels.index(level)]
    raise stop(f"a lot of {lot} has no code letter: the tables begin at 2", "read every node")


def single_plan(
    lot: int, aql: str, level: InspectionLevel = "II", inspection: Inspection = "normal"
) -> SinglePlan:
    """Return the single sampling plan for a lot: Tables I and II-A, II-B or II-C.

    An arrow leads to the next plan below or above, and the sample size goes with it. If the sample
    is as large as the lot or larger, the whole lot is read (note to Tables II); Ac and Re stay. Raises
    InputProblems for an AQL or a lot that the tables do not have.
    """
    tables = sampling_tables()
    column, aql = _column(aql)
    letter = code_letter(lot, level)
    rows = next(table.rows for table in tables.plans if table.inspection == inspection)
    index = next(index for index, row in enumerate(rows) if row.letter == letter)
    while (cell := rows[index].cells.split()[column]) in STEP:
        index += STEP[cell]
    accept, reject = map(int, cell.split("/"))
    return SinglePlan(
        aql=aql,
        letter=letter,
        letter_used=rows[index].letter,
        size=min(rows[index].size, lot),
        accept=accept,
        reject=reject,
    )


def _column(aql: str) -> tuple[int, str]:
    """Return the column of an AQL and its name as the standard writes it: 1 and 1.00 are 1.0."""
    columns = sampling_tables().aqls.split()
    usable = [name for name in columns if Decimal(name) <= HIGHEST_PERCENT]
    try:
        wanted = Decimal(aql.strip().removesuffix("%").strip())
    except InvalidOperation:
        wanted = Decimal("nan")
    if not wanted.is_finite():
        raise stop(f"AQL {aql[:40]!r} is not a number", "write it as 1.0 or 2.5, in percent")
    for name in usable:
        if Decimal(name) == wanted:
            return columns.index(name), name
    if wanted > HIGHEST_PERCENT:
        raise stop(f"AQL {aql[:40]} is above 10: there the tables count faults, not nodes", "give 10 or less")
    raise stop(f"AQL {aql[:40]} is not in the tables", f"give one of {', '.join(usable)}")
