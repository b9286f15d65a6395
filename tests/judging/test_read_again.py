"""What was read as planned only when it was read again, which nothing else of a report tells."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.baselines import try_to_seal
from tests.small_site import DEFAULT_REFUSED, SETTINGS, Row, as_planned, small_site

FIRST, LATER = "2026-03-30T08:10", "2026-03-30T08:20"


def again(**first: str) -> list[Row]:
    """Return a readback as planned, in which N-1 was read otherwise before, but for what is given."""
    rows = [{**row, "read_at": LATER} for row in as_planned()]
    return [*rows, {"tag": "N-1", "read_by": "B. Example", "read_at": FIRST, **first}]


@pytest.mark.parametrize(
    ("first", "told"),
    [
        pytest.param({"channel": "8"}, ["channel"], id="one setting"),
        pytest.param(
            {"channel": "8", "range_high": "100"}, ["channel", "range_high"], id="two of one device"
        ),
        pytest.param({"channel": "7", "range_high": "1000.0"}, [], id="as planned twice"),
        pytest.param({"channel": "8", "read_at": "2026-03-29T08:10"}, [], id="the day before"),
        pytest.param({"channel": "8", "read_at": "2026-03-30T09:00"}, [], id="off plan the second time"),
        pytest.param({"channel": ""}, [], id="not read the first time"),
    ],
)
def test_a_reading_that_is_as_planned_the_second_time(
    first: dict[str, str], told: list[str], tmp_path: Path
) -> None:
    """Told with its device: it may have been misread, corrected, or guessed until it agreed."""
    site = small_site(tmp_path, readback_rows=again(**first))
    named = [{"network": "Main", "node": "N-1", "settings": told}] if told else []

    assert site.result()["read_again"] == named
    said = "as planned only when read again on the same day: N-1"
    assert (said in site.check("--width", "200").stdout) == bool(told)
    assert (said in try_to_seal(site, "b.json", "--even-failing", "--width", "200").stdout) == bool(told)


def test_a_factory_code_that_is_refused_the_second_time(tmp_path: Path) -> None:
    """Nobody plans that it is refused; that it was accepted first is told all the same."""
    rows: list[Any] = [{**row, "default_refused": "yes"} for row in again()]
    rows[-1]["default_refused"] = "no"
    site = small_site(tmp_path, settings=(*SETTINGS, DEFAULT_REFUSED), readback_rows=rows)

    assert [one["settings"] for one in site.result()["read_again"]] == [["default_refused"]]
