"""Sheets that people have altered: each gets a clear message, or is read as meant; nothing is lost."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.refusing import assert_refused
from tests.sheets.filling import SHOWN, blank, filled, rich_site, showing, to_csv
from tests.small_site import SmallSite

Page = Any
"""A worksheet as openpyxl has it."""
Table = list[list[str]]


def bent(folder: Path, bend: Callable[[Page], object], **changes: dict[str, str]) -> SmallSite:
    """Return a site whose workbook was filled in, then altered."""
    site = rich_site(folder)
    book = openpyxl.load_workbook(io.BytesIO(filled(blank(site), showing(**changes))))
    page = book.worksheets[0]
    bend(page)
    book.save(folder / "filled.xlsx")
    site.readbacks[:] = [folder / "filled.xlsx"]
    return site


def bent_csv(folder: Path, bend: Callable[[Table], Table], **changes: dict[str, str]) -> SmallSite:
    """Return a site whose CSV was filled in, then altered."""
    site = rich_site(folder)
    text = filled(blank(site, "sheets.csv"), showing(**changes)).decode("utf-8-sig")
    table = bend(list(csv.reader(io.StringIO(text))))
    return site.read("filled.csv", to_csv(table))


def as_it_is(page: Page) -> None:
    """Alter nothing."""


def at(page: Page, tag: str, heading: str) -> Page:
    """Return a cell."""
    column = next(cell.column for cell in page[1] if cell.value == heading)
    row = next(cell.row for cell in page["A"] if cell.value == tag)
    return page.cell(row, column)


def found(site: SmallSite) -> list[tuple[str, str | None, str | None]]:
    """Return rule, device and setting of all findings."""
    return [(one["rule"], one["node"], one["setting"]) for one in site.result()["findings"]]


# Columns


def test_columns_in_another_order(tmp_path: Path) -> None:
    """Columns are found by their headings, wherever they are."""
    assert found(bent_csv(tmp_path, lambda table: [row[::-1] for row in table])) == []


def test_rows_in_another_order(tmp_path: Path) -> None:
    """A sheet may be sorted; the row that says where to read moves along, and is still not a reading."""
    assert found(bent_csv(tmp_path, lambda table: [table[0], *table[:0:-1]])) == []


def test_an_added_column(tmp_path: Path) -> None:
    """An unknown column is refused with its letter, not silently left out."""

    def add(page: Page) -> None:
        page.insert_cols(4)
        page["D1"], page["D3"] = "seal no", "S-1"

    assert_refused(
        bent(tmp_path, add), at="filled.xlsx [Main]:1:D", says="unknown column 'seal no'", mend="ignore"
    )


def test_values_beside_the_table(tmp_path: Path) -> None:
    """What was written into a column without a heading is reported, not lost."""
    site = bent(tmp_path, lambda page: page.cell(4, page.max_column + 1, "see photo 7"))

    assert_refused(site, at="filled.xlsx [Main]:1:W", says="a column has no heading", mend="heading")


def test_a_renamed_column(tmp_path: Path) -> None:
    """A heading that is no longer known is refused, and the nearest known one is named."""

    def rename(page: Page) -> None:
        at(page, "tag", "ADDR").value = "addres"

    assert_refused(bent(tmp_path, rename), at="filled.xlsx [Main]:1:G", says="unknown column 'addres'",
                   mend="address")  # fmt: skip


def test_a_deleted_column(tmp_path: Path) -> None:
    """A setting whose column is gone was not read, on any device; that is one cause."""
    site = bent(tmp_path, lambda page: page.delete_cols(at(page, "tag", "ADDR").column))
    unread = [one for one in found(site) if one[0] == "setting-not-read"]

    assert unread == [("setting-not-read", f"N-{n}", "address") for n in (1, 2, 3)]


def test_a_heading_that_stands_twice(tmp_path: Path) -> None:
    """Two columns for one setting are refused: nobody can say which one counts."""

    def double(page: Page) -> None:
        at(page, "tag", "ADDR").value = "channel"

    assert_refused(bent(tmp_path, double), at="filled.xlsx [Main]:1:G", says="both mean 'channel'",
                   mend="ignore one of them")  # fmt: skip


@pytest.mark.parametrize("heading", ["tag", "serial"])
def test_one_of_tag_and_serial_is_enough(tmp_path: Path, heading: str) -> None:
    """Without tags the serial numbers identify the devices, and the other way round."""
    site = bent(tmp_path, lambda page: page.delete_cols(at(page, "tag", heading).column))

    assert [one for one in found(site) if one[0] != "tag-not-read"] == []


def test_a_sheet_without_tag_and_serial(tmp_path: Path) -> None:
    """If one of several sheets of a workbook lost both, this is reported, and the sheet is not skipped."""
    site = bent(tmp_path, lambda page: page.delete_cols(1, 3))

    assert site.check().code in (0, 1)  # the address still tells the device
    site = bent(tmp_path, lambda page: (page.delete_cols(7), page.delete_cols(1, 3)))
    assert_refused(
        site, at="filled.xlsx [Main]", says="no column says which device a row is", mend="tag or serial"
    )


@pytest.mark.parametrize("gone", ["site", "plan revision", "decimal mark", "network"])
def test_without_what_the_sheet_brought_along(tmp_path: Path, gone: str) -> None:
    """Each of the hidden columns can be lost, and the values still read the same."""
    site = bent(tmp_path, lambda page: page.delete_cols(at(page, "tag", gone).column))

    assert found(site) == []


def test_a_comma_without_the_declared_mark(tmp_path: Path) -> None:
    """If the declaration is gone, a decimal comma is unclear again, and never guessed."""
    site = bent(
        tmp_path, lambda page: page.delete_cols(at(page, "tag", "decimal mark").column),
        N1={"URV [kPa]": "980,5"},
    )  # fmt: skip

    assert found(site) == [("reading-unclear", "N-1", "range_high")]


# Cells


def test_merged_cells(tmp_path: Path) -> None:
    """A cell merged over two devices holds one value; for the other it is unclear, at its own place."""

    def merge(page: Page) -> None:
        first = at(page, "N-1", "URV [kPa]")
        page.merge_cells(start_row=first.row, end_row=first.row + 1, start_column=first.column,
                         end_column=first.column)  # fmt: skip

    site = bent(tmp_path, merge)
    (finding,) = site.result()["findings"]

    assert (finding["rule"], finding["node"], finding["setting"]) == ("reading-unclear", "N-2", "range_high")
    assert "merged with" in finding["message"]
    assert finding["evidence"][0]["row"] == 5


def test_merged_headings(tmp_path: Path) -> None:
    """Merged headings leave a column without one, which is refused."""
    site = bent(tmp_path, lambda page: page.merge_cells("F1:G1"))

    assert_refused(site, at="filled.xlsx [Main]:1:G", says="a column has no heading", mend="heading")


@pytest.mark.parametrize("formula", ["=980+0.5", "=SHEETS()"], ids=["reckoned", "unknown function"])
def test_a_formula_without_a_result(tmp_path: Path, formula: str) -> None:
    """A formula whose result was never stored is unclear and quoted, not blank."""

    def compute(page: Page) -> None:
        at(page, "N-1", "URV [kPa]").value = formula

    (finding,) = bent(tmp_path, compute).result()["findings"]

    assert (finding["rule"], finding["setting"], finding["raw"]) == ("reading-unclear", "range_high", formula)


def test_an_error_value(tmp_path: Path) -> None:
    """A cell that holds an error is unclear, not blank."""

    def fail(page: Page) -> None:
        at(page, "N-1", "URV [kPa]").value = "#N/A"

    (finding,) = bent(tmp_path, fail).result()["findings"]

    assert (finding["rule"], finding["raw"]) == ("reading-unclear", "#N/A")


def test_numbers_instead_of_texts(tmp_path: Path) -> None:
    """Cells that a program has turned into numbers read the same."""

    def as_numbers(page: Page) -> None:
        at(page, "N-1", "URV [kPa]").value = 980.5
        at(page, "N-1", "CH").value = 7
        at(page, "N-2", "RATE [kbit/s]").value = 9.6

    assert found(bent(tmp_path, as_numbers)) == []


def test_thousands(tmp_path: Path) -> None:
    """With point or comma allowed, 1,250 on a display of tenths may be either, and is unclear."""
    site = bent(tmp_path, as_it_is, N1={"URV [kPa]": "1,250"})
    (finding,) = site.result()["findings"]

    assert finding["rule"] == "reading-unclear"
    assert "thousands" in finding["message"]


# Rows


def test_two_rows_for_a_node(tmp_path: Path) -> None:
    """Both readings are kept; if no time says which is newer, this is reported."""

    def again(table: Table) -> Table:
        row = next(row for row in table if row[0] == "N-2")
        other = ["8" if table[0][i] == "CH" else text for i, text in enumerate(row)]
        return [*table, other]

    site = bent_csv(tmp_path, again)
    rules = {rule for rule, _, _ in found(site)}

    assert "readings-disagree" in rules
    disagreeing = next(f for f in site.result()["findings"] if f["rule"] == "readings-disagree")
    assert {place["raw"] for place in disagreeing["evidence"]} >= {"7", "8"}


def test_the_newer_of_two_rows_counts(tmp_path: Path) -> None:
    """With times on both, the later reading counts and the earlier one is kept as evidence."""

    def again(table: Table) -> Table:
        heads = table[0]
        row = next(row for row in table if row[0] == "N-2")
        early, late = ({"CH": "8", "read at": "2026-03-01"}, {"read at": "2026-03-02 08:00"})
        others = [
            [more.get(head, text) for head, text in zip(heads, row, strict=True)] for more in (early, late)
        ]
        return [*(one for one in table if one is not row), *others]

    assert found(bent_csv(tmp_path, again)) == []


def test_a_device_that_is_not_on_the_list(tmp_path: Path) -> None:
    """A row at the end, for a device that was found, is an unplanned device."""

    def add(page: Page) -> None:
        row = next(cell.row for cell in page["A"] if cell.row > 6 and cell.value is None)
        page.cell(row, 1).value, page.cell(row, 3).value, page.cell(row, 4).value = "N-9", "SN-9", "7"

    assert [(rule, node) for rule, node, _ in found(bent(tmp_path, add))] == [("unplanned-node", "N-9")]


# Sheets


def test_a_sheet_of_another_plan(tmp_path: Path) -> None:
    """A sheet that names another site is refused, with the cell that names it."""
    site = bent(tmp_path, as_it_is)
    site.replace("name: Little Site", "name: Large Site")

    assert_refused(site, at="filled.xlsx [Main]:3:T", says="the site 'Little Site'", mend="this site")


def test_a_sheet_of_another_revision(tmp_path: Path) -> None:
    """A sheet made from an earlier revision of the plan is checked, and reported as stale."""
    site = bent(tmp_path, as_it_is)
    site.replace("revision: A", "revision: B")
    (finding,) = site.result()["findings"]

    assert finding["rule"] == "plan-revision-stale"
    assert len(finding["others"]) == len(SHOWN)


def test_sheets_with_different_marks_in_one(tmp_path: Path) -> None:
    """Rows that declare different decimal marks are refused: their numbers mean different things."""

    def mix(table: Table) -> Table:
        for row, mark in ((2, "point"), (3, "comma")):
            table[row][table[0].index("decimal mark")] = mark
        return table

    assert_refused(bent_csv(tmp_path, mix), at="filled.csv:4:V", says="different decimal marks",
                   mend="into separate files")  # fmt: skip


@pytest.mark.parametrize("mark", ["point", "comma"])
def test_a_mark_that_is_chosen_in_one_row_is_not_forced_on_the_others(tmp_path: Path, mark: str) -> None:
    """The sheet offers `point or comma` in every row; whoever chooses one does so for that row only."""

    def choose(table: Table) -> Table:
        table[4][table[0].index("decimal mark")] = mark
        for row, text in ((3, "980.5"), (4, "980,5" if mark == "comma" else "980.5")):
            table[row][table[0].index("URV [kPa]")] = text
        return table

    assert found(bent_csv(tmp_path, choose)) == []


def test_a_mark_that_is_none(tmp_path: Path) -> None:
    """A meaningless declaration is refused, and the possible ones are named."""

    def damage(table: Table) -> Table:
        return [[text.replace("point or comma", "dot") for text in row] for row in table]

    assert_refused(bent_csv(tmp_path, damage), at="filled.csv:3:V", says="'dot' is not a decimal mark",
                   mend="point, comma, or point or comma")  # fmt: skip


@pytest.mark.parametrize(
    ("declared", "text", "rules"),
    [
        ("comma", "980,5", []),
        ("comma", "980.5", ["reading-unclear"]),
        ("point", "980.5", []),
        ("point", "980,5", ["reading-unclear"]),
        (",", "980,5", []),
    ],
)
def test_one_mark_declared(tmp_path: Path, declared: str, text: str, rules: list[str]) -> None:
    """Any table may declare its decimal mark in a column; then the other mark is unclear."""
    shown = {tag: {**its, "LRV [kPa]": "-2"} for tag, its in showing(N1={"URV [kPa]": text}).items()}
    shown = {t: {k: v for k, v in its.items() if k != "URV [kPa]" or t == "N-1"} for t, its in shown.items()}
    site = rich_site(tmp_path, defaults={"encryption": "on", "range_low": -2})
    made = (
        filled(blank(site, "sheets.csv"), shown)
        .decode("utf-8-sig")
        .replace("point or comma", f'"{declared}"')
    )
    site.read("filled.csv", made)

    assert [one["rule"] for one in site.result()["findings"] if one["rule"] == "reading-unclear"] == rules


def test_a_mapping_that_states_the_mark_wins(tmp_path: Path) -> None:
    """A mapping overrides the column."""
    site = rich_site(tmp_path)
    site.read("filled.csv", filled(blank(site, "sheets.csv"), showing(N1={"URV [kPa]": "980,5"})))

    assert site.rules_found("--mapping", site.mapping(decimal=".")) == ["reading-unclear"]


def test_half_a_sheet(tmp_path: Path) -> None:
    """A workbook cut off in the middle is refused."""
    site = rich_site(tmp_path)
    content = filled(blank(site))

    assert_refused(site.read("filled.xlsx", content[: len(content) // 2]), at="filled.xlsx",
                   says="is not a workbook", mend="save it again")  # fmt: skip
