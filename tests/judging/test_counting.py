"""How many readings count as planned only within a step of the display."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.small_site import SETTINGS, small_site


def coarse(step: float) -> list[dict[str, Any]]:
    """Return the settings of a node whose alarm is shown in coarser steps."""
    return [{**one, "step": step} if one["name"] == "high_alarm" else dict(one) for one in SETTINGS]


def test_a_step_that_lets_other_values_pass_is_seen_in_the_report(tmp_path: Path) -> None:
    """A device type with a coarse step makes 480 of 780; the report names the farthest."""
    site = small_site(tmp_path, settings=coarse(500),
                      found={"N-1": {"high_alarm": "790"}, "N-2": {"high_alarm": "480"}})  # fmt: skip

    outcome = site.check("--width", "200")

    assert outcome.code == 0
    told = "2 of the readings as planned are so only within a step of the display; farthest: N-2 high_alarm"
    assert f"{told} 480 kPa for 780 kPa" in outcome.stdout


@pytest.mark.parametrize("found", ["780", "780.0", "0780", "7.80 bar", "900"])
def test_the_same_number_in_another_form_is_not_told(tmp_path: Path, found: str) -> None:
    """Nor is one that differs, which is a finding."""
    site = small_site(tmp_path, found={"N-1": {"high_alarm": found}})

    assert site.result()["near_misses"] is None


def test_a_number_between_two_steps_is_told(tmp_path: Path) -> None:
    """An export has more decimals than the display; that is said, and is no finding."""
    result = small_site(tmp_path, found={"N-1": {"high_alarm": "780.04"}}).result()

    assert (result["verdict"], result["near_misses"]["readings"]) == ("pass", 1)
