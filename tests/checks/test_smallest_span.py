"""smallest-span: a range is not narrower than its sensor's smallest span."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import result_of

FIRES = [
    fires("span-too-small", "one display step below", "range_low", "range_high",
          planned={"range_low": 0, "range_high": 100}, found={"range_low": 0, "range_high": "49.9"},
          says="the span 49.9 kPa g is below the sensor's smallest span, 50 kPa g"),
    fires("span-too-small", "in the plan", "range_low", "range_high", side="planned",
          planned={"range_low": 0, "range_high": 10}),
    fires("span-too-small", "0.3 bar of a device that was found in bar", "range_low", "range_high",
          planned={"unit": "kPa g", "range_low": 0, "range_high": 300},
          found={"unit": "bar", "range_low": 0, "range_high": 0.3}, says="the span 30 kPa g is below"),
    fires("span-too-small", "6 psi of a device that was found in psi", "range_low", "range_high",
          planned={"unit": "kPa g", "range_low": 0, "range_high": 300},
          found={"unit": "psi", "range_low": 0, "range_high": 6}, says="the span 41.368544 kPa g is below"),
    fires("span-too-small", "a range that falls", "range_low", "range_high", side="planned",
          planned={"range_low": 30, "range_high": 0}, says="the span 30 kPa g is below"),
    fires("span-too-small", "without a unit, as pH is", "range_low", "range_high", side="planned",
          settings={end: {"kind": "decimal", "step": 0.1} for end in ("range_low", "range_high")},
          planned={"range_low": 0, "range_high": 14},
          says="the span 14 is below the sensor's smallest span, 50"),
    fires("span-too-small", "no width, of a sensor that has no smallest span", "range_low", "range_high",
          side="planned", planned={"type": "meter", "range_low": 5, "range_high": 5},
          says="range_low and range_high are the same, so the range has no width"),
    fires("span-too-small", "no width, of a sensor that has one", "range_low", "range_high", side="planned",
          planned={"range_low": 5, "range_high": 5}, says="the span 0 kPa g is below"),
]  # fmt: skip

SILENT = [
    silent("span-too-small", "two ends in two units", planned={"range_low": 0, "range_high": 10},
           settings={"range_high": {"kind": "decimal", "unit": "bar g", "step": 0.001}}),
    silent("span-too-small", "the smallest span itself",
           planned={"range_low": 10, "range_high": 60}, found={"range_low": 10, "range_high": 60}),
    silent("span-too-small", "half a display step less, which counts as planned",
           planned={"range_low": 10, "range_high": 60}, found={"range_low": 10, "range_high": "59.95"}),
    silent("span-too-small", "3 bar of a device that was found in bar",
           planned={"unit": "kPa g", "range_low": 0, "range_high": 300},
           found={"unit": "bar", "range_low": 0, "range_high": 3}),
    silent("span-too-small", "the planned numbers on a device that was found in Pa",
           planned={"unit": "kPa g", "range_low": 0, "range_high": 300},
           settings={"unit": {"kind": "option", "role": "unit", "options": ["kPa g", "Pa g"]}},
           found={"unit": "Pa g", "range_low": 0, "range_high": 300}),
    silent("span-too-small", "one end not read", planned={"range_low": 0, "range_high": 100},
           found={"range_low": "n/a", "range_high": 10}),
    silent("span-too-small", "a sensor without one", idle=True,
           planned={"type": "meter", "range_low": 0, "range_high": 1}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A span below the smallest is reported with both ends."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """The smallest span itself will do, and half a range says nothing."""
    case.check(tmp_path)


@pytest.mark.parametrize(("others", "end"), [([], ""), ([{"range_low": 0, "range_high": 100}], " on 1")])
def test_a_smallest_span_that_no_type_gives_is_told(
    others: list[dict[str, int]], end: str, tmp_path: Path
) -> None:
    """The range is planned and read; what is missing is what to compare its span with."""
    nodes = [{"type": "meter", "range_low": 0, "range_high": 1}, *others]

    result = result_of(tmp_path, planned=nodes, found=nodes)

    reason = {one.rule: one.reason for one in result.not_checked}["span-too-small"]
    start = "in part, " if others else ""
    assert reason == f"{start}for lack of the `smallest_span` of a sensor in the device type{end}"
