"""The workbook: what may be changed in it, what it offers, how it prints; read with another library."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils import column_index_from_string

from audit.reporting.sheet_names import sheet_names
from tests.sheets.filling import (
    HUB_SETTINGS,
    NODE_SETTINGS,
    SHOWN,
    blank,
    filled,
    planned_node,
    rich_site,
    shows,
)
from tests.small_site import NAME, run
from tests.the_examples import EXAMPLES

Page = Any


@pytest.fixture
def page(tmp_path: Path) -> Page:
    """Return the first sheet of the rich site's workbook."""
    return openpyxl.load_workbook(blank(rich_site(tmp_path))).worksheets[0]


def column_of(page: Page, heading: str) -> str:
    """Return the letters of a column."""
    return str(next(cell.column_letter for cell in page[1] if cell.value == heading))


def hidden(page: Page, letter: str) -> bool:
    """Tell whether a column is hidden; columns side by side share one entry."""
    number = column_index_from_string(letter)
    return any(one.hidden for one in page.column_dimensions.values() if one.min <= number <= one.max)


def validation(page: Page, cell: str) -> Any:
    """Return the validation of a cell."""
    return next(one for one in page.data_validations.dataValidation if cell in one.sqref)


def test_headings_and_where_to_read(page: Page) -> None:
    """Above: what the display calls it, with the unit. Below: where it is."""
    heads = [cell.value for cell in page[1]]

    assert heads[:3] == ["tag", "location", "serial"]
    assert heads[3:5] == ["CH", "RATE [kbit/s]"]
    assert heads[-10:] == ["default refused", "read by", "read at", "configured by", "configured at", "note",
                           "network", "site", "plan revision", "decimal mark"]  # fmt: skip
    assert [page["D2"].value, page["E2"].value] == ["RADIO > CH", "RADIO > RATE"]
    assert page["A2"].value == "where to read it"


def test_identity_is_locked_and_values_are_open(page: Page) -> None:
    """Headings, tags and places cannot be changed by accident; cells to fill in can, if they apply."""
    join, addr = column_of(page, "JOIN"), column_of(page, "ADDR")

    assert page.protection.sheet
    assert not page.protection.password
    for cell in ("A1", "D1", "D2", "A3", "B4", f"{join}4", f"{addr}3"):
        assert page[cell].protection.locked, cell
    for cell in ("C3", "D3", f"{join}3", f"{addr}4", f"{column_of(page, 'note')}5"):
        assert not page[cell].protection.locked, cell
    assert page[f"{join}4"].fill.fill_type, "a cell that does not apply is shaded"
    assert page[f"{join}4"].value is None


def test_there_is_room_for_devices_that_are_not_on_the_list(page: Page) -> None:
    """Three rows at the end are open from the tag on, and carry no hidden values."""
    for row in (7, 8, 9):
        assert not page.cell(row, 1).protection.locked
        assert all(page.cell(row, column).value is None for column in range(1, page.max_column + 1))


def test_all_open_cells_are_text(page: Page) -> None:
    """So that 007 stays 007, and 3-4 does not become a date; only the times are dates."""
    times = {column_of(page, "read at"), column_of(page, "configured at")}
    for row in page.iter_rows(min_row=3, max_row=9):
        for cell in row:
            if not cell.protection.locked:
                expected = "yyyy-mm-dd hh:mm" if cell.column_letter in times else "@"
                assert cell.number_format == expected


def test_what_the_reader_needs_is_out_of_sight(page: Page) -> None:
    """Network, site, revision and decimal mark are in every row, in hidden columns, and are not printed."""
    for heading, text in (("network", "Main"), ("site", "Little Site"), ("plan revision", "A"),
                          ("decimal mark", "point or comma")):  # fmt: skip
        letter = column_of(page, heading)
        assert hidden(page, letter)
        assert [page[f"{letter}{row}"].value for row in (3, 4, 5, 6)] == [text] * 4
    assert not hidden(page, column_of(page, "note"))
    assert page.print_area == f"'Main'!$A$1:${column_of(page, 'note')}$9"


