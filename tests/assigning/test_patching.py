"""The patch of a plan's files: it changes the right row, or leaves the change to be made by hand."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from audit.assigning.patching import diff
from audit.judging.findings import evidence_place
from audit.model.suggestion import PlanChange
from audit.model.table import Place


def change(file: str, row: int, column: str, before: str = "2") -> PlanChange:
    """Return the change of an address to 9."""
    place = evidence_place(Place(file, "", row, column, "address", before))
    return PlanChange(network="N", node="A", setting="address", before=before, after="9", why="", place=place)


def test_a_patch_holds_where_a_file_has_no_last_line_break(tmp_path: Path) -> None:
    """The diff says so, as the programs that apply it require."""
    (tmp_path / "n.csv").write_text("tag,channel\nA,3", newline="")
    place = evidence_place(Place("n.csv", "", 2, "B", "channel", "3"))
    change = PlanChange(network="N", node="A", setting="channel", before="3", after="9", why="", place=place)
    text, _ = diff([change], lambda file: (tmp_path / file).read_text())
    (tmp_path / "p.diff").write_text(text, newline="")

    subprocess.run(["git", "apply", "p.diff"], cwd=tmp_path, check=True)

    assert (tmp_path / "n.csv").read_text() == "tag,channel\nA,9"


@pytest.mark.parametrize("name", ["n.tsv", "n.txt"])
def test_a_patch_reaches_every_table_of_text(name: str) -> None:
    """A node table with tabs is one like any other."""
    text, by_hand = diff([change(name, 3, "B")], lambda _: "tag\taddress\nA\t1\nB\t2\n")

    assert text.splitlines()[-2:] == ["-B\t2", "+B\t9"]
    assert by_hand == []


def test_a_cell_with_text_behind_its_quotation_marks_is_left_to_people() -> None:
    """Programs read such a line in several ways."""
    wanted = change("n.csv", 2, "B")

    assert diff([wanted], lambda _: 'tag,address\n"A"x,2\n') == ("", [wanted])


def test_a_patch_reaches_the_first_column() -> None:
    """Also where its cell above is empty."""
    text, by_hand = diff([change("n.csv", 3, "A")], lambda _: "address,tag\n,A\n2,B\n")

    assert text.splitlines()[-2:] == ["-2,B", "+9,B"]
    assert by_hand == []


def test_a_patch_of_a_file_named_in_full_applies_where_it_was_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A patch program takes no name that begins at the root."""
    (tmp_path / "site").mkdir()
    file = tmp_path / "site" / "n.csv"
    file.write_text("tag,address\nA,2\n", newline="")
    monkeypatch.chdir(tmp_path)
    text, _ = diff([change(str(file), 2, "B")], lambda name: Path(name).read_text())
    (tmp_path / "p.diff").write_text(text, newline="")

    subprocess.run(["git", "apply", "p.diff"], cwd=tmp_path, check=True)

    assert file.read_text() == "tag,address\nA,9\n"


@pytest.mark.parametrize("odd", ["\u2028", "\x0c", "\x85", "\x1d"])
def test_rows_of_a_table_are_counted_as_its_reader_counts_them(tmp_path: Path, odd: str) -> None:
    """Pasted texts contain line separators that end no row; the node below must not be changed instead."""
    text = f"tag,location,address\nA,Pump{odd}house,1\nB,,2\nC,,2\n"
    (tmp_path / "n.csv").write_text(text, encoding="utf-8", newline="")

    patch, by_hand = diff([change("n.csv", 4, "C")], lambda _: text)
    (tmp_path / "p.diff").write_text(patch, encoding="utf-8", newline="")
    subprocess.run(["git", "apply", "p.diff"], cwd=tmp_path, check=True)

    assert by_hand == []
    assert (tmp_path / "n.csv").read_text(encoding="utf-8").endswith("B,,2\nC,,9\n")


