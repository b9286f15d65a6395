"""Long tables: which rows are one reading of a device, and rows that name no device."""

from __future__ import annotations

import pytest

from audit.errors import InputProblems
from audit.model.device import DeviceType, Setting
from audit.model.mapping import Mapping
from audit.reading.csv_grid import read_csv
from audit.reading.pivot import widened
from audit.reading.vocabulary import vocabulary
from tests.reading.made import TYPE, file, table


@pytest.mark.parametrize(
    ("rows", "at", "more"),
    [
        ("A,channel,7\n,urv,10\nB,channel,7\n,urv,20\n", (3, "A"), "the same in 1 more row"),
        ("A,channel,7\n ,urv,10\n", (3, "A"), ""),
        (",channel,7\n,urv,10\n,channel,8\n", (2, "A"), "the same in 2 more rows"),
    ],
    ids=["the tag in the first row alone", "a blank", "no tag at all, and two devices"],
)
def test_rows_that_name_no_device_are_refused(rows: str, at: tuple[int, str], more: str) -> None:
    """Assigning them would be a guess: with one row more or fewer, each gets another's reading."""
    with pytest.raises(InputProblems) as refused:
        table(f"tag,setting,value\n{rows}")

    (problem,) = refused.value.problems
    assert (problem.line, problem.column) == at
    assert "names no device" in problem.message
    assert more in problem.message
    assert "write the tag or serial number in every row" in problem.mend


@pytest.mark.parametrize(
    ("text", "mapping"),
    [
        ("tag,setting,value\nA,channel,7\n,urv,n/a\n", {}),
        ("tag,setting,value\n,channel,7\n,urv,10\n", {}),
        ("setting,value\nchannel,7\nurv,10\nchannel,8\n", {"constants": {"tag": "A"}}),
        ("location,setting,value\nPump,channel,7\nPump,urv,10\nWeir,channel,7\n", {}),
    ],
    ids=["nothing was read", "one device alone", "named by the mapping", "named by their places"],
)
def test_rows_that_need_name_no_device_are_read(text: str, mapping: dict[str, dict[str, str]]) -> None:
    """A file about one device may identify it by its address alone."""
    assert table(text, **mapping).columns["channel"].texts[0] == "7"


def test_a_role_of_settings_of_several_names_is_told_with_their_names() -> None:
    """It stands for neither, and neither is nearer than the other."""
    full_scale = Setting(name="full_scale", kind="decimal", step=1, role="range_high")
    other = DeviceType(asfound="device-type/1", name="other", settings=(full_scale,))
    grid = read_csv(file("x.csv", "tag,setting,value\nA,range_high,7\n"), Mapping())

    with pytest.raises(InputProblems) as refused:
        widened(grid, Mapping(), vocabulary([TYPE, other]))

    (problem,) = refused.value.problems
    assert problem.message == "the setting 'range_high' may be full_scale or urv"
    assert (problem.line, problem.column, problem.mend) == (2, "B", "write the name of one of them")
