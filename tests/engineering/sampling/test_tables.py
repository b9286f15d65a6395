"""Plans from the tables: arrows are followed with their sample size, and the tables are whole."""

from __future__ import annotations

from itertools import pairwise

import pytest
from pydantic import ValidationError

from audit.engineering.sampling.chance import at_most_of_many
from audit.engineering.sampling.size import percent
from audit.engineering.sampling.tables import code_letter, sampling_tables, single_plan
from audit.errors import InputProblems
from audit.model.sampling_tables import Inspection, SamplingTables

INSPECTIONS: tuple[Inspection, ...] = ("normal", "tightened", "reduced")
PERCENT_AQLS = sampling_tables().aqls.split()[:16]
LOTS = [row.first for row in sampling_tables().code_letters.rows]


@pytest.mark.parametrize("inspection", INSPECTIONS)
def test_every_lot_and_level_leads_to_a_plan(inspection: Inspection) -> None:
    """No arrow runs off a table or in a circle: every code letter has a plan at every AQL."""
    tables = sampling_tables()
    for level in tables.code_letters.levels:
        for lot in LOTS:
            for aql in PERCENT_AQLS:
                plan = single_plan(lot, aql, level, inspection)
                assert 0 <= plan.accept < plan.reject
                assert plan.size <= lot


def test_lot_sizes_leave_no_gap() -> None:
    """Each range begins where the one before it ends, and the last has no end."""
    rows = sampling_tables().code_letters.rows

    assert rows[0].first == 2
    assert all(before.last is not None and before.last + 1 == after.first for before, after in pairwise(rows))
    assert rows[-1].last is None


def own_plans(inspection: Inspection) -> list[tuple[str, str, int, int, int]]:
    """Return letter, AQL, size, Ac and Re of every cell that holds a plan, for AQLs in percent."""
    (table,) = (table for table in sampling_tables().plans if table.inspection == inspection)
    return [
        (row.letter, aql, row.size, *map(int, cell.split("/")))  # type: ignore[misc]
        for row in table.rows
        for aql, cell in zip(PERCENT_AQLS, row.cells.split(), strict=False)
        if "/" in cell
    ]


@pytest.mark.parametrize(
    ("inspection", "least", "most"),
    [("normal", 0.87, 0.995), ("tightened", 0.79, 0.97), ("reduced", 0.87, 0.9996)],
)
def test_a_lot_at_its_aql_mostly_passes(inspection: Inspection, least: float, most: float) -> None:
    """That is what an AQL is; a cell typed wrongly would stand out. The limits are the tables' own."""
    for letter, aql, size, _, reject in own_plans(inspection):
        passing = at_most_of_many(reject - 1, size, percent(aql, "AQL"))
        assert least <= passing <= most, (letter, aql)


@pytest.mark.parametrize("inspection", INSPECTIONS)
def test_larger_samples_tell_good_from_poor_better(inspection: Inspection) -> None:
    """Down a column, from Ac 1 on, a lot five times worse than the AQL passes less and less often."""
    for aql in PERCENT_AQLS:
        column = [
            (size, reject) for _, at, size, accept, reject in own_plans(inspection) if at == aql and accept
        ]
        poor = [float(at_most_of_many(reject - 1, size, 5 * percent(aql, "AQL"))) for size, reject in column]
        assert poor == sorted(poor, reverse=True), aql


@pytest.mark.parametrize("inspection", INSPECTIONS)
def test_along_a_row_numbers_rise(inspection: Inspection) -> None:
    """A looser AQL accepts more of the same sample."""
    for before, after in pairwise(own_plans(inspection)):
        if before[0] == after[0]:
            assert before[3] < after[3] or (before[3] == after[3] and before[4] < after[4])


def test_tightened_is_stricter_than_normal_and_reduced_is_smaller() -> None:
    """For one lot and AQL tightened plans pass a poor lot less often; reduced ones read fewer nodes."""
    for lot in LOTS[4:]:
        for aql in PERCENT_AQLS:
            normal, tight, reduced = (single_plan(lot, aql, "II", kind) for kind in INSPECTIONS)
            if lot in (normal.size, tight.size):
                continue
            poor = 3 * percent(aql, "AQL")
            passing = at_most_of_many(normal.accept, normal.size, poor)
            assert at_most_of_many(tight.accept, tight.size, poor) <= passing
            assert reduced.size < normal.size


def test_an_arrow_takes_the_sample_size_with_it() -> None:
    """200 nodes at AQL 1.0: letter G has an arrow down, and the plan is that of H with its 50 nodes."""
    plan = single_plan(200, "1.0")

    assert (plan.letter, plan.letter_used, plan.size, plan.accept, plan.reject) == ("G", "H", 50, 1, 2)


def test_a_sample_as_large_as_the_lot_is_the_whole_lot() -> None:
    """At AQL 0.65, 20 nodes are drawn from 21; lots of 20 and of 10 are read in full."""
    assert [single_plan(lot, "0.65").size for lot in (21, 20, 10)] == [20, 20, 10]


@pytest.mark.parametrize("aql", ["1", "1.00", "1.0 %", " 1.0"])
def test_an_aql_may_be_typed_in_any_way(aql: str) -> None:
    """It comes back as the standard writes it."""
    assert single_plan(500, aql).aql == "1.0"


@pytest.mark.parametrize(
    ("lot", "aql", "level", "message"),
    [
        (500, "3", "II", "AQL 3 is not in the tables"),
        (500, "15", "II", "AQL 15 is above 10: there the tables count faults, not nodes"),
        (500, "2,5", "II", "AQL '2,5' is not a number"),
        (500, "NaN", "II", "AQL 'NaN' is not a number"),
        (1, "1.0", "II", "a lot of 1 has no code letter: the tables begin at 2"),
        (500, "1.0", "IV", "inspection level 'IV' is not known"),
    ],
)
def test_what_the_tables_do_not_have_is_refused(lot: int, aql: str, level: str, message: str) -> None:
    """The message says what there is instead."""
    with pytest.raises(InputProblems) as caught:
        single_plan(lot, aql, level)  # type: ignore[arg-type]
    assert caught.value.problems[0].message == message
    assert caught.value.problems[0].mend


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("A A A A A A B", "A A A A A A", "the code letters from 2 are not 7"),
        ("14/15 21/22 30/31 44/45 ^", "14/15 21/22 30/31 44/45", "letter C: not 26 cells"),
        ("14/15", "15/15", "15/15 -- Ac must be below Re"),
    ],
)
def test_a_damaged_table_is_not_taken(old: str, new: str, message: str) -> None:
    """A cell too few would shift all that follow by one AQL."""
    text = sampling_tables().model_dump_json()

    with pytest.raises(ValidationError, match=message):
        SamplingTables.model_validate_json(text.replace(old, new, 1))


def test_code_letters_run_from_a_to_r() -> None:
    """S-1 keeps samples small; III makes them large."""
    assert code_letter(2, "S-1") == "A"
    assert code_letter(10**9, "III") == "R"