def test_several_changes_of_one_line_hold() -> None:
    """They are made backwards, so that the columns before them stay valid."""
    text = "- {tag: A, address: 2, host: 2}\n"
    patch, _ = diff([change("p.yaml", 1, "21"), change("p.yaml", 1, "30")], lambda _: text)

    assert "+- {tag: A, address: 9, host: 9}\n" in patch


@pytest.mark.parametrize(("file", "text", "row", "column"), [
    ("n.csv", "tag,address\nA,2\n", 2, "B"), ("p.yaml", "- {tag: A, address: 2}\n", 1, "21"),
])  # fmt: skip
def test_a_file_that_begins_with_a_byte_order_mark_is_patched(
    file: str, text: str, row: int, column: str, tmp_path: Path
) -> None:
    """As spreadsheets write it: its first line is one of those around the change."""
    (tmp_path / file).write_text(text, encoding="utf-8-sig", newline="")
    patch, _ = diff([change(file, row, column)], lambda name: (tmp_path / name).read_text(encoding="utf-8"))
    (tmp_path / "p.diff").write_text(patch, encoding="utf-8", newline="")

    subprocess.run(["git", "apply", "p.diff"], cwd=tmp_path, check=True)

    assert (tmp_path / file).read_text(encoding="utf-8") == f"\ufeff{text}".replace("2", "9")


@pytest.mark.parametrize(("row", "column"), [
    ('A,"2",Rim hut\n', "B"), ('A,"Rim hut, ""north""; below",2\n', "C"),
    ('"A";"Rim, hut, north";"2"\r\n', "C"), ("- {tag: A, address: '2'}\n", "21"),
])  # fmt: skip
def test_a_row_with_quotation_marks_is_patched(row: str, column: str) -> None:
    """Spreadsheets put them around a location with a comma in it."""
    file = "p.yaml" if column.isdecimal() else "n.csv"
    patch, by_hand = diff([change(file, 1, column)], lambda _: row)

    assert by_hand == []
    assert f"+{row.replace('2', '9')}" in patch


def test_a_file_that_is_not_in_utf_8_is_left_to_be_changed_by_hand() -> None:
    """The lines of a diff would be other bytes than those of the file."""
    wanted = change("n.csv", 2, "B")

    assert diff([wanted], lambda _: None) == ("", [wanted])


@pytest.mark.parametrize("program", [["git", "apply"], ["patch", "-p1", "-i"]], ids=["git", "patch"])
def test_a_file_with_a_blank_in_its_name_is_patched(program: list[str], tmp_path: Path) -> None:
    """GNU patch takes the name to end at the blank unless a tab follows it."""
    if shutil.which(program[0]) is None:
        pytest.skip(f"{program[0]} is not installed")
    (tmp_path / "all nodes.csv").write_text("tag,address\nA,2\n", encoding="utf-8")
    patch, _ = diff([change("all nodes.csv", 2, "B")], lambda _: "tag,address\nA,2\n")
    (tmp_path / "p.diff").write_text(patch, encoding="utf-8", newline="")

    subprocess.run([*program, "p.diff"], cwd=tmp_path, check=True)

    assert (tmp_path / "all nodes.csv").read_text(encoding="utf-8") == "tag,address\nA,9\n"


BY_HAND = [
    pytest.param("n.xlsx", "A,2\n", "B", id="workbook"),
    pytest.param("n.csv", 'A,2,"Rim\nhut"\n', "B", id="a cell of two lines"),
    pytest.param("n.csv", 'A,5" pipe,2\n', "C", id="an inch mark"),
    pytest.param("n.csv", "A,3\n", "B", id="another text there"),
    pytest.param("n.csv", "A\n", "B", id="no such cell"),
    pytest.param("p.yaml", 'address: "0x2"\n', "10", id="another text in YAML"),
]


@pytest.mark.parametrize(("file", "text", "column"), BY_HAND)
def test_what_a_patch_cannot_reach_is_left_to_be_made_by_hand(file: str, text: str, column: str) -> None:
    """Nothing is changed if the old value is not where it is expected."""
    wanted = change(file, 1, column)

    assert diff([wanted], lambda _: text) == ("", [wanted])
