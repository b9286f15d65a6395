"""Headings: which row of a sheet they are in, and which rows above them are not readings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.model.mapping import Mapping
from audit.model.table import Table
from audit.reading.csv_grid import read_csv
from audit.reading.headings import headings_below
from audit.reading.inputs import Inputs
from audit.reading.readback import read_tables
from tests.reading.made import WORDS, file, table
from tests.small_site import as_xlsx

HEAD = ("tag", "CH", "urv")
ROW = ("A", 7, 1.5)
TITLES: list[Any] = [("Re-read after work, R. Sample",), (), ("", "5 May")]


def sheets(folder: Path, **pages: list[Any]) -> list[Table]:
    """Return the tables of a workbook."""
    path = folder / "x.xlsx"
    path.write_bytes(as_xlsx(pages))
    return read_tables(path, None, WORDS, Inputs(), "readback")


@pytest.mark.parametrize("others", [{}, {"First": [HEAD, ROW]}], ids=["alone", "beside another sheet"])
def test_a_sheet_with_a_title_is_read(tmp_path: Path, others: dict[str, list[Any]]) -> None:
    """If it were skipped, its newer readings would be lost. Places stay those of the sheet."""
    *_, again = sheets(tmp_path, **others, Again=[*TITLES, HEAD, ROW])

    assert again.place(0, "channel")[:6] == (again.file, "Again", 5, "B", "CH", "7")


def test_below_a_title_the_declared_mark_counts(tmp_path: Path) -> None:
    """A number in a cell has no decimal mark of its own."""
    (found,) = sheets(tmp_path, Sheet=[*TITLES, (*HEAD, "decimal_mark"), (*ROW, "comma")])

    assert found.columns["urv"].texts == ["1,5"]


@pytest.mark.parametrize(
    ("text", "entry"),
    [
        ("Site,Elder Ford,\n,by R. Sample,\ntag,CH,urv\nA,7,1\n", 1),
        ("Site,Elder Ford,\ntag,setting,value\nA,channel,7\n", 0),
        ("Elder Ford,\ntag,CH\nA,7\n", 0),
        ("Elder Ford,\nnet,CH\nA,7\n", None),
        ("tag,CH,x\ntag,CH,urv\n", None),
        ("Name,Kanal,Ende\nA,7,1\nB,7,1\n", None),
        ("Name,Kanal,Ende\ntag,CH,1\n", None),
    ],
    ids=[
        "wide",
        "long",
        "a tag and a setting",
        "two settings",
        "below headings",
        "no headings",
        "two words are names",
    ],
)
def test_headings_are_looked_for_below_what_is_none(text: str, entry: int | None) -> None:
    """Then at least three and most of a row's texts are known, or all of them, including tag or serial."""
    assert headings_below(read_csv(file("x.csv", text), Mapping()), Mapping(), WORDS) == entry


@pytest.mark.parametrize("head", ["tag", "Tag", "setting", "Bezeichnung"])
def test_devices_as_columns_are_told_once(head: str) -> None:
    """Not heading by heading, with the advice to map or ignore them."""
    with pytest.raises(InputProblems) as error:
        table(f"{head},N-1,N-2\nserial,1,2\nCH,7,7\nrange high [kPa],1,5\n")
    (problem,) = error.value.problems

    assert (problem.line, problem.column) == (1, "A")
    assert problem.message.startswith("settings are listed one below the other (serial, channel, urv …)")
    assert problem.mend.startswith("if the devices are columns, or there is only one, state `form: across`")


@pytest.mark.parametrize("ignore", [(), ("*",)])
def test_a_blank_above_the_settings_is_no_other_matter(ignore: tuple[str, ...]) -> None:
    """With all unknown columns ignored, each setting would be taken for an unknown device."""
    with pytest.raises(InputProblems, match="so a row is not a device"):
        table(",N-1,N-2,N-3\nserial,1,2,3\nCH,7,7,7\nnet,1,5,5\n", ignore=ignore)


@pytest.mark.parametrize(
    "text",
    [
        "setting,Node,Wert\nCH,A,7\nnet,A,1\nurv,A,5\nCH,B,7\n",
        "setting,tag,Wert\nCH,A,7\nnet,A,1\nurv,A,5\n",
        "tag,Kanal,Ende\nA,7,1\nB,7,1\nC,7,1\n",
    ],
    ids=["a row a setting", "a column tag", "a row a device"],
)
def test_other_unknown_columns_are_told_for_themselves(text: str) -> None:
    """A table that is known only in part is not taken to be transposed."""
    with pytest.raises(InputProblems) as error:
        table(text)

    assert "turn the table" not in str(error.value)


def test_headings_in_two_rows_are_told_once() -> None:
    """Not as one column after another without a heading, with the advice to ignore the one with the tags."""
    with pytest.raises(InputProblems) as refused:
        table(",CH,,urv,\nTag,found,left,found,left\nA,1,7,1,1000\n")

    (problem,) = refused.value.problems
    assert (problem.line, problem.column) == (2, "A")
    assert problem.message == "'Tag' is in row 2, but other headings are in row 1"
    assert "`skip_rows: 1` if row 2 has them all" in problem.mend
