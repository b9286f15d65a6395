"""Times: haste, one minute for all, clockwork, and readings before the installation."""

from __future__ import annotations

from itertools import accumulate
from pathlib import Path
from typing import Any

import pytest

from tests.checks.copied.rounds import DAY, READER, by, copied, nodes, signs

MANY: dict[str, Any] = {"address": 1, "range_low": 0, "range_high": 100, "alarm_low": 10, "alarm_high": 90,
                        "deadband": 1, "report_interval": 60, "firmware": "2.1", "battery_type": "A",
                        "local_lock": "on", "service_port": "off", "encryption": "on", "offset": 0,
                        "seal": "S-1", "pulse_weight": 10, "network_id": "0A07", "loss_action": "hold",
                        }  # fmt: skip
"""Seventeen more settings than the channel: 72 seconds at four seconds each."""
INSTALLED: dict[str, Any] = {"channel": 7, "installed_on": "2026-04-02"}


def test_nodes_read_faster_than_anybody_reads_are_a_strong_sign(tmp_path: Path) -> None:
    """No person reads twelve nodes of eighteen settings a minute apart."""
    message = signs(tmp_path, by(READER, range(12), **MANY))

    assert message == (
        "what R. Sample read on 12 nodes shows 2 signs of copying: 12 nodes are recorded as read one "
        "after the other within 11 min, from 08:00 on, which takes at least 13 min (judgement: 4 s a "
        "setting, at least 60 s a node, 2 m/s on foot); the times of the 12 nodes are exactly 60 s apart, in "
        "the order of the plan's rows"
    )


def test_a_stretch_of_haste_in_a_long_round_is_found(tmp_path: Path) -> None:
    """After a morning's work the last nodes were filled in at the desk; the breaks do not make up for it."""
    minutes = [0, 7, 15, 60, 68, 77, 78, 79, 80, 81, 82, 83, 84, 85, 86]

    message = signs(tmp_path, by(READER, minutes, **MANY))

    assert "10 nodes are recorded as read one after the other within 9 min, from 09:17 on" in message


@pytest.mark.parametrize(
    ("name", "minutes"),
    [
        ("two minutes a node", range(0, 40, 3)),
        ("one time for the nodes of a building", [0, 0, 0, 20, 20, 20, 45, 45, 45]),
        ("one time for the whole round", [0] * 9),
        ("two nodes in haste", [0, 9, 10, 21, 33]),
        ("less than a minute short, which rounding may have taken", [0, 1, 2, 3]),
    ],
    ids=str,
)
def test_an_honest_round_is_not_suspected(name: str, minutes: Any, tmp_path: Path) -> None:
    """People read quickly, round their times, and write one time for several nodes."""
    assert copied(tmp_path, by(READER, minutes, **MANY)) == []


def test_the_way_between_nodes_counts_where_it_is_known(tmp_path: Path) -> None:
    """Two minutes each are enough for nodes side by side, but not 190 metres apart."""
    far = [{"channel": 7, "x_m": 190 * n, "y_m": 0} for n in range(8)]
    near = [{"channel": 7, "x_m": 2 * n, "y_m": 0} for n in range(8)]
    minutes = [*accumulate([0, 2, 2, 2, 2, 2, 2, 2])]

    assert "which takes at least 18 min" in signs(tmp_path / "far", by(READER, minutes), far)
    assert copied(tmp_path / "near", by(READER, minutes), near) == []


def test_one_time_for_two_nodes_says_nothing_of_the_way(tmp_path: Path) -> None:
    """Where two nodes share a time, nobody knows from which of them the way began."""
    far = [{"channel": 7, "x_m": 190 * n, "y_m": 0} for n in range(8)]

    assert copied(tmp_path, by(READER, [0, 0, 2, 2, 4, 4, 6, 6]), far) == []


def test_somebody_may_drive(tmp_path: Path) -> None:
    """Nodes two kilometres apart are reached by car: the way counts as two hundred metres on foot."""
    far = [{"channel": 7, "x_m": 2000 * n, "y_m": 0} for n in range(8)]

    assert copied(tmp_path, by(READER, range(0, 24, 3)), far) == []


def test_a_node_that_was_read_in_part_takes_less_time(tmp_path: Path) -> None:
    """Only what was written down counts as read: one setting, and the minute that a node takes."""
    assert copied(tmp_path, by(READER, [0, 1, 3, 4, 6, 7])) == []


