"""code-age: access codes are changed as often as the plan requires. The run is on 2026-05-01."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of, result_of

YEARLY: dict[str, Any] = {
    "plan": {"access_codes": {"change_every_days": 365}},
    "settings": {"code_changed_on": {"kind": "text", "role": "code_changed_on"}},
    "gateway_found": None,
}
NO_DAY: dict[str, Any] = {"code_changed_on": None}

FIRES = [
    fires("code-too-old", "a day over a year", "code_changed_on", found={"code_changed_on": "2025-04-30"},
          says="the access code is 366 days old (changed on 2025-04-30); the plan allows 365 days", **YEARLY),
    fires("code-too-old", "with the time of day", "code_changed_on",
          found={"code_changed_on": "2024-04-30T10:15"}, **YEARLY),
    fires("code-age-unknown", "nothing was noted", "code_changed_on", found={"code_changed_on": ""},
          says="nothing says when the access code was changed", **YEARLY),
    fires("code-age-unknown", "no day that anybody can read", "code_changed_on",
          found={"code_changed_on": "20.04.2026"}, **YEARLY,
          says="20.04.2026 is not understood as a day; write the day in the form 2026-03-31"),
    fires("code-age-unknown", "a day after the run, as of a mistyped year", "code_changed_on",
          found={"code_changed_on": "2062-03-31"}, **YEARLY,
          says="said to be changed on 2062-03-31, after the day of this run, 2026-05-01; correct the day"),
]  # fmt: skip

SILENT = [
    silent("code-too-old", "the plan allows any age", planned={}, found={"code_changed_on": "2001-01-01"},
           gateway_found=None, plan={"access_codes": {"change_every_days": 1_000_000}},
           settings=YEARLY["settings"]),
    silent("code-too-old", "a year to the day", found={"code_changed_on": "2025-05-01"}, **YEARLY),
    silent("code-too-old", "nothing was noted", found={"code_changed_on": ""}, **YEARLY),
    silent("code-too-old", "the plan sets no age", idle=True, found={"code_changed_on": "2001-01-01"},
           settings=YEARLY["settings"]),
    silent("code-age-unknown", "the day of the run", found={"code_changed_on": "2026-05-01"}, **YEARLY),
    silent("code-age-unknown", "a day was noted", found={"code_changed_on": "2001-01-01"}, **YEARLY),
    silent("code-age-unknown", "the plan sets no age", idle=True, found={"code_changed_on": ""},
           settings=YEARLY["settings"]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A code that is too old, or whose age nobody knows."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A code that is young enough; a plan without an age limit."""
    case.check(tmp_path)


def test_a_plan_without_an_age_limit_is_what_is_missing(tmp_path: Path) -> None:
    """Nobody goes looking for a column that is there."""
    result = result_of(tmp_path, found={"code_changed_on": "2026-01-01"}, settings=YEARLY["settings"])
    reasons = {one.rule: one.reason for one in result.not_checked}

    assert reasons["code-too-old"] == "for lack of an age limit for access codes in the plan (access_codes)"


@pytest.mark.parametrize(("shown", "text"), [("access_code", "8317"), ("default_refused", "yes")])
def test_types_without_a_place_for_the_day_are_reported_once(shown: str, text: str, tmp_path: Path) -> None:
    """Whoever writes the device type has to add the setting; nobody at a device can."""
    planned = [{shown: text}] * 3
    settings = {**NO_DAY, **dict.fromkeys({"access_code", "default_refused"} - {shown})}
    site = {"planned": planned, "found": planned, "plan": YEARLY["plan"]}
    (finding,) = audit_of(tmp_path, rules="code-age-unknown", settings=settings, gateway_found=None, **site)

    assert finding.node is None
    assert finding.message.startswith(
        "3 devices of type probe: nothing says when the access code was changed"
    )
    assert "role code_changed_on" in finding.message
