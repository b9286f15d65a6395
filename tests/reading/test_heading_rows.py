"""Headings that take up several rows."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.errors import InputProblems
from audit.reading.heading_rows import joined_headings
from tests.reading.made import table
from tests.refusing import assert_refused
from tests.small_site import as_xlsx, small_site


@pytest.mark.parametrize(
    ("rows", "headings"),
    [
        ([["Tag", "Range"]], ["Tag", "Range"]),
        ([["Tag", "Range", "", "Note"], ["", "Low", "High", ""]], ["Tag", "Range Low", "Range High", "Note"]),
        ([["Node", "", "Range", ""], ["Tag", "Serial", "Low", "High"]],
         ["Node Tag", "Node Serial", "Range Low", "Range High"]),
        ([["Range"], ["Low", "High"]], ["Range Low", "Range High"]),
        ([["Range", "", ""], ["Low", "High", ""]], ["Range Low", "Range High", ""]),
        ([["A", "", "", ""], ["B", "", "C", ""], ["1", "2", "3", "4"]], ["A B 1", "A B 2", "A C 3", "A C 4"]),
        ([["A", "", "B"], ["C", "", ""], ["1", "2", "3"]], ["A C 1", "A C 2", "B 3"]),
        ([["Range\nkPa", ""], ["Low ", " High"]], ["Range kPa Low", "Range kPa High"]),
        ([[], []], []),
    ],
)  # fmt: skip
def test_headings_are_put_together_column_by_column(rows: list[list[str]], headings: list[str]) -> None:
    """One above others extends over these to the right, until the next one."""
    assert joined_headings(rows) == headings


TWO_ROWS = "Index,,,\nTag,,URV,\n,CH,found,left\nA,7,10,16\n"


@pytest.mark.parametrize("quote", ["", '"'])
def test_a_csv_with_two_heading_rows(quote: str) -> None:
    """Read by lines and, where there are quotation marks, by a parser."""
    text = TWO_ROWS.replace("Tag", f"{quote}Tag{quote}")
    found = table(text, skip_rows=1, heading_rows=2, columns={"URV left": "urv", "Tag CH": "CH"},
                  ignore=("URV found",))  # fmt: skip

    assert (list(found.texts("tag")), list(found.texts("urv"))) == (["A"], ["16"])
    place = found.place(0, "urv")
    assert (place.row, place.column, place.heading) == (4, "D", "URV left")
    with pytest.raises(InputProblems) as refused:
        table(text, skip_rows=1, heading_rows=2, columns={"URV left": "urv", "Tag CH": "CH"})
    assert [problem.line for problem in refused.value.problems] == [3]


def test_a_row_of_units_may_follow() -> None:
    """As below one heading row."""
    found = table("Tag,URV,\n,found,left\n,bar,bar\nA,7,9\n", heading_rows=2, columns={"URV left": "urv"},
                  ignore=("URV found",))  # fmt: skip

    assert (list(found.texts("urv")), found.columns["urv"].style.unit) == (["9"], "bar")


def test_a_workbook_with_merged_group_headings(tmp_path: Path) -> None:
    """The problem with a heading is told at the lowest of its rows."""
    rows = [["Tag", "Range", "", "Where"], ["", "Low", "High", ""], ["N-1", "0", "1000", "x"]]
    site = small_site(tmp_path).read("found.xlsx", as_xlsx({"S": rows}))

    outcome = site.check("--mapping", site.mapping(heading_rows=2))
    result = site.result("--mapping", site.mapping(heading_rows=2, ignore=["Where"]), "--detail")

    assert "found.xlsx [S]:2:D: unknown column 'Where'" in outcome.problems[0]
    assert [s["found"] for one in result["devices"] if one["tag"] == "N-1" for s in one["settings"]
            if s["name"] in ("range_low", "range_high")] == ["0 kPa", "1000 kPa"]  # fmt: skip


def test_a_title_above_them_is_not_taken_for_one(tmp_path: Path) -> None:
    """How many rows are headings is stated, so where they begin is not looked for."""
    rows = [["Index", ""], ["", "Found"], ["tag", "CH"], ["N-1", "7"]]
    site = small_site(tmp_path).read("found.xlsx", as_xlsx({"S": rows}))

    assert_refused(site, "--mapping", site.mapping(heading_rows=2), at="found.xlsx [S]:2:A",
                   says="probably not the heading row", mend="`skip_rows")  # fmt: skip


@pytest.mark.parametrize(
    ("text", "skipped"),
    [("Tag,CH,urv,\n,,found,left\nA,7,1,2\n", 0), ("Tag,,urv,\nTag,CH,left,left\nA,7,1,2\n", 1)],
    ids=["a heading below", "two alike"],
)
def test_the_message_leads_to_it(text: str, skipped: int) -> None:
    """Where a column has no heading, or the same as another."""
    with pytest.raises(InputProblems) as refused:
        table(text, skip_rows=skipped)

    assert "`heading_rows: 2` if" in refused.value.problems[-1].mend
