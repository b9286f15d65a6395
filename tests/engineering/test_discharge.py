"""Volts under a pulse, and the charge above the cut-off."""

from __future__ import annotations

import pytest
from hypothesis import given

from audit.engineering.curves import at
from audit.engineering.discharge import loaded_v, part_usable
from tests.engineering.numbers import NOT_POSITIVE, between

FLAT_THEN_STEEP = [(0.0, 3.6), (0.8, 3.4), (1.0, 2.0)]
"""Invented: part of the charge drawn → volts."""


def test_volts_under_a_pulse() -> None:
    """100 mA through 5 ohm pull 0.5 V."""
    assert loaded_v(3.6, 100, 5) == pytest.approx(3.1)
    assert loaded_v(3.6, 0, 5) == 3.6


@pytest.mark.parametrize(
    ("cut_off_v", "sag_v", "share"),
    [
        (3.5, 0, 0.4),
        (3.4, 0, 0.8),
        (3.0, 0.4, 0.8),
        (2.7, 0, 0.9),
        (2.0, 0, 1.0),
        (1.0, 0.5, 1.0),
        (3.7, 0, 0.0),
    ],
)
def test_parts_by_hand(cut_off_v: float, sag_v: float, share: float) -> None:
    """On the lines between the points; all of it where it never falls so low."""
    assert part_usable(FLAT_THEN_STEEP, cut_off_v, sag_v) == pytest.approx(share)


@given(cut_off_v=between(2.0, 3.6), sag_v=between(0, 1), more_v=between(0, 1))
def test_more_sag_never_leaves_more(cut_off_v: float, sag_v: float, more_v: float) -> None:
    """Nor does a higher cut-off."""
    usable = part_usable(FLAT_THEN_STEEP, cut_off_v, sag_v)
    assert part_usable(FLAT_THEN_STEEP, cut_off_v, sag_v + more_v) <= usable
    assert part_usable(FLAT_THEN_STEEP, cut_off_v + more_v, sag_v) <= usable


@given(cut_off_v=between(2.001, 3.599))
def test_the_curve_is_at_the_cut_off_there(cut_off_v: float) -> None:
    """The inverse of reading the curve."""
    assert at(FLAT_THEN_STEEP, part_usable(FLAT_THEN_STEEP, cut_off_v)) == pytest.approx(cut_off_v)


@pytest.mark.parametrize(
    ("curve", "says"),
    [
        ([(0.0, 3.6), (0.9, 2.0)], "does not go from 0 to 1"),
        ([(0.1, 3.6), (1.0, 2.0)], "does not go from 0 to 1"),
        ([(0.0, 3.6), (0.5, 3.7), (1.0, 2.0)], "can only fall"),
        ([(0.0, 3.6), (100.0, 2.0)], "drawn is 100"),
        ([(0.0, 3.6)], "1 points"),
    ],
)
def test_what_is_no_discharge_curve(curve: list[tuple[float, float]], says: str) -> None:
    """Each says why."""
    with pytest.raises(ValueError, match=says):
        part_usable(curve, 2.5)


@pytest.mark.parametrize("wrong", NOT_POSITIVE)
def test_volts_are_above_0(wrong: float) -> None:
    """The argument is named."""
    with pytest.raises(ValueError, match="open_v"):
        loaded_v(wrong, 10, 5)
