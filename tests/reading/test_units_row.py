"""Units in a row of their own, directly below the headings."""

from __future__ import annotations

from typing import Any

import pytest

from tests.reading.made import table


@pytest.mark.parametrize("unit", ["bar", "[bar]", "(bar)", " bar "])
@pytest.mark.parametrize("tag", ["", "Unit", "-"])
def test_a_row_of_units_is_that_of_its_columns(unit: str, tag: str) -> None:
    """It was taken for a reading of no device, and 10 bar for 10 kPa."""
    found = table(f"tag,CH,urv,net\n{tag},,{unit},text\nA,7,10,1A\n")

    assert found.rows == range(3, 4)
    assert found.columns["urv"].style.unit == "bar"
    assert found.columns["channel"].style.unit == found.columns["net"].style.unit == ""


@pytest.mark.parametrize(
    ("heading", "mapping"), [("urv [psi]", {}), ("urv", {"units": {"range_high": "psi"}})]
)
def test_what_states_a_unit_more_closely_counts(heading: str, mapping: dict[str, Any]) -> None:
    """As for a heading, which yields to the mapping."""
    found = table(f"tag,{heading}\n,bar\nA,10\n", **mapping)

    assert found.texts("tag") == ["A"]
    assert found.columns["urv"].style.unit == "psi"


@pytest.mark.parametrize("heading", ["network", "read_by", "note", "read_at", "type"])
def test_a_row_of_units_may_say_more(heading: str) -> None:
    """A cell merged over the whole table says the same of this row; over a note there may be `text`."""
    text = "2026-04-01" if heading == "read_at" else "North"
    found = table(f"tag,urv,{heading}\n,bar,{text}\nA,10,{text}\n")

    assert found.texts("tag") == ["A"]
    assert found.columns["urv"].style.unit == "bar"


@pytest.mark.parametrize("row", ["A,,bar", ",7,bar", ",7,10", ",,", "Pump,,bar", ",on,"], ids=str)
def test_any_other_row_is_kept(row: str) -> None:
    """It names a device, or has a reading."""
    found = table(f"tag,CH,urv\n{row}\nB,7,10\n")

    assert len(found.rows) == 1 + bool(row.strip(","))
    assert found.columns["urv"].style.unit == ""
