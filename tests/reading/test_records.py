"""Whose records a JSON or YAML file has, and what stands once above them all."""

from __future__ import annotations

import json
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.model.mapping import Mapping
from audit.model.table import Table
from audit.reading.record_grid import read_records
from audit.reading.tables import to_table
from tests.reading.made import WORDS, file

DEVICES = [{"tag": "A", "channel": 7, "read_at": "2026-04-02"}, {"tag": "B", "channel": 8}]
ABOVE = {"site": "Hillside", "read_at": "2026-04-01", "format": 3}


def read(name: str, data: Any, **mapping: Any) -> Table:
    """Return data as a table, one key to a line."""
    options = Mapping.model_validate(mapping)
    return to_table(read_records(file(name, json.dumps(data, indent=1)), options), options, WORDS)


@pytest.mark.parametrize(
    ("data", "mapping"),
    [
        ({**ABOVE, "devices": DEVICES}, {}),
        ({**ABOVE, "devices": DEVICES}, {"records": "/devices"}),
        ({**ABOVE, "of": {"read_at": "2026-04-01", "devices": DEVICES}}, {"records": "/of/devices"}),
        ({**ABOVE, "devices": {"A": DEVICES[0], "B": DEVICES[1]}}, {"records": "/devices"}),
        ({"plant": "Hillside", "read_at": "2026-04-01", "devices": DEVICES}, {"columns": {"plant": "site"}}),
    ],
    ids=["the only list", "a list that is named", "deeper", "under tags", "named by the mapping"],
)
@pytest.mark.parametrize("name", ["x.json", "x.yaml"])
def test_a_field_above_the_records_applies_to_each(name: str, data: Any, mapping: dict[str, Any]) -> None:
    """A readback of another site, or a later one, is seen as such; a record's own time counts first."""
    found = read(name, data, **mapping)

    assert list(found.texts("site")) == ["Hillside", "Hillside"]
    assert list(found.texts("read_at")) == ["2026-04-02", "2026-04-01"]
    assert "format" not in found.columns


def test_a_field_above_the_records_has_its_own_line() -> None:
    """Whoever corrects it finds it at the top, not in the record."""
    text = json.dumps({**ABOVE, "devices": DEVICES}, indent=1).splitlines()
    found = read("x.json", {**ABOVE, "devices": DEVICES})

    assert '"site": "Hillside"' in text[found.place(1, "site").row - 1]
    assert '"2026-04-02"' in text[found.place(0, "read_at").row - 1]


def test_a_field_in_the_records_under_another_spelling_is_the_same_field() -> None:
    """Otherwise there would be two columns for one thing."""
    devices = [{"tag": "A", "Read At": "2026-04-02"}]

    assert list(read("x.json", {**ABOVE, "devices": devices}).texts("read_at")) == ["2026-04-02"]


@pytest.mark.parametrize("key", ["type", "tag", "serial", "note", "channel"])
def test_what_is_about_the_export_or_one_device_is_not_carried(key: str) -> None:
    """A `type` or `serial` above records is that of the file or of the program that made it."""
    found = read("x.json", {key: "9", "devices": DEVICES})

    assert "9" not in found.texts(key)


def test_an_empty_list_is_told_as_such() -> None:
    """`records` need not be stated for it: there is nothing to be found elsewhere."""
    with pytest.raises(InputProblems, match="list of records is empty"):
        read("x.json", {"devices": []})
