"""Each text format is, byte for byte, what was looked at and found good."""

from __future__ import annotations

import csv
import io

import openpyxl
import pytest

from audit.reporting import punch_xlsx
from audit.reporting.formats import FORMATS
from tests.reporting.renew_golden import FOLDER, NAMES, found, made


@pytest.fixture(scope="module")
def now() -> dict[str, bytes]:
    """Return what the formats write now."""
    return made()


@pytest.mark.parametrize("file", list(NAMES.values()))
def test_an_output_is_as_it_was(now: dict[str, bytes], file: str) -> None:
    """If a change is intended, `python -m tests.reporting.renew_golden` renews the golden files."""
    expected = (FOLDER / file).read_bytes().decode()

    assert expected == now[file].decode(), "if this is meant: python -m tests.reporting.renew_golden"


def test_the_workbook_has_the_rows_of_the_list() -> None:
    """A workbook's bytes depend on who packs it; its cells do not."""
    sheet = openpyxl.load_workbook(io.BytesIO(punch_xlsx.render(found()))).worksheets[0]
    with (FOLDER / NAMES["punch-csv"]).open(encoding="utf-8-sig", newline="") as golden:
        expected = list(csv.reader(golden))

    assert [[str(cell or "") for cell in row] for row in sheet.iter_rows(values_only=True)] == expected


def test_the_files_are_those_of_the_formats() -> None:
    """Every format of text has its file, and none is left over from a format that no longer exists."""
    without = {form.name for form in FORMATS} - set(NAMES)

    assert without == {"punch-xlsx"}, "add it to NAMES in tests/reporting/renew_golden.py"
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(NAMES.values())


def test_golden_files_name_no_machine(now: dict[str, bytes]) -> None:
    """File names are as they were given, so that the files are the same on every machine."""
    assert not any(str(FOLDER.parent.parent.parent).encode() in content for content in now.values())
