"""Folding of rows that slipped, or were filled down as a series."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, fold, nodes
from tests.site_builder import audit_of


def test_a_series_that_was_filled_down_is_one_cause(tmp_path: Path) -> None:
    """Channels 34, 35, 36, 37 where 34 was to be repeated are one slip of a spreadsheet."""
    cause = fold(
        tmp_path, "filled-as-series", gateway={"channel": 34}, planned=nodes(4),
        found=nodes(4, channel=[34, 35, 36, 37]),
    )  # fmt: skip

    assert "counts up from device to device, 35 to 37, on 3 nodes; 34 is planned" in cause.message
    assert cause.others == ["N02", "N03", "N04"]


def test_two_values_that_go_on_from_the_planned_one_are_a_series(tmp_path: Path) -> None:
    """34, 35, 36 is a series from the first row on, though only two values are wrong."""
    cause = fold(
        tmp_path, "filled-as-series", gateway={"channel": 34}, planned=nodes(3),
        found=nodes(3, channel=[34, 35, 36]),
    )  # fmt: skip

    assert len(cause.dependents) == 2


def test_ranges_that_were_filled_down_are_a_series(tmp_path: Path) -> None:
    """A range is a number with a decimal point, and a spreadsheet counts it up just the same."""
    cause = fold(tmp_path, "filled-as-series", planned=nodes(4, range_high=100),
                 found=nodes(4, range_high=[101, 102, 103, 104]))  # fmt: skip

    assert "range_high counts up from device to device, 101.0 to 104.0, on 4 nodes" in cause.message


def test_one_column_is_no_slipped_row_where_the_others_are_the_nodes_own(tmp_path: Path) -> None:
    """Addresses are those of the next row, but ranges and alarms each node's own: no row has slipped."""
    own = {"range_high": [100, 250, 300, 450], "alarm_high": [90, 200, 280, 400]}

    rules = {f.rule for f in audit_of(tmp_path, planned=nodes(4, address=[11, 23, 36, 47], **own),
                                      found=nodes(4, address=[23, 36, 47, 47], **own))}  # fmt: skip

    assert "rows-slipped" not in rules
    assert "address-differs" in rules


@pytest.mark.parametrize(
    ("name", "channels"),
    [("a gap", [35, 37, 39]), ("counts down", [37, 36, 35]), ("not in a row", [35, 34, 36])],
    ids=str,
)
def test_other_values_are_no_series(name: str, channels: list[int], tmp_path: Path) -> None:
    """Only values that count up by one from row to row look filled down."""
    rules = {f.rule for f in audit_of(tmp_path, gateway={"channel": 34}, planned=nodes(3),
                                      found=nodes(3, channel=channels))}  # fmt: skip

    assert "filled-as-series" not in rules


@pytest.mark.parametrize("shift", [1, -1], ids=["next", "previous"])
def test_rows_that_slipped_are_one_cause(shift: int, tmp_path: Path) -> None:
    """Each node shows its neighbour's settings: the table moved by a row against its tags."""
    address, high = [11, 23, 35, 47, 59], [100, 250, 300, 450, 500]
    moved = [(n + shift) % 5 for n in range(5)]
    end = 4 if shift == 1 else 0
    slipped = [moved[n] if n != end else n for n in range(5)]
    cause = fold(
        tmp_path, "rows-slipped", planned=nodes(5, address=address, range_high=high),
        found=nodes(5, address=[address[n] for n in slipped], range_high=[high[n] for n in slipped]),
    )  # fmt: skip

    which = "next" if shift == 1 else "previous"
    assert (
        f"4 nodes, {cause.others[0]} to {cause.others[-1]}, each show the values planned for the {which} one"
        in (cause.message)
    )
    assert len(cause.dependents) >= 8


def test_no_column_of_slipped_rows_was_sorted_by_itself(tmp_path: Path) -> None:
    """The last node is planned like the first, so the slipped column holds just the planned values."""
    address, high = [11, 23, 35, 47, 59, 71], [100, 250, 300, 450, 500, 100]

    (cause,) = causes(
        tmp_path, planned=nodes(6, address=address, range_high=high),
        found=nodes(6, address=[11, *address[:5]], range_high=[100, *high[:5]]),
    )  # fmt: skip

    assert cause.rule == "rows-slipped"


