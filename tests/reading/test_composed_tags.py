"""Tags that a table has in several columns."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from audit.errors import InputProblems
from tests.exported_codes import WORD, site_with_codes
from tests.reading.made import table
from tests.refusing import assert_refused
from tests.small_site import as_xlsx, small_site

PARTS = "{Area}-{Function}{Number}"


def test_a_tag_is_put_together_from_columns() -> None:
    """In any case of letters, like all headings; its evidence names the columns."""
    found = table("AREA,Function,Number,CH\n20,PT,101,7\n 21 ,PT,  101,8\n", tag_from=PARTS)

    assert list(found.texts("tag")) == ["20-PT101", "21-PT101"]
    place = found.place(1, "tag")
    assert (place.row, place.column, place.heading) == (3, "C", "AREA, Function, Number")


def test_a_part_may_be_a_field_as_well() -> None:
    """The letters of a tag often say what type a node is of."""
    text = "Function,Number,CH\nPT,101,7\n"
    found = table(text, tag_from="{Function}-{Number}", columns={"Function": "type"},
                  values={"type": {"PT": "pressure"}})  # fmt: skip

    assert (found.texts("tag")[0], found.texts("type")[0]) == ("PT-101", "pressure")


@pytest.mark.parametrize(
    ("pattern", "tags"),
    [
        ("{Tag}{Suffix}", ["PT-101A", "PT-101B", "PT-102", ""]),
        ("{Tag}-{Suffix}", ["PT-101-A", "PT-101-B", "", ""]),
        ("{Tag}/{Tag}", ["PT-101/PT-101", "PT-101/PT-101", "PT-102/PT-102", ""]),
    ],
)
def test_a_suffix_may_be_blank_and_any_other_part_may_not(pattern: str, tags: list[str]) -> None:
    """Half a tag would be another device; without one, the row of a plan is told to have none."""
    text = "Tag,Suffix,CH\nPT-101,A,7\nPT-101,B,8\nPT-102,,9\n,A,1\n"

    assert list(table(text, tag_from=pattern, ignore=("Suffix",)).texts("tag")) == tags


def test_a_long_table() -> None:
    """Each row has all parts."""
    text = "Area,No,setting,value\n20,1,CH,7\n20,2,CH,8\n"

    assert list(table(text, tag_from="{Area}-{No}").texts("tag")) == ["20-1", "20-2"]


def test_a_merged_area_is_that_of_all_its_rows_on_every_sheet_that_has_the_parts(tmp_path: Path) -> None:
    """The workbook's other sheets are passed over."""
    rows = [["Area", "No", "CH"], ["N", "1", "7"], ["", "2", "7"]]
    book = openpyxl.load_workbook(
        io.BytesIO(as_xlsx({"Nodes": rows, "Cover": [["Title", "by"], ["a", "b"]]}))
    )
    book["Nodes"].merge_cells("A2:A3")
    stream = io.BytesIO()
    book.save(stream)
    site = small_site(tmp_path).read("found.xlsx", stream.getvalue())

    result = site.result("--mapping", site.mapping(tag_from="{Area}-{No}"), "--detail")

    read = [one["tag"] for one in result["devices"] if any(s["found"] for s in one["settings"])]
    assert read == ["N-1", "N-2"]


def test_a_sheet_with_the_parts_is_read_whatever_else_it_has(tmp_path: Path) -> None:
    """Of two sheets, so that it is not passed over."""
    rows = [["Area", "No", "CH", "Where"], ["N", "1", "7", "x"]]
    site = small_site(tmp_path).read(
        "found.xlsx", as_xlsx({"Nodes": rows, "Cover": [["a", "b"], ["c", "d"]]})
    )

    outcome = site.check("--mapping", site.mapping(tag_from="{Area}-{No}"))

    assert "found.xlsx [Nodes]:1:D: unknown column 'Where'" in outcome.problems[0]


@pytest.mark.parametrize(
    ("mapping", "says", "mend"),
    [
        ({"tag_from": "{Area}-{Nr}"}, "has no column 'Nr'", "known: "),
        ({"tag_from": "{Area}-{No"}, "does not say where the tag is", '"{Area}-{Number}"'),
        ({"tag_from": "folder"}, "does not say where the tag is", "file, sheet"),
        ({"tag_from": "{Area}-{No}", "columns": {"Name": "tag"}}, "'Name' has the tag already", "`ignore`"),
        ({"tag_from": "{Area}-{No}", "form": "across"}, "not put together from rows", "under `columns`"),
    ],
    ids=["a heading", "a brace", "a word", "another tag", "a column for each node"],
)
def test_slips_are_told_at_their_place_in_the_mapping(
    tmp_path: Path, mapping: dict[str, Any], says: str, mend: str
) -> None:
    """One problem each."""
    site = small_site(tmp_path).read("found.csv", "Area,No,Name,CH\nN,1,x,7\n")
    own = site.mapping(**{"ignore": ["Area", "No", *([] if "columns" in mapping else ["Name"])], **mapping})

    assert_refused(site, "--mapping", own, at="mapping.yaml", says=says, mend=mend)


def test_two_columns_of_a_part_are_told() -> None:
    """Nobody knows which is meant."""
    with pytest.raises(InputProblems) as refused:
        table("No,No,CH\n1,2,7\n", tag_from="PT-{No}")

    assert "2 columns 'No'" in refused.value.problems[0].message


def test_a_column_of_codes_is_no_part_of_a_tag(tmp_path: Path) -> None:
    """Every report would show the codes."""
    site = site_with_codes(tmp_path).read("found.csv", f"Area,CODE,CH\nN,{WORD},7\n")
    own = site.mapping(tag_from="{Area}-{CODE}")

    written = assert_refused(
        site, "--mapping", own, at="mapping.yaml", says="may have access codes", mend="another"
    )

    assert WORD not in written
