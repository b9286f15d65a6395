"""Link budget: gains add, losses subtract, and nothing is guessed."""

from __future__ import annotations

import pytest

from audit.engineering.link_budget import (
    eirp_dbm,
    erp_dbm,
    expected_rssi_dbm,
    fade_margin_db,
    missing_db,
    sensitivity_dbm,
)
from tests.engineering.numbers import NEGATIVE, NOT_FINITE

TABLE = {"4.8": -118.0, "9.6": -115.0, "50": -104.0}


def test_a_budget_by_hand() -> None:
    """20 dBm + 2 dBi − 1 dB, 91.7 dB of path, 6 dBi − 2 dB at the gateway: −66.7 dBm."""
    assert eirp_dbm(20, 2, 1) == 21
    rssi_dbm = expected_rssi_dbm(21, 91.7, antenna_dbi=6, feeder_db=2)
    assert rssi_dbm == pytest.approx(-66.7)
    assert fade_margin_db(rssi_dbm, sensitivity_dbm(TABLE, "50")) == pytest.approx(37.3)
    assert missing_db(rssi_dbm, -90) == pytest.approx(23.3)


def test_obstacles_are_lost_too() -> None:
    """What is lost on the way besides the path counts once."""
    assert expected_rssi_dbm(20, 90, other_db=6) == expected_rssi_dbm(20, 90) - 6


def test_a_dipole_has_2_15_dbi() -> None:
    """14 dBm e.r.p. are 16.15 dBm e.i.r.p."""
    assert erp_dbm(16.15) == pytest.approx(14)


@pytest.mark.parametrize("rate", ["50", "50.0", "5E+1"])
def test_air_rates_are_numbers(rate: str) -> None:
    """However the number is written."""
    assert sensitivity_dbm(TABLE, rate) == -104


def test_air_rates_may_have_names() -> None:
    """An option need not be a number."""
    assert sensitivity_dbm({"slow": -118.0}, "slow") == -118


@pytest.mark.parametrize("rate", ["100", "", "fast", "nan", "50 kbit/s"])
def test_a_rate_that_the_table_lacks(rate: str) -> None:
    """The message says which there are; nothing is interpolated."""
    with pytest.raises(ValueError, match=r"the table has: 4\.8, 9\.6, 50"):
        sensitivity_dbm(TABLE, rate)


def test_an_empty_table() -> None:
    """A device type without a table has no sensitivity."""
    with pytest.raises(ValueError, match="the table has: none"):
        sensitivity_dbm({}, "50")


@pytest.mark.parametrize("loss_db", NEGATIVE)
def test_losses_are_not_negative(loss_db: float) -> None:
    """A feeder that gains is a slip of sign."""
    with pytest.raises(ValueError, match="feeder_db"):
        eirp_dbm(20, 2, loss_db)
    with pytest.raises(ValueError, match="other_db"):
        expected_rssi_dbm(20, 90, other_db=loss_db)


@pytest.mark.parametrize("level", NOT_FINITE)
def test_levels_are_finite(level: float) -> None:
    """None of them may be missing."""
    with pytest.raises(ValueError, match="rssi_dbm"):
        fade_margin_db(level, -100)
    with pytest.raises(ValueError, match="measured_dbm"):
        missing_db(-80, level)
