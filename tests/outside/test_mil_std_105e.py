"""The tables of MIL-STD-105E, 10 May 1989, against transcriptions published by others.

The scan of the standard was not read. Sources, each beside its check:

AC-TABLE.ASC    Tables 1-A and 1-B of a United States government guide to contracts for maintenance,
nibs.org, "developed from MIL-STD-105E", read as stored text; Table 1-B could be read down to letter L a
third table   Table II-A on a page of tables named MIL-STD-105E; the places of the columns are lost in
it, the order of Ac and Re in each row is kept
AQLSchemes      version 1.7-2, an R package of John Lawson (2023) that holds the tables; read as source text
examples        named beside each
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from scipy.stats import binom

from audit.engineering.sampling.chance import at_most_of_many
from audit.engineering.sampling.tables import code_letter, sampling_tables, single_plan
from audit.model.sampling_tables import Inspection, InspectionLevel

# AC-TABLE.ASC, Table 1-A, Level II, single normal: Re of AQL 0.65 to 15. Arrows as in our own file.
# Letter A at AQL 10: it has an arrow up, above which there is no plan; AQLSchemes goes down.
NORMAL = """
A    2  v v v v v 1 v v
B    3  v v v v 1 ^ v 2
C    5  v v v 1 ^ v 2 3
D    8  v v 1 ^ v 2 3 4
E   13  v 1 ^ v 2 3 4 6
F   20  1 ^ v 2 3 4 6 8
G   32  ^ v 2 3 4 6 8 11
H   50  v 2 3 4 6 8 11 15
J   80  2 3 4 6 8 11 15 22
K  125  3 4 6 8 11 15 22 ^
L  200  4 6 8 11 15 22 ^ ^
M  315  6 8 11 15 22 ^ ^ ^
N  500  8 11 15 22 ^ ^ ^ ^
P  800  11 15 22 ^ ^ ^ ^ ^
Q 1250  15 22 ^ ^ ^ ^ ^ ^
"""

# AC-TABLE.ASC, Table 1-B, single tightened: Re of AQL 0.65 to 15.
TIGHTENED = """
B    3  v v v v v 1 v v
C    5  v v v v 1 v v 2
D    8  v v v 1 v v 2 3
E   13  v v 1 v v 2 3 4
F   20  v 1 v v 2 3 4 6
G   32  1 v v 2 3 4 6 9
H   50  v v 2 3 4 6 9 13
J   80  v 2 3 4 6 9 13 19
K  125  2 3 4 6 9 13 19 ^
L  200  3 4 6 9 13 19 ^ ^
"""


def rows(inspection: Inspection) -> dict[str, tuple[int, list[str]]]:
    """Return letter → sample size and the cells of AQL 0.65 to 15, each plan as its Re."""
    (table,) = (table for table in sampling_tables().plans if table.inspection == inspection)
    return {
        row.letter: (row.size, [cell.split("/")[-1] for cell in row.cells.split()[9:17]])
        for row in table.rows
    }


@pytest.mark.parametrize(("inspection", "text"), [("normal", NORMAL), ("tightened", TIGHTENED)])
def test_cells_are_those_of_the_government_transcription(inspection: Inspection, text: str) -> None:
    """The cells agree letter for letter and arrow for arrow."""
    ours = rows(inspection)
    for line in text.strip().splitlines():
        letter, size, *cells = line.split()
        assert ours[letter] == (int(size), cells), letter


def test_rows_of_normal_inspection_have_the_numbers_of_a_third_table() -> None:
    """Each row has Ac and Re in the same order; the last Re in rows B to E is misprinted there, 65 for 45."""
    numbers = [str(n) for n in (0, 1, 1, 2, 2, 3, 3, 4, 5, 6, 7, 8, 10, 11, 14, 15, 21, 22, 30, 31, 44, 45)]
    (table,) = (table for table in sampling_tables().plans if table.inspection == "normal")
    for row in table.rows:
        ours = [number for cell in row.cells.split() if "/" in cell for number in cell.split("/")]
        if row.letter in "BCDE":
            assert ours == numbers
        elif row.letter == "A":
            assert ours == numbers[:-2]
        elif row.letter == "R":
            assert ours == numbers[2:-4]
        else:
            assert ours == numbers[:-4]


SIZES = {
    "normal": [2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000],
    "tightened": [2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000, 3150],
    "reduced": [2, 2, 2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800],
}


@pytest.mark.parametrize("inspection", list(SIZES))
def test_sample_sizes_of_the_letters(inspection: str) -> None:
    """Normal and tightened are as in AC-TABLE.ASC and AQLSchemes; reduced is as in AQLSchemes alone."""
    (table,) = (table for table in sampling_tables().plans if table.inspection == inspection)

    assert [row.size for row in table.rows] == SIZES[inspection]
    assert "".join(row.letter for row in table.rows) == "ABCDEFGHJKLMNPQRS"[: len(SIZES[inspection])]


# Table I as in AQLSchemes and on a page of sampling tables, which agree in all letters: S-1 to S-4, I to III.
LETTERS = {
    2: "AAAAAAB", 9: "AAAAABC", 16: "AABBBCD", 26: "ABBCCDE", 51: "BBCCCEF", 91: "BBCDDFG", 151: "BCDEEGH",
    281: "BCDEFHJ", 501: "CCEFGJK", 1201: "CDEGHKL", 3201: "CDFGJLM", 10001: "CDFHKMN", 35001: "DEGJLNP",
    150001: "DEGJMPQ", 500001: "DEHKNQR",
}  # fmt: skip
LEVELS: tuple[InspectionLevel, ...] = ("S-1", "S-2", "S-3", "S-4", "I", "II", "III")


def test_code_letters() -> None:
    """Letters are right at the first lot size of each range, and at the last of the range before it."""
    before = ""
    for first, letters in LETTERS.items():
        assert "".join(code_letter(first, level) for level in LEVELS) == letters
        if before:
            assert "".join(code_letter(first - 1, level) for level in LEVELS) == before
        before = letters


@pytest.mark.parametrize(
    ("lot", "aql", "inspection", "plan"),
    [
        # AQLSchemes, arrows followed: sample size, Ac, Re.
        (500, "0.65", "normal", (80, 1, 2)),
        (200, "1.0", "normal", (50, 1, 2)),
        (100, "1.0", "normal", (13, 0, 1)),
        (100, "10", "normal", (20, 5, 6)),
        (5000, "10", "normal", (125, 21, 22)),
        (100, "0.65", "tightened", (32, 0, 1)),
        (500, "1.0", "tightened", (80, 1, 2)),
        (200, "2.5", "tightened", (32, 1, 2)),
        (1000, "4.0", "tightened", (80, 5, 6)),
        (30000, "0.010", "tightened", (2000, 0, 1)),
        (30000, "0.025", "tightened", (800, 0, 1)),
        (600000, "0.025", "tightened", (3150, 1, 2)),
        (100, "0.65", "reduced", (8, 0, 1)),
        (200, "0.65", "reduced", (8, 0, 1)),
        (400, "0.65", "reduced", (32, 0, 2)),
        (400, "4.0", "reduced", (20, 2, 5)),
        (1000, "4.0", "reduced", (32, 3, 6)),
        (5000, "10", "reduced", (50, 10, 13)),
        (1000, "0.40", "reduced", (50, 0, 2)),
        (2000, "1.5", "reduced", (50, 2, 5)),
    ],
)
def test_plans_after_following_arrows(
    lot: int, aql: str, inspection: Inspection, plan: tuple[int, int, int]
) -> None:
    """Plans at general inspection level II are those of AQLSchemes."""
    found = single_plan(lot, aql, "II", inspection)

    assert (found.size, found.accept, found.reject) == plan


@pytest.mark.parametrize("lot", [20, 10])
def test_a_sample_as_large_as_the_lot_is_the_whole_lot(lot: int) -> None:
    """Table II-A, in a second transcription: 'if n is at least the lot, do 100 % inspection'.

    At AQL 0.65, letters B and C have an arrow down to F, whose sample size is 20.
    """
    plan = single_plan(lot, "0.65")

    assert (plan.letter_used, plan.size) == ("F", lot)


@pytest.mark.parametrize(
    ("aql", "level", "plan"),
    [
        ("0.65", "S-4", (80, 1, 2)),
        ("0.65", "S-3", (20, 0, 1)),
        ("0.40", "S-4", (125, 1, 2)),
        ("0.40", "S-3", (32, 0, 1)),
        ("0.25", "S-4", (50, 0, 1)),
        ("0.15", "S-4", (80, 0, 1)),
    ],
)
def test_a_published_use_of_the_tables(aql: str, level: InspectionLevel, plan: tuple[int, int, int]) -> None:
    """D. Jenkins, R. Peck, A. Fernando, PLOS, 2023: a figure for lots of 35,001 to 500,000.

    It names ISO 2859-1:1999, single sampling, normal inspection, in which these cells are the same.
    Four of the six follow an arrow. Read in the figure's caption.
    """
    for lot in (35_001, 150_000, 500_000):
        found = single_plan(lot, aql, level)
        assert (found.size, found.accept, found.reject) == plan


@pytest.mark.parametrize(
    ("inspection", "plan"), [("normal", (125, 2, 3)), ("tightened", (125, 1, 2)), ("reduced", (50, 1, 3))]
)
def test_a_textbook_example(inspection: Inspection, plan: tuple[int, int, int]) -> None:
    """N = 2000, AQL 0.65, level II.

    D. C. Montgomery, Introduction to Statistical Quality Control; from memory, not verified.
    """
    found = single_plan(2000, "0.65", "II", inspection)

    assert found.letter == "K"
    assert (found.size, found.accept, found.reject) == plan


def test_a_course_example() -> None:
    """N = 5000 at general level II is letter L: course slides, read in an excerpt."""
    assert code_letter(5000) == "L"


@pytest.mark.parametrize("aql", ["0.65", "1.0", "2.5", "4.0"])
def test_a_lot_at_the_acceptable_level_is_nearly_always_accepted(aql: str) -> None:
    """Every plan without an arrow accepts a lot of that quality with 87.8 to 99.1 %.

    The limits were worked out from the cells of AC-TABLE.ASC; the chances here are also those of scipy.
    """
    (table,) = (table for table in sampling_tables().plans if table.inspection == "normal")
    column = sampling_tables().aqls.split().index(aql)
    plans = [(row.size, cell) for row in table.rows if "/" in (cell := row.cells.split()[column])]

    assert len(plans) >= 8
    for size, cell in plans:
        accept = int(cell.split("/")[0])
        chance = float(at_most_of_many(accept, size, Fraction(aql) / 100))
        assert chance == pytest.approx(binom.cdf(accept, size, float(aql) / 100), abs=1e-12)
        assert 0.878 <= round(chance, 3) <= 0.991, (size, cell)
