"""deadband-workable: an alarm does not chatter, and clears before the next one comes on.

A high alarm clears at setpoint − deadband, a low one at setpoint + deadband: OPC 10000-9, 5.8.2 and
B.1.5 (read in excerpt). That the gap must be wider than the deadband is the project's own logic.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent

FOUR = ("alarm_low_low", "alarm_low", "alarm_high", "alarm_high_high")
RANGE = {"range_low": 0, "range_high": 1000}
BY_TENTHS = {"kind": "decimal", "unit": "kPa g", "step": 0.1}
PER_CENT = {"kind": "decimal", "unit": "%", "step": 0.1}
IN_PERCENT: dict[str, Any] = {"settings": {"deadband": PER_CENT}}
ALL_IN_PERCENT: dict[str, Any] = {"settings": dict.fromkeys(("deadband", *FOUR), PER_CENT)}
BAND = {"alarm_low": 280, "alarm_high": 300}

FIRES = [
    fires("deadband-unworkable", "zero", "deadband", *FOUR, planned={"deadband": 5, "alarm_high": 80},
          found={"deadband": "0.0", "alarm_high": 80},
          says="deadband is 0.0 kPa g: the alarm chatters at its setpoint"),
    fires("deadband-unworkable", "zero, which counts as a planned value below the display step",
          "deadband", *FOUR, planned={"deadband": "0.05", "alarm_high": 80},
          found={"deadband": 0, "alarm_high": 80}),
    fires("deadband-unworkable", "below zero, in the plan", "deadband", *FOUR, side="planned",
          planned={"deadband": -1, "alarm_high": 80}),
    fires("deadband-unworkable", "equal to the gap", "deadband", *FOUR, side="planned",
          planned=BAND | {"deadband": 20},
          says="20 kPa g is at least as wide as the gap between alarm_low 280 kPa g and alarm_high 300 kPa"),
    fires("deadband-unworkable", "wider than the gap between high and high-high", "deadband", *FOUR,
          side="planned",
          planned={"alarm_high": 80, "alarm_high_high": 90, "deadband": 15}),
    fires("deadband-unworkable", "wider than the room below a high alarm",
          "deadband", "alarm_high", "range_low",
          side="planned", planned=RANGE | {"alarm_high": 10, "deadband": 12},
          says="12 kPa g is wider than the room between range_low 0 kPa g and alarm_high 10 kPa g, so the"),
    fires("deadband-unworkable", "wider than the room above a low alarm",
          "deadband", "alarm_low", "range_high",
          planned=RANGE | {"alarm_low": 990, "deadband": 5}, found=RANGE | {"alarm_low": 990, "deadband": 15},
          says="15 kPa g is wider than the room between range_high 1000 kPa g and alarm_low 990 kPa g"),
    fires("deadband-unworkable", "a high alarm at the end of the range", "deadband", "alarm_high_high",
          "range_low", side="planned", planned=RANGE | {"alarm_high_high": 0, "deadband": 1}),
    fires("deadband-unworkable", "reported once where it does not fit between setpoints either", "deadband",
          *FOUR, side="planned", planned=RANGE | {"alarm_low": 5, "alarm_high": 10, "deadband": 12}),
    fires("deadband-unworkable", "as wide as the gap, in per cent of the range", "deadband", *FOUR, *RANGE,
          **IN_PERCENT, side="planned",
          planned={"range_low": 200, "range_high": 1200, "alarm_low": 280, "alarm_high": 300, "deadband": 2},
          says="deadband 2 % is at least as wide as the gap between alarm_low 280 kPa g and alarm_high 300"),
    fires("deadband-unworkable", "as wide as the gap, in per cent of a range that falls", "deadband", *FOUR,
          *RANGE, **IN_PERCENT, side="planned",
          planned=BAND | {"range_low": 1000, "range_high": 0, "deadband": 2}),
    fires("deadband-unworkable", "zero, in per cent, and no range", "deadband", *FOUR, **IN_PERCENT,
          side="planned", planned=BAND | {"deadband": 0}),
    fires("deadband-unworkable", "wider than the room below a high alarm, all in per cent of the range",
          "deadband", "alarm_high", "range_low", "range_high", **ALL_IN_PERCENT, side="planned",
          planned={"range_low": 200, "range_high": 700, "alarm_high": 1, "deadband": 2},
          says="deadband 2 % is wider than the room between range_low 200 kPa g and alarm_high 1 %, so the"),
    fires("deadband-unworkable", "as wide as the gap, all in per cent of a range that is not known",
          "deadband", *FOUR, *RANGE, side="planned",
          settings={**ALL_IN_PERCENT["settings"], "alarm_low_low": BY_TENTHS},
          planned={"alarm_low": 40, "alarm_high": 45, "deadband": 5}),
    fires("deadband-unworkable", "in per cent of a range that was widened", "deadband", *FOUR, *RANGE,
          **IN_PERCENT,
          planned=BAND | RANGE | {"deadband": 1}, found=BAND | RANGE | {"deadband": 1, "range_high": 2000}),
    fires("deadband-unworkable", "in per cent of a range of which one end was read, and the other planned",
          "deadband", *FOUR, *RANGE, **IN_PERCENT,
          planned=BAND | RANGE | {"deadband": 1}, found=BAND | RANGE | {"deadband": 2, "range_low": ""}),
]  # fmt: skip

SILENT = [
    silent("deadband-unworkable", "one display step less than the gap", planned=BAND | {"deadband": "19.9"},
           found=BAND | {"deadband": "19.9"}),
    silent("deadband-unworkable", "as wide as the gap by its rounding alone",
           planned=BAND | {"deadband": "19.95"}, found=BAND | {"deadband": "20"}),
    silent("deadband-unworkable", "half a unit", planned=BAND | {"deadband": "0.5"}),
    silent("deadband-unworkable", "equal setpoints are another rule's matter",
           planned={"alarm_low": 80, "alarm_high": 80, "deadband": 5}),
    silent("deadband-unworkable", "a single setpoint has no neighbour",
           planned={"alarm_high": 80, "deadband": 50}),
    silent("deadband-unworkable", "in per cent of a range that is not known", **IN_PERCENT,
           planned={"alarm_high": 80, "alarm_high_high": 83, "deadband": 5}),
    silent("deadband-unworkable", "narrower than the gap, in per cent of the range", **IN_PERCENT,
           planned=BAND | RANGE | {"deadband": "1.9"}, found=BAND | {"deadband": "1.9"}),
    silent("deadband-unworkable", "in per cent, and nearly as wide as a low alarm", **IN_PERCENT,
           planned=RANGE | {"alarm_low": 8, "alarm_high": 50, "deadband": "0.5"}),
    silent("deadband-unworkable", "zero, in per cent, and no alarm is set", **IN_PERCENT,
           planned=RANGE | {"deadband": 0}),
    silent("deadband-unworkable", "in m, which is no part of a range in kPa",
           settings={"deadband": {"kind": "decimal", "unit": "m", "step": 0.1}, "alarm_high": PER_CENT},
           planned=RANGE | {"alarm_low": 10, "alarm_high": 2, "deadband": 20}),
    silent("deadband-unworkable", "all in per cent of a range that is not known", **ALL_IN_PERCENT,
           planned={"alarm_high": 1, "deadband": 2}),
    silent("deadband-unworkable", "as wide as the room: it clears at the end of the range",
           planned=RANGE | {"alarm_high": 10, "deadband": 10}),
    silent("deadband-unworkable", "the room on the other side of an alarm is of no account",
           planned=RANGE | {"alarm_low": 10, "deadband": 12},
           found=RANGE | {"alarm_high": 990, "deadband": 12}),
    silent("deadband-unworkable", "a setpoint outside the range is another rule's matter",
           planned=RANGE | {"alarm_high": -10, "deadband": 5}),
    silent("deadband-unworkable", "the end of the range was not read",
           planned=RANGE | {"alarm_high": 10, "deadband": 5},
           found={"range_high": 1000, "alarm_high": 10, "deadband": 12}),
    silent("deadband-unworkable", "no setpoint, no alarm", planned={"deadband": 0}),
    silent("deadband-unworkable", "not set", idle=True, planned=BAND),
    silent("deadband-unworkable", "setpoints in the wrong order are another rule's matter",
           planned={"alarm_low": 300, "alarm_high": 280, "deadband": 5}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A deadband of zero, or as wide as a gap between setpoints, is reported with the setpoints."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A deadband narrower than the gaps works, and one without setpoints does nothing."""
    case.check(tmp_path)
