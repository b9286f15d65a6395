"""The line of a value in a JSON or YAML file."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.model.mapping import Mapping
from audit.reading.documents import read_document, with_marks
from audit.reading.grid import Grid
from audit.reading.record_grid import read_records
from audit.reading.record_lines import flat, line_of
from audit.reading.tables import to_table
from tests.reading.made import WORDS, file

JSON = """\
{"made": "2026-04-01",
 "list": [
  {"tag": "A",
   "radio": {"ch": 7,
             "net": "0A07"}},

  {"tag": "B", "radio.ch": 8,
   "note": "},{",
   "high": 9.5}
]}
"""
YAML = """\
list:
  - tag: A
    radio:
      ch: 7
      net: 0A07

  - tag: B
    radio.ch: 8
    note: "},{"
    high: 9.5
"""


def line(grid: Grid, entry: int, name: str) -> int:
    """Return the line of a value by its joined name."""
    return grid.row(entry, list(grid.headings).index(name))


@pytest.mark.parametrize(
    ("name", "text", "lines"), [("x.json", JSON, (4, 5, 7, 9)), ("x.yaml", YAML, (4, 5, 8, 10))]
)
def test_each_value_has_its_own_line(name: str, text: str, lines: tuple[int, ...]) -> None:
    """Also within keys, after a key with a point, and after a text with brackets."""
    grid = read_records(file(name, text), Mapping())

    found = (line(grid, 0, "radio.ch"), line(grid, 0, "radio.net"), line(grid, 1, "radio.ch"))
    assert (*found, line(grid, 1, "high")) == lines


@pytest.mark.parametrize(("name", "text", "at"), [("x.json", JSON, 3), ("x.yaml", YAML, 2)])
def test_what_a_record_lacks_stands_where_it_begins(name: str, text: str, at: int) -> None:
    """Somebody who looks for a value that was not read finds its record."""
    assert line(read_records(file(name, text), Mapping()), 0, "high") == at


@pytest.mark.parametrize(("name", "text"), [("x.json", JSON), ("x.yaml", YAML)])
def test_places_of_a_record_belong_together(name: str, text: str) -> None:
    """Whatever their lines: readings are matched by device and time."""
    grid = read_records(file(name, text), Mapping())
    table = to_table(grid, Mapping(ignore=("*",), columns={"radio.ch": "channel"}), WORDS)

    tag, channel = table.place(1, "tag"), table.place(1, "channel")
    assert (tag.entry, channel.entry, tag.record) == (2, 2, 2)
    assert channel.row == line(grid, 1, "radio.ch")


@pytest.mark.parametrize("records", ["/sites/1/devices", "/sites/1/by tag"])
def test_records_are_found_wherever_the_mapping_leads(records: str) -> None:
    """In a list or each under a key, after others of their kind."""
    devices = [{"tag": "A", "ch": 7}, {"tag": "B", "ch": 8}]
    sites = [{"devices": []}, {"devices": devices, "by tag": {one["tag"]: one for one in devices}}]
    text = json.dumps({"sites": sites}, indent=1)
    grid = read_records(file("x.json", text), Mapping(records=records))

    assert f'"ch": {grid.columns[1][1]}' in text.splitlines()[line(grid, 1, "ch") - 1]


VALUES = st.none() | st.booleans() | st.integers() | st.text('a"\\{}[],:é\n', max_size=4)
RECORDS = st.lists(
    st.dictionaries(st.text("ab é", min_size=1, max_size=2), VALUES | st.dictionaries(st.just("c"), VALUES)),
    min_size=1,
)


@given(RECORDS, st.integers(0, 2))
def test_json_has_the_lines_that_a_parser_with_places_gives(
    records: list[dict[str, object]], indent: int
) -> None:
    """Parsed again as YAML, which shows where each value is."""
    document = read_document(file("x.json", json.dumps(records, indent=indent)))
    steps = [(i,) for i in range(len(records))]
    marked = with_marks(document)

    where = line_of(document, steps)
    for number, record in enumerate(document.data, start=1):
        for name, _, path in flat(record, (number - 1,)):
            assert where(number, name) == marked.mark(path).line
