"""Comparing: whole numbers and names exactly, decimals to a display step, or to half once converted."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.comparing import same
from audit.model.device import Setting
from audit.model.table import Style
from audit.reading.values import parse
from tests.site_builder import result_of

KINDS: dict[str, dict[str, Any]] = {
    "integer": {"kind": "integer"},
    "seconds": {"kind": "integer", "unit": "s"},
    "decimal": {"kind": "decimal", "step": 0.1, "unit": "kPa g"},
    "coarse": {"kind": "decimal", "step": 0.5, "unit": "kPa g"},
    "option": {"kind": "option", "options": ("9.6", "50"), "unit": "kbit/s"},
    "text": {"kind": "text"},
    "flag": {"kind": "flag"},
}


def agree(kind: str, planned: str, found: str) -> bool:
    """Return whether a planned and a found text mean the same for a kind of setting."""
    setting = Setting.model_validate({"name": "s", **KINDS[kind]})
    one, other = parse(planned, setting, Style()), parse(found, setting, Style())
    assert one.read
    assert other.read
    return same(one, other, setting)


@pytest.mark.parametrize(
    ("kind", "planned", "found"),
    [
        ("integer", "7", "07"),
        ("integer", "31", "0x1F"),
        ("integer", "7", "7.0"),
        ("integer", "7", "+7"),
        ("seconds", "300", "5 min"),
        ("seconds", "300", "300 s"),
        ("decimal", "10.0", "10"),
        ("decimal", "10.0", "10.09"),
        ("decimal", "10.0", "9.91"),
        ("decimal", "-2.5", "−2.5"),
        ("decimal", "10.0", "0.1 bar"),
        ("decimal", "1000", "10.0005 bar"),
        ("decimal", "1000", "9.9995 bar"),
        ("coarse", "1000", "10.0025 bar"),
        ("coarse", "100", "100.49"),
        ("option", "9.6", "9.60 kbit/s"),
        ("option", "50", "50"),
        ("text", "0A1", " 0A1 "),
        ("flag", "on", "YES"),
        ("flag", "off", "0"),
    ],
)
def test_the_same(kind: str, planned: str, found: str) -> None:
    """Padding, spelling, units and digits that the display does not have make no difference."""
    assert agree(kind, planned, found)


@pytest.mark.parametrize(
    ("kind", "planned", "found"),
    [
        ("integer", "7", "8"),
        ("integer", "7", "70"),
        ("seconds", "300", "4.9 min"),
        ("decimal", "10.0", "10.1"),
        ("decimal", "10.0", "9.9"),
        ("decimal", "2.5", "-2.5"),
        ("decimal", "1000", "10.00051 bar"),
        ("decimal", "1000", "9.99949 bar"),
        ("coarse", "1000", "10.0026 bar"),
        ("coarse", "100", "100.5"),
        ("option", "9.6", "50"),
        ("text", "07", "7"),
        ("text", "0a1", "0A1"),
        ("text", "2.10", "2.1"),
        ("flag", "on", "off"),
    ],
)
def test_not_the_same(kind: str, planned: str, found: str) -> None:
    """A whole display step, more than half a step after a conversion, and any letter make a difference."""
    assert not agree(kind, planned, found)


@given(st.decimals(-1000, 1000, places=1), st.decimals(-1, 1, places=3))
def test_a_decimal_differs_from_one_display_step_on(planned: Decimal, off: Decimal) -> None:
    """Two readings in one unit differ exactly if they are a display step or more apart."""
    assert agree("decimal", str(planned), str(planned + off)) == (abs(off) < Decimal("0.1"))


@given(st.integers(-(10**9), 10**9), st.integers(-(10**9), 10**9))
def test_whole_numbers_are_the_same_or_not(planned: int, found: int) -> None:
    """A whole number has no tolerance."""
    assert agree("integer", str(planned), str(found)) == (planned == found)


@given(st.text("0123456789abAB-.", min_size=1), st.text("0123456789abAB-.", min_size=1))
def test_names_are_the_same_letter_by_letter(planned: str, found: str) -> None:
    """A name that looks like a number is still a name."""
    assert agree("text", planned, found) == (planned == found)


def counts(folder: Path, **site: Any) -> tuple[int, int, int]:
    """Return how many planned settings were read as planned, read with another value, and not read."""
    found = result_of(folder, **site).counts
    return found.verified, found.differing, found.not_read


@pytest.mark.parametrize(
    ("name", "found", "expected"),
    [
        ("as planned", [{"channel": "07", "range_high": "10.0"}, {"channel": 7}], (3, 0, 0)),
        ("one differs", [{"channel": 8, "range_high": 10}, {"channel": 7}], (2, 1, 0)),
        ("a blank", [{"channel": "", "range_high": 10}, {"channel": 7}], (2, 0, 1)),
        ("unclear", [{"channel": "x", "range_high": 10}, {"channel": 7}], (2, 0, 1)),
        ("no column", [{"channel": 7}, {"channel": 7}], (2, 0, 1)),
        ("no row", [{"channel": 7, "range_high": 10}], (2, 0, 1)),
        ("found and not planned", [{"channel": 7, "range_high": 10}, {"channel": 7, "range_high": 99}],
         (3, 0, 0)),
    ],
)  # fmt: skip
def test_what_becomes_of_planned_settings(
    name: str, found: list[dict[str, Any]], expected: tuple[int, int, int], tmp_path: Path
) -> None:
    """Every planned setting is verified, differs or was not read; what nobody planned is not counted."""
    planned = [{"channel": 7, "range_high": 10}, {"channel": 7}]

    assert counts(tmp_path, planned=planned, found=found) == expected


def test_a_plan_alone_counts_nothing_as_read(tmp_path: Path) -> None:
    """Without a readback every planned setting counts as not read."""
    assert counts(tmp_path, planned=[{"channel": 7}, {"channel": 7, "range_high": 10}]) == (0, 0, 3)


def test_an_access_code_is_not_counted(tmp_path: Path) -> None:
    """Codes are not compared with the plan, so they do not count as planned settings."""
    assert counts(tmp_path, planned={"access_code": "5093", "channel": 7}, found={"channel": 7}) == (1, 0, 0)