FIRES: list[Fires] = [
    fires("filled-as-series", "three rows", "channel", node=None, others=["N02", "N03", "N04"],
          gateway={"channel": 34}, planned=nodes(4), found=nodes(4, channel=[34, 35, 36, 37])),
    fires("filled-as-series", "texts that end in a number", "network_id", node=None,
          others=["N02", "N03", "N04"], gateway={"network_id": "0B27"}, planned=nodes(4),
          found=nodes(4, network_id=["0B27", "0B28", "0B29", "0B30"]),
          says="network_id counts up from device to device, 0B28 to 0B30, on 3 nodes; 0B27 is planned"),
    fires("rows-slipped", "three rows", node=None, others=["N01", "N02", "N03"],
          planned=nodes(4, address=[11, 23, 36, 47]), found=nodes(4, address=[23, 36, 47, 47])),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("filled-as-series", "addresses are planned to count up",
           planned=nodes(3, address=[1, 2, 3]), found=nodes(3, address=[2, 3, 4])),
    silent("filled-as-series", "texts that begin differently from the plan", gateway={"network_id": "0B27"},
           planned=nodes(3), found=nodes(3, network_id=["0C28", "0C29", "0C30"])),
    silent("filled-as-series", "two newer versions", planned=nodes(3, firmware="2.5.7"),
           found=nodes(3, firmware=["2.5.7", "2.5.8", "2.5.9"])),
    silent("filled-as-series", "texts that end in no number", gateway={"network_id": "0B2A"},
           planned=nodes(3), found=nodes(3, network_id=["0B2B", "0B2C", "0B2D"])),
    silent("rows-slipped", "one setting, all by the same step", idle=None,
           planned=nodes(4, alarm_low=[220, 225, 230, 235]), found=nodes(4, alarm_low=[225, 230, 235, 240])),
    silent("rows-slipped", "two rows are too few", planned=nodes(2, address=[1, 2]),
           found=nodes(2, address=[2, 1])),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the network, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)


def test_rows_of_two_types_slip_together(tmp_path: Path) -> None:
    """A meter follows a probe in the plan: the probe shows the next row's address just the same."""
    planned = [
        {**row, "type": kind}
        for row, kind in zip(
            nodes(5, address=[41, 44, 46, 48, 49]), ["probe"] * 3 + ["meter"] * 2, strict=True
        )
    ]

    cause = fold(tmp_path, "rows-slipped", planned=planned, found=nodes(5, address=[44, 46, 48, 49, 49]))

    assert cause.others == ["N01", "N02", "N03", "N04"]


def _of_two_types(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{**row, "type": ("probe", "meter")[n % 2]} for n, row in enumerate(rows)]


WORDS: dict[str, Any] = {
    "settings": {"loss_action": {"kind": "option", "options": ["hold", "low"]}},
    "meter_settings": {"loss_action": {"kind": "option", "options": ["stop", "go"]}},
}
"""Probes and meters that have no option in common."""


def test_words_of_another_type_are_of_the_rows_that_slipped(tmp_path: Path) -> None:
    """A probe shows the word of the meter before it: that is not a word that a mapping could translate."""
    own = ["hold", "stop"] * 4
    planned = nodes(8, address=[41, 44, 46, 48, 49, 53, 55, 58], loss_action=own)
    slipped = nodes(8, address=[41, 41, 44, 46, 48, 49, 53, 55], loss_action=["hold", *own[:-1]])

    cause = fold(tmp_path, "rows-slipped", planned=_of_two_types(planned), found=slipped, **WORDS)

    assert cause.others == [f"N{n:02}" for n in range(2, 9)]


def test_a_word_of_another_type_on_all_devices_is_a_way_of_writing(tmp_path: Path) -> None:
    """If everything else is each device's own, no row has slipped."""
    own = {"address": [41, 44, 46, 48, 49, 53, 55, 58]}
    planned = _of_two_types(nodes(8, loss_action=["hold", "stop"] * 4, **own))

    cause = fold(
        tmp_path, "unclear-alike", planned=planned, found=nodes(8, loss_action="hold", **own), **WORDS
    )

    assert cause.others == ["N02", "N04", "N06", "N08"]
