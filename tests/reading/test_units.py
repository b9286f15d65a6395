"""Units: which ones people mistake for each other."""

from __future__ import annotations

from audit.reading.units import mixed_up_with


def test_a_unit_is_mistaken_for_the_others_of_its_group_whenever_it_is_asked_for() -> None:
    """Whatever the pressure reference, and not for itself."""
    for _ in range(2):
        assert tuple(mixed_up_with("bar g")) == ("kPa", "psi", "mH2O", "mbar", "MPa")
    assert mixed_up_with("V") == ()
