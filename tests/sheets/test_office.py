"""Sheets in LibreOffice, in a comma-decimal locale: typed as seen, saved in three forms, read back equal."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.model.table import Table
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from audit.reading.readback import read_readback
from audit.run import readback_words
from tests.sheets.filling import SHOWN, blank, cell_of, planned_node, rich_site, showing
from tests.sheets.office import FILTERS, Office
from tests.small_site import SmallSite

TYPED = showing(
    GW1={"read at": "31.03.2026 9:15"},
    N1={"LRV [kPa]": "-2,5", "URV [kPa]": "980,5", "CH": "07"},
    N2={"URV [kPa]": "980.5", "RATE [kbit/s]": "9.6", "read at": "2026-03-31 09:15"},
    N3={"LRV [kPa]": "-2,5", "URV [kPa]": "980,50", "note": "=1+1 was on the label"},
)
"""As people type: decimals with comma or point, a date in the country's order, leading zeros."""
READ_AT = {"GW-1": "2026-03-31T09:15", "N-2": "2026-03-31T09:15"}


def typed_cells(sheet: Path, shown: dict[str, dict[str, str]]) -> dict[str, str]:
    """Return cell → text for what is typed."""
    return {cell_of(sheet, tag, head): text for tag, its in shown.items() for head, text in its.items()}


def texts(site: SmallSite, file: Path) -> dict[str, dict[str, str]]:
    """Return tag → field → raw text of a readback, without what is blank."""
    plan = read_plan(site.plan, Inputs())
    (table,) = read_readback([file], None, readback_words(plan), plan.file.site.names, Inputs())
    return {tag: _row(table, entry) for entry, tag in enumerate(table.texts("tag"))}


def _row(table: Table, entry: int) -> dict[str, str]:
    row = {name: column.texts[entry] for name, column in table.columns.items()}
    if "read_at" in row:  # CSV has no type for a time: it is saved as shown
        row["read_at"] = row["read_at"].replace(" ", "T")[:16]
    return {name: text for name, text in row.items() if text}


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> SmallSite:
    """Return the site, as planned."""
    return rich_site(tmp_path_factory.mktemp("site"))


@pytest.fixture(scope="module")
def saved(site: SmallSite, office: Office) -> dict[str, Path]:
    """Return the sheet filled in by typing, saved as XLSX, ODS and CSV."""
    sheet = blank(site)
    files, _ = office.fill(sheet, typed_cells(sheet, TYPED))
    return files


@pytest.mark.parametrize("ending", list(FILTERS))
def test_what_was_typed_reads_back_as_typed(site: SmallSite, saved: dict[str, Path], ending: str) -> None:
    """Leading zeros, 3-4, both decimal marks and a text that looks like a formula are kept exactly."""
    read = texts(site, saved[ending])

    for tag, its in TYPED.items():
        expected = {**its, "read at": READ_AT[tag]} if tag in READ_AT else its
        for heading, text in expected.items():
            assert text in read[tag].values(), f"{tag} {heading}"
    assert {tag: row.get("read_at") for tag, row in read.items() if "read_at" in row} == READ_AT


@pytest.mark.parametrize("ending", ["ods", "csv"])
def test_all_forms_read_back_equal(site: SmallSite, saved: dict[str, Path], ending: str) -> None:
    """Whatever format the sheet is saved in, the same is read."""
    assert texts(site, saved[ending]) == texts(site, saved["xlsx"])


@pytest.mark.parametrize("ending", list(FILTERS))
def test_the_saved_sheet_checks_as_planned(site: SmallSite, saved: dict[str, Path], ending: str) -> None:
    """With no mapping every form passes: the values typed are the planned ones, with point or comma."""
    site.readbacks[:] = [saved[ending]]

    assert site.result()["findings"] == []
    assert site.check().code == 0


QUESTIONED = {
    "CH": ("41", "0", "3-4", "1.5", "abc"),
    "RATE [kbit/s]": ("9.7", "fast"),
    "NET ID": ("00A77",),
    "ADDR": ("248", "1,250"),
    "ENC": ("maybe",),
    "LRV [kPa]": ("-100,1", "2.55", "1,250"),
    "URV [kPa]": ("2000.5",),
}
"""Heading → texts that validation has to question."""
TAKEN = {
    "CH": ("40", "07", "1"),
    "RATE [kbit/s]": ("4.8",),
    "NET ID": ("0001", "3-4"),
    "ADDR": ("247",),
    "ENC": ("off",),
    "LRV [kPa]": ("-100", "-2,5", "-2.5", "1250", "0,0"),
    "URV [kPa]": ("2000",),
}
"""Heading → texts that it has to take."""


def test_validation_questions_what_the_device_cannot_show(tmp_path: Path, office: Office) -> None:
    """Limits, steps, options and widths act on cells of text, in a locale with a decimal comma."""
    most = max(map(len, (*QUESTIONED.values(), *TAKEN.values())))
    sheet = blank(rich_site(tmp_path, nodes=[planned_node(number) for number in range(1, 2 * most + 1)]))
    bad, good = (
        {
            cell_of(sheet, f"N-{first + turn}", heading): text
            for heading, texts in of_side.items() for turn, text in enumerate(texts)
        }
        for first, of_side in ((1, QUESTIONED), (1 + most, TAKEN))
    )  # fmt: skip

    _, invalid = office.fill(sheet, {}, bad | good)

    assert invalid == set(bad)


def test_a_csv_sheet_filled_in_with_a_decimal_comma(tmp_path: Path, office: Office) -> None:
    """A CSV has no text cells: 980,5 becomes a number, is saved with the comma, and reads back equal.

    Chambers are not typed: a spreadsheet turns 3-1 into a date, which is why the workbook is better.
    """
    site = rich_site(tmp_path)
    sheet = blank(site, "sheets.csv", "--delimiter", ";")
    like = blank(site, "like.xlsx")
    shown = {tag: {**its, "RATE [kbit/s]": "9,6"} for tag, its in TYPED.items()}
    shown["N-2"] |= {"URV [kPa]": "980,5"}
    for its in shown.values():
        its.pop("read at", None)
        its.pop("note", None)
    cells = typed_cells(like, {tag: {h: t for h, t in its.items() if h not in ("CHAM", "serial")}
                               for tag, its in shown.items()})  # fmt: skip

    files, _ = office.fill(sheet, cells)

    for file in files.values():
        site.readbacks[:] = [file]
        found = [finding for finding in site.result()["findings"] if finding["node"]]
        assert {(finding["rule"], *finding["settings"]) for finding in found} == {
            ("setting-not-read", "chamber")
        }


def test_an_untouched_sheet_saved_again_is_not_read(tmp_path: Path, office: Office) -> None:
    """Saved empty, in any format, every device counts as not read."""
    site = rich_site(tmp_path)
    files, _ = office.fill(blank(site), {})

    for file in files.values():
        site.readbacks[:] = [file]
        found = [finding["rule"] for finding in site.result()["findings"] if finding["node"]]
        assert found == ["gateway-not-read", *["node-not-read"] * (len(SHOWN) - 1)]
