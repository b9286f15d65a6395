"""JSON Lines: exports with an object on each line, and entries, whatever their names."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.errors import InputProblems
from audit.model.mapping import Mapping
from audit.reading.json_lines import are_entries
from audit.reading.record_grid import read_records
from tests.entry_lines import as_lines, entry
from tests.reading.made import file
from tests.small_site import small_site

EXPORT = '{"tag": "A", "ch": 7}\n\n{"tag": "B", "ch": 08.50}\n'.replace("08", "8")


@pytest.mark.parametrize("name", ["x.json", "x.jsonl"])
def test_an_object_a_line_is_a_record_a_line(name: str) -> None:
    """Many gateways export in this form, under either ending; numbers keep their spelling."""
    grid = read_records(file(name, EXPORT), Mapping())

    assert dict(zip(grid.headings, grid.columns, strict=True)) == {"tag": ["A", "B"], "ch": ["7", "8.50"]}
    assert [grid.row(0, 1), grid.row(1, 1)] == [1, 3]


def test_a_line_that_is_no_json_is_told() -> None:
    """With its line; so is a value that is not a record."""
    with pytest.raises(InputProblems) as error:
        read_records(file("x.jsonl", EXPORT + '{"tag": \n'), Mapping())
    assert [problem.line for problem in error.value.problems] == [4]

    with pytest.raises(InputProblems, match="record 3 is 'x'") as error:
        read_records(file("x.jsonl", EXPORT + '"x"\n'), Mapping())
    assert [problem.line for problem in error.value.problems] == [4]


ONE = as_lines(entry("N-1", "channel", "8"))
KINDS = [
    ("x.jsonl", ONE, True),
    ("x.json", ONE, True),
    ("x.txt", "\ufeff" + ONE, True),
    ("x.json", "\n" + ONE, True),
    ("x.jsonl", "", True),
    ("x.jsonl", '{"asfo', True),
    ("x.jsonl", '{"asfound": "entry/2"}\n', True),
    ("x.jsonl", EXPORT, False),
    ("x.json", EXPORT, False),
    ("x.json", '{"asfound": "readback/1"}', False),
    ("x.csv", "tag,ch\n", False),
]


@pytest.mark.parametrize(("name", "text", "entries"), KINDS)
def test_entries_are_known_by_their_first_line(name: str, text: str, *, entries: bool) -> None:
    """By their name only if that line is torn, or of another version."""
    assert are_entries(file(name, text)) is entries


def test_entries_count_under_another_name(tmp_path: Path) -> None:
    """Somebody who has renamed a file to .json is not sent looking for a bracket."""
    site = small_site(tmp_path)
    settings = {"serial": "100001", "channel": "7", "network_id": "A7", "address": "11",
                "range_low": "0", "range_high": "1000", "high_alarm": "780.0"}  # fmt: skip
    site.read("found.json", as_lines(*(entry("N-1", name, value) for name, value in settings.items())))

    assert site.result()["counts"]["verified"] == 6
