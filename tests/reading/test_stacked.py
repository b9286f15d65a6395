"""Several tables one below the other on a sheet, each read under its own headings."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.model.mapping import Mapping
from audit.model.table import Table
from audit.reading.csv_grid import read_csv
from audit.reading.inputs import Inputs
from audit.reading.readback import read_tables
from audit.reading.stacked import tables_in
from tests.reading.made import WORDS, file


def stacked(tmp_path: Path, text: str) -> list[Table]:
    """Return the tables of a CSV."""
    path = tmp_path / "x.csv"
    path.write_text(text, encoding="utf-8")
    return read_tables(path, None, WORDS, Inputs(), "readback")


def test_a_second_heading_row_begins_a_second_table(tmp_path: Path) -> None:
    """Its headings are in another order; its title is not a device, and places are correct."""
    first, second = stacked(
        tmp_path, "tag,serial,CH,net\nA,1,7,3\nB,2,7,3\n,,,\nBrine nodes,,,\nTag,serial,net,CH\nC,3,5,9\n"
    )

    assert first.texts("tag") == ["A", "B"]
    assert {name: second.texts(name) for name in second.columns} == {
        "tag": ["C"], "serial": ["3"], "net": ["5"], "channel": ["9"],
    }  # fmt: skip
    assert second.place(0, "channel")[:6] == (first.file, "", 7, "D", "CH", "9")


def test_headings_that_a_mapping_names_begin_a_second_table_too() -> None:
    """Also where these alone say which device a row is about."""
    mapping = Mapping(columns={"Loop": "tag", "Kanal": "channel"}, ignore=("Ort",))
    grid = read_csv(file("x.csv", "Loop,Kanal,Ort\nA,7,x\nLOOP,Kanal,Ort\nB,8,y\n"), mapping)

    assert [part.columns[0] for part in tables_in(grid, mapping, WORDS)] == [["A"], ["B"]]


def test_a_second_table_may_be_narrower(tmp_path: Path) -> None:
    """Columns that only the first table has do not belong to the second."""
    _, second = stacked(tmp_path, "tag,serial,CH,net\nA,1,7,3\ntag,serial,urv [kPa],\nC,3,16,\n")

    assert second.columns["urv"].style.unit == "kPa"
    assert "channel" not in second.columns


def test_headings_that_come_again_on_every_page_are_no_device(tmp_path: Path) -> None:
    """Exports repeat them; three pages are three tables."""
    page = "tag,serial,CH\n{0},{0}1,7\n"

    assert [table.texts("tag") for table in stacked(tmp_path, "".join(map(page.format, "ABC")))] == [
        ["A"], ["B"], ["C"],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("head", "again"), [("tag,CH,net", "tag,urv,"), ("tag,CH", "tag,urv"), ("serial,CH,net", "urv,serial,")]
)
def test_a_table_of_two_columns_may_follow(head: str, again: str, tmp_path: Path) -> None:
    """Its readings are not those of the columns above them, of which the first table has other ones."""
    filled = ",".join("A73"[: head.count(",") + 1])
    below = "B,9" + "," * (again.count(",") - 1)
    _, second = stacked(tmp_path, f"{head}\n{filled}\n{again}\n{below}\n")

    assert second.columns.keys() == set(filter(None, again.split(",")))


@pytest.mark.parametrize(
    "row", ["tag,1,7,3", "CH,serial,7,3", "serial,tag,7,3"], ids=["a tag", "two words", "as many texts"]
)
def test_a_device_that_is_called_as_a_heading_is_a_device(row: str) -> None:
    """Fewer than three headings among other texts are names that somebody gave."""
    grid = read_csv(file("x.csv", f"tag,serial,CH,net\nA,1,7,3\n{row}\n"), Mapping())

    assert tables_in(grid, Mapping(), WORDS) == [grid]
