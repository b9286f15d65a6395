"""Readbacks from files of several kinds: what their tables hold, and which digests are told."""

from __future__ import annotations

import json
from pathlib import Path

from audit.model.table import Table
from audit.reading.inputs import Inputs
from audit.reading.readback import read_readback, read_tables
from tests.reading.test_tables import WORDS
from tests.small_site import as_xlsx


def workbook(folder: Path, *rows: tuple[object, ...]) -> Table:
    """Return a workbook of one sheet as it is read."""
    path = folder / "x.xlsx"
    path.write_bytes(as_xlsx({"Sheet": rows}))
    (found,) = read_tables(path, None, WORDS, Inputs(), "readback")
    return found


def test_a_formula_in_a_long_sheet_is_told(tmp_path: Path) -> None:
    """As in a wide one: blank would mean that nothing was read."""
    found = workbook(tmp_path, ("tag", "setting", "value"), ("A", "channel", "=3+4"))

    assert found.columns["channel"].texts == ["=3+4"]


def test_numbers_in_cells_have_the_mark_that_the_sheet_declares(tmp_path: Path) -> None:
    """A number in a cell has no mark of its own."""
    found = workbook(tmp_path, ("tag", "urv", "decimal_mark"), ("A", 1.5, "comma"))

    assert found.columns["urv"].texts == ["1,5"]


def test_the_digest_of_a_mapping_with_a_code_is_withheld_beside_entries_too(tmp_path: Path) -> None:
    """A digest would let a short code be guessed; what has no code of its own keeps its digest."""
    (tmp_path / "mapping.yaml").write_text(
        "asfound: mapping/1\nmappings: [{constants: {access_code: '4711'}}]\n"
    )
    entry = {"asfound": "entry/1", "tag": "A", "setting": "channel", "value": "7"}
    (tmp_path / "a.jsonl").write_text(json.dumps(entry) + "\n")
    (tmp_path / "b.csv").write_text("tag,channel\nA,7\n")
    inputs = Inputs()
    read_readback([tmp_path / "a.jsonl"], tmp_path / "mapping.yaml", WORDS, "S", inputs)
    assert inputs.files[(tmp_path / "mapping.yaml").as_posix()].sha256 is None

    read_readback([tmp_path / "b.csv"], tmp_path / "mapping.yaml", WORDS, "S", inputs)
    assert inputs.files[(tmp_path / "b.csv").as_posix()].sha256 is not None