def test_it_prints_on_landscape_a4_with_its_headings(page: Page) -> None:
    """All columns on a page, both heading rows on each, site and revision above, page of pages below."""
    assert (page.page_setup.orientation, page.page_setup.paperSize) == ("landscape", 9)
    assert page.sheet_properties.pageSetUpPr.fitToPage
    assert page.page_setup.fitToWidth in (None, 1)  # left out, it is 1
    assert page.page_setup.fitToHeight == 0
    assert page.print_title_rows == "$1:$2"
    assert page.freeze_panes == "B3"
    assert page.oddHeader.left.text == "Little Site, plan revision A"
    assert page.oddHeader.right.text == "network Main"
    assert page.oddFooter.right.text == "page &P of &N"


def test_options_and_flags_are_offered(page: Page) -> None:
    """Drop-downs hold what the display steps through."""
    rate, enc = column_of(page, "RATE [kbit/s]"), column_of(page, "ENC")

    assert validation(page, f"{rate}4").formula1 == '"4.8,9.6,50"'
    assert validation(page, f"{enc}4").formula1 == '"on,off"'
    assert {validation(page, f"{rate}{row}").type for row in (3, 4, 5, 6)} == {"list"}


def test_the_last_sheet_says_of_which_plan_the_others_are(tmp_path: Path) -> None:
    """Site and revision, before how to fill them in."""
    notes = openpyxl.load_workbook(blank(rich_site(tmp_path))).worksheets[-1]

    assert f"Site: {NAME}, plan revision A" in [row[0] for row in notes.iter_rows(values_only=True)]


def test_rows_of_the_same_setting_have_one_drop_down(page: Page) -> None:
    """One range, however many nodes there are; the gateway's own setting is another."""
    enc = column_of(page, "ENC")

    assert str(validation(page, f"{enc}4").sqref) == f"{enc}4:{enc}6"


def test_nothing_is_refused(page: Page) -> None:
    """What the display shows may be illegal; a value is questioned, and can be kept."""
    assert {one.errorStyle for one in page.data_validations.dataValidation} == {"warning"}


def test_a_hint_says_where_and_what(page: Page) -> None:
    """Whoever comes to a cell sees where to look and what is expected."""
    found = validation(page, "D3")

    assert (found.promptTitle, found.prompt) == ("CH", "RADIO > CH. A whole number, from 1 to 40.")


@pytest.mark.parametrize(
    "options",
    [["4,8", "9,6"], [f"option number {i}" for i in range(40)], [" a", "b "], ['1/2"', '3/4"']],
    ids=["commas", "many", "blanks around", "quotation marks"],
)
def test_options_that_a_validation_cannot_hold(tmp_path: Path, options: list[str]) -> None:
    """They are listed in full on a hidden sheet, and the drop-down points there."""
    odd = {"name": "mode", "label": "MODE", "kind": "option", "options": options}
    book = openpyxl.load_workbook(blank(rich_site(tmp_path, settings=[*NODE_SETTINGS, odd])))
    page = book.worksheets[0]

    assert validation(page, f"{column_of(page, 'MODE')}4").formula1 == f"lists!$A$1:$A${len(options)}"
    assert book["lists"].sheet_state == "hidden"
    assert [cell.value for cell in book["lists"]["A"]] == options


def test_a_network_may_be_called_as_the_hidden_sheet(tmp_path: Path) -> None:
    """The sheet of options gives way, and the drop-down follows it."""
    odd = {"name": "mode", "label": "MODE", "kind": "option", "options": ["4,8", "9,6"]}
    site = rich_site(tmp_path, settings=[*NODE_SETTINGS, odd], network_extra={"name": "Lists"})
    book = openpyxl.load_workbook(blank(site))

    assert book.sheetnames == ["Lists", "How to fill in", "lists 2"]
    page = book["Lists"]
    assert validation(page, f"{column_of(page, 'MODE')}4").formula1 == "'lists 2'!$A$1:$A$2"


