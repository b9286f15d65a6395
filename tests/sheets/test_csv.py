"""The CSV sheet: one table of all networks that a spreadsheet opens without asking."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from tests.sheets.filling import blank, rich_site


@pytest.mark.parametrize(("named", "delimiter"), [(",", ","), (";", ";"), ("tab", "\t")])
def test_delimiters(tmp_path: Path, named: str, delimiter: str) -> None:
    """Spreadsheets with a decimal comma want a semicolon; all of them are read back."""
    site = rich_site(tmp_path)
    text = blank(site, "s.csv", "--delimiter", named).read_text(encoding="utf-8")
    table = list(csv.reader(io.StringIO(text.removeprefix("\ufeff")), delimiter=delimiter))

    assert text.startswith("\ufefftag")
    assert {len(row) for row in table} == {len(table[0])}
    assert [row[0] for row in table] == ["tag", "where to read it", "GW-1", "N-1", "N-2", "N-3"]
    site.readbacks[:] = [site.folder / "s.csv"]
    assert site.check().code == 1


def test_nothing_but_identity_is_filled_in(tmp_path: Path) -> None:
    """What is to be read is blank in every row."""
    text = blank(rich_site(tmp_path), "s.csv").read_text(encoding="utf-8-sig")
    given = {"tag", "location", "network", "site", "plan revision", "decimal mark"}

    for row in list(csv.DictReader(io.StringIO(text)))[1:]:
        assert {name for name, cell in row.items() if cell} == given