def test_times_to_the_second_leave_nothing_to_rounding(tmp_path: Path) -> None:
    """Five nodes fifty seconds apart are forty seconds short, which a written minute would excuse."""
    times = ["08:00:00", "08:00:50", "08:01:40", "08:02:30", "08:03:20"]
    rows = nodes(5, channel=7, read_by=READER, read_at=[f"{DAY}T{time}" for time in times])

    assert "5 nodes are recorded as read one after the other within 3 min" in signs(tmp_path, rows)


def test_whole_minutes_are_rounded_whether_seconds_are_written_or_not(tmp_path: Path) -> None:
    """A spreadsheet that is saved as text writes 08:01:00 for what was typed as 08:01."""
    rows = nodes(4, channel=7, read_by=READER, read_at=[f"{DAY}T08:0{n}:00" for n in range(4)], **MANY)

    assert copied(tmp_path, rows) == []


@pytest.mark.parametrize("reader", ["", None])
def test_nobody_named_is_not_one_person(reader: str | None, tmp_path: Path) -> None:
    """Where no reader is named there may have been three, each at a node of their own."""
    assert copied(tmp_path, by(reader or "", range(12), **MANY)) == []


def test_two_readers_may_read_at_one_time(tmp_path: Path) -> None:
    """Two people who share the nodes are each at one node only."""
    rows = [row | {"read_by": f"Reader {n % 2}"} for n, row in enumerate(by("", range(12), **MANY))]

    assert copied(tmp_path, rows) == []


def test_one_reader_in_two_spellings_is_one_person(tmp_path: Path) -> None:
    """A reader who drops a dot in every other row is not two people who share the nodes."""
    spelled = ["R. Sample", "R Sample (works)"]
    rows = [row | {"read_by": spelled[n % 2]} for n, row in enumerate(by("", range(12), **MANY))]

    assert "what R. Sample read on 12 nodes shows" in signs(tmp_path, rows)


def test_one_minute_and_before_the_installation_are_two_weak_signs(tmp_path: Path) -> None:
    """Either alone has its reasons, such as one time for a whole round; both together are reported."""
    installed = nodes(4, **INSTALLED)

    message = signs(tmp_path / "both", by(READER, [0] * 4), installed)
    assert message == (
        "what R. Sample read on 4 nodes shows 2 signs of copying: all 4 nodes are recorded as read in one "
        "minute, 2026-04-01 08:00; 4 nodes are recorded as read before the day they were installed"
    )
    assert copied(tmp_path / "before", by(READER, [0, 9, 17, 28]), installed) == []
    assert copied(tmp_path / "minute", by(READER, [0] * 4)) == []


def test_two_nodes_read_before_their_installation_are_no_sign(tmp_path: Path) -> None:
    """Two of four nodes were mounted a day late: each is reported, and the others are not affected."""
    planned = [*nodes(2, **INSTALLED), *nodes(2, channel=7)]

    assert copied(tmp_path, by(READER, [0] * 4), planned) == []


def test_one_time_of_a_machine_is_no_sign(tmp_path: Path) -> None:
    """A time to the second that all rows share was written by a program, and so was one for a whole file."""
    installed = nodes(4, **INSTALLED)
    rows = nodes(4, channel=7, read_by=READER, read_at=f"{DAY}T08:00:17")

    assert copied(tmp_path, rows, installed) == []


@pytest.mark.parametrize("minutes", [[0, 5, 10, 15, 21], [20, 15, 10, 5, 0], [0, 5, 10, 15]],
                         ids=["uneven", "from the last row up", "four nodes"])  # fmt: skip
def test_only_clockwork_in_the_order_of_the_plan_is_even(minutes: list[int], tmp_path: Path) -> None:
    """Even intervals are a weak sign, and only down the rows of the plan."""
    installed = nodes(len(minutes), **INSTALLED)

    assert copied(tmp_path / "no", by(READER, minutes), installed) == []
    assert "exactly 5 min apart" in signs(
        tmp_path / "yes", by(READER, [0, 5, 10, 15, 20]), nodes(5, **INSTALLED)
    )


def test_an_offset_from_greenwich_is_no_fault(tmp_path: Path) -> None:
    """A time with an offset and a day of installation are compared by the reader's local date."""
    rows = nodes(4, channel=7, read_by=READER, read_at=f"{DAY}T08:00+02:00")

    assert "before the day" in signs(tmp_path, rows, nodes(4, **INSTALLED))