def test_a_sheet_a_network(tmp_path: Path) -> None:
    """An example's networks have a sheet each, and the last sheet says how to fill them in."""
    target = tmp_path / "s.xlsx"
    assert run("sheet", EXAMPLES / "merrow-vale/plan.yaml", "--out", target).code == 0

    names = openpyxl.load_workbook(target).sheetnames
    assert names == ["Upper", "Middle", "Lower", "How to fill in"]


@pytest.mark.parametrize(
    ("wanted", "names"),
    [
        (["North", "north"], ["North", "north 2"]),
        (["a/b", "a:b"], ["a-b", "a-b 2"]),
        (["x" * 40, "x" * 41], ["x" * 31, "x" * 29 + " 2"]),
        (["", "'", "History"], ["network 1", "network 1 2", "History 1"]),
        (["'quoted'"], ["quoted"]),
    ],
)
def test_names_of_sheets(wanted: list[str], names: list[str]) -> None:
    """Every network has a name that spreadsheets take, and no two share one."""
    assert sheet_names(wanted) == names


def test_many_networks_with_one_long_name() -> None:
    """Names that are cut to the same text are numbered quickly, however many they are."""
    names = sheet_names([f"Water line of the northern station {i}" for i in range(3000)])

    assert len({name.casefold() for name in names}) == 3000
    assert max(map(len, names)) == 31


HOSTILE = [
    "=1+1",
    "+49 30",
    "-1",
    "@x",
    "&P&D",
    "a\tb",
    "'quoted",
    "<b>&amp;",
    "R\u202eTL",
    "\x1b[31mred",
    "x" * 300,
]


@pytest.mark.parametrize("ending", ["xlsx", "csv"])
@pytest.mark.parametrize("tag", HOSTILE)
def test_tags_of_any_kind_come_back(tmp_path: Path, tag: str, ending: str) -> None:
    """A tag that looks like a formula, a command or markup stays a text and finds its device again."""
    site = rich_site(tmp_path, nodes=[planned_node(1) | {"tag": tag, "location": tag}])
    sheet = blank(site, f"s.{ending}")
    if ending == "xlsx":
        first = next(openpyxl.load_workbook(sheet).worksheets[0].iter_rows(min_row=4, values_only=True))[0]
    else:
        first = list(csv.reader(io.StringIO(sheet.read_text(encoding="utf-8-sig"))))[3][0]
        assert not first.startswith(("=", "+", "-", "@"))
    shown = {"GW-1": SHOWN["GW-1"], str(first): {k: v for k, v in shows(1).items() if k != "serial"}}
    site.read(f"f.{ending}", filled(sheet, shown))

    assert [one["rule"] for one in site.result()["findings"]] in ([], ["tag-respelled"])
    assert site.result()["counts"]["devices_read"] == 2


def test_the_same_plan_gives_the_same_bytes(tmp_path: Path) -> None:
    """Sheets can be kept under version control, and made again on any day."""
    site = rich_site(tmp_path)

    assert blank(site, "a.xlsx").read_bytes() == blank(site, "b.xlsx").read_bytes()


def test_the_same_plan_gives_the_same_bytes_on_every_system(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A zip file names the system that it was made on."""
    site = rich_site(tmp_path)
    here = blank(site, "a.xlsx").read_bytes()
    monkeypatch.setattr("sys.platform", "win32")

    assert blank(site, "b.xlsx").read_bytes() == here


def test_hub_settings_differ_from_those_of_nodes() -> None:
    """The site of these tests has columns that do not apply to some rows."""
    assert {one["name"] for one in HUB_SETTINGS} - {one["name"] for one in NODE_SETTINGS}
