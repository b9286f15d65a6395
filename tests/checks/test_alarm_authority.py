"""alarm-authority: an alarm that is off has a current authorisation with an end. The run is on 2026-05-01."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent

NAMED = ("alarm_enabled", "alarm_authorisation", "alarm_authorised_until")
ON: dict[str, Any] = {"planned": {"alarm_enabled": True}}


def off(number: str, until: str = "") -> dict[str, str]:
    """Return an alarm that was found off, the number of its authorisation and its last day."""
    return {"alarm_enabled": "off", "alarm_authorisation": number, "alarm_authorised_until": until}


FIRES = [
    fires("alarm-disabled", "off, without a setting for its authorisation", "alarm_enabled", **ON,
          settings={"alarm_authorisation": None, "alarm_authorised_until": None},
          found={"alarm_enabled": "off"}, says="the alarm is off, and no authorisation is named for it"),
    fires("alarm-disabled", "off, and nothing planned", *NAMED, found=off("-")),
    fires("alarm-disabled", "no is no number", *NAMED, found=off("No"), **ON,
          says="no authorisation is named for it"),
    fires("alarm-disabled", "over, and nobody remembers until when", *NAMED, found=off("expired"), **ON),
    fires("alarm-disabled", "over since yesterday", *NAMED, found=off("AUT-7", "2026-04-30"), **ON,
          says="the alarm is off, and its authorisation AUT-7 ended on 2026-04-30"),
    fires("alarm-disabled", "its end written behind its number", *NAMED,
          found=off("AUT-7 until 2025-12-31"), **ON, says="ended on 2025-12-31"),
    fires("authorisation-without-end", "a number alone", *NAMED, found=off("AUT-7"), **ON,
          says="the alarm is off under authorisation AUT-7, and its last day is not known; write it in"),
    fires("authorisation-without-end", "an end that is no day", *NAMED, found=off("AUT-7", "soon"), **ON,
          says="its last day is not known"),
]  # fmt: skip

SILENT = [
    silent("alarm-disabled", "off as planned", planned={"alarm_enabled": False}, found=off("")),
    silent("alarm-disabled", "on again, by an authorisation that is over", **ON,
           found={"alarm_enabled": "on", "alarm_authorisation": "AUT-7 until 2025-12-31"}),
    silent("alarm-disabled", "until today", **ON, found=off("AUT-7", "2026-05-01")),
    silent("alarm-disabled", "without an end, which is another rule's", **ON, found=off("AUT-7")),
    silent("alarm-disabled", "a number that begins with no", **ON, found=off("No. 7", "2026-06-30")),
    silent("alarm-disabled", "not read", idle=True, **ON, found={"alarm_enabled": "-"}),
    silent("authorisation-without-end", "an end behind it", **ON, found=off("AUT-7 until 2026-06-30")),
    silent("authorisation-without-end", "without any authorisation", **ON, found=off("")),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """An alarm that is off, and nobody answers for that today or will bring it back."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """An alarm that is on, off as planned, or off until a later day."""
    case.check(tmp_path)
