"""What a step says: nothing twice, settings in the order of the display, and no undoing that is dangerous."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.worklist.sites import node, site, told, work_of

WAIVER = {"id": "W-1", "rule": "setting-differs", "node": "A", "setting": "firmware", "value": "0.8",
          "reason": "old stock", "owner": "A. Sample", "approver": "B. Other",
          "issued": "2025-12-01", "expires": "2026-11-01"}  # fmt: skip


@pytest.mark.parametrize(
    ("waiver", "says"),
    [
        (
            {"expires": "2026-01-31"},
            "expired on 2026-01-31: correct the difference and close the waiver, or have it renewed by its "
            "approver. Write the outcome into the file of waivers.",
        ),
        (
            {"value": "0.7"},
            "excuses 0.7; found 0.8: correct it, or have exactly this value approved in the waiver. "
            "Write the outcome into the file of waivers.",
        ),
    ],
    ids=["expired", "lapsed"],
)
def test_a_waiver_that_has_ended_is_told_once_what_to_do(
    waiver: dict[str, str], says: str, tmp_path: Path
) -> None:
    """The finding says it already, since reports list it under the difference, without a remedy."""
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": [WAIVER | waiver]}), encoding="utf-8")
    parts = site([node(11, firmware="1.0")], [node(11, firmware="0.8")])
    work = work_of(tmp_path / "s", waivers=[file], **parts)

    (step,) = [step for step in work.steps if "waiver W-1" in step.do]
    assert step.do.endswith(says)


def test_what_is_to_be_read_is_named_in_the_order_of_the_display(tmp_path: Path) -> None:
    """Whoever reads it goes through the menu once."""
    planned = node(11, range_low=0, range_high=100, alarm_high=80)
    found = planned | {"channel": "", "address": "", "range_high": "", "alarm_high": ""}
    (step,) = [step for step in work_of(tmp_path, **site([planned], [found])).steps if step.tag == "A"]

    assert step.do == "Read at the display and write down: channel, address, range_high, alarm_high"


def test_a_menu_is_locked_with_a_word_of_displays_again(tmp_path: Path) -> None:
    """An export has `true` where the display has a word."""
    planned = node(11, range_high=100, local_lock=True)
    work = work_of(tmp_path, **site([planned], [planned | {"range_high": 50, "local_lock": "true"}]))

    assert told(work.steps[1:2]) == ["A: local_lock unlocked → on"]


@pytest.mark.parametrize(
    ("planned", "found", "change"), [("true", "off", "off → on"), (False, "TRUE", "on → off")]
)
def test_a_flag_as_yaml_and_json_write_it_is_set_to_on_or_off(
    planned: object, found: str, change: str, tmp_path: Path
) -> None:
    """'off → true' sends somebody to look for true at the display."""
    parts = site([node(11, alarm_enabled=planned)], [node(11, alarm_enabled=found)])
    (step,) = [step for step in work_of(tmp_path, **parts).steps if step.changes]

    assert told([step]) == [f"A: alarm_enabled {change}"]
    assert step.rollback == f"set alarm_enabled to {change.split(maxsplit=1)[0]} again"


def test_a_part_that_may_not_be_used_is_not_fitted_again(tmp_path: Path) -> None:
    """Undoing the step must not put a battery back that no certificate names."""
    planned = node(11, battery_type="L2")
    parts = site([planned], [planned | {"battery_type": "X9"}])
    work = work_of(
        tmp_path, **parts, plan={"approved": [{"setting": "battery_type", "values": ["L1", "L2"]}]}
    )

    assert told(work.steps[:1]) == ["A: battery_type X9 → L2"]
    assert "only if it is on the certificate or licence" in (work.steps[0].rollback or "")
