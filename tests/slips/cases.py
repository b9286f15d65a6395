"""What the tests of slips share: settings as in a device type, and values read from texts."""

from __future__ import annotations

from typing import Any

from audit.model.device import Setting
from audit.model.table import Style
from audit.model.value import Value
from audit.reading.values import parse
from audit.slips import Around, Ranking, rank

ADDRESS: dict[str, Any] = {"kind": "integer", "low": 1, "high": 247, "digits": 3, "default": 1}
CHANNEL: dict[str, Any] = {"kind": "integer", "low": 1, "high": 40, "digits": 2, "default": 1}
PRESSURE: dict[str, Any] = {"kind": "decimal", "unit": "kPa", "step": 1}
LEVEL: dict[str, Any] = {"kind": "decimal", "unit": "m", "step": 0.01}
RATE: dict[str, Any] = {"kind": "option", "options": ("4.8", "9.6", "38.4", "50", "100"), "default": "9.6"}
FLAG: dict[str, Any] = {"kind": "flag", "default": True}
IDENTIFIER: dict[str, Any] = {"kind": "text"}


def setting(**of: Any) -> Setting:
    """Return a setting called `x`."""
    return Setting(name="x", **of)


def value(text: str, of: Setting, decimal: str = ".") -> Value:
    """Return what a text means for a setting."""
    return parse(text, of, Style(decimal=decimal))


def ranked(of: dict[str, Any], planned: str, found: str, around: Around | None = None) -> Ranking:
    """Return the ranking of a found text against a planned one."""
    one = setting(**of)
    return rank(one, value(planned, one), value(found, one), around or Around())


def fitting(of: dict[str, Any], planned: str, found: str, around: Around | None = None) -> list[str]:
    """Return the ids of the slips that fit, the most probable first."""
    return [slip.id for slip in ranked(of, planned, found, around).slips]
