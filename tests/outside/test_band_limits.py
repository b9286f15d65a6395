"""Limits of radio bands against the documents that set them; links and batteries against worked examples.

Sources:

- 15.249: 47 CFR 15.249(a) and (c), field strength of the fundamental 50 mV/m at 3 m in 902-928 MHz and
  2400-2483.5 MHz (read in the revisions of 2000 and 2024).
- 15.247: 47 CFR 15.247(b)(2) to (4): 1 W, or 0.25 W with 25 to 49 hopping channels, into antennas of up to
  6 dBi, less by each dB above. Secondary: quoted in several places. (a)(1)(i) was read: 50 channels or more
  and 0.4 s in 20 s, where they are narrower than 250 kHz; else 25 or more and 0.4 s in 10 s.
- NOTE: Decision (EU) 2017/1483 by a note of the Spanish table of frequencies, UN-39 (read): 868.0-868.6 MHz
  25 mW e.r.p. 1 %, 868.7-869.2 MHz 25 mW 0.1 %, 869.4-869.65 MHz 500 mW 10 %.
- RIR: Swiss radio interface regulations RIR1008-09 (869.4-869.65 MHz, EN 300 220-2 V3.2.1, table B.1) and
  RIR1010-01 (2400-2483.5 MHz, 100 mW e.i.r.p., EN 300 328); read in excerpts.
- VFG: a German general authorisation, as reprinted in a manual: 865-868 and 869.7-870 MHz, 25 mW, 1 % (read).
- 70-03: ERC/REC 70-03, as reprinted in a manual: 433.05-434.79 MHz 10 mW e.r.p. (read). Its duty of 10 %, and
  863-865 MHz with 0.1 %, are from memory, not verified.
- ALARMS: ERC/REC 70-03, annex on alarms, as quoted on a CEPT page (read in an excerpt; that page numbers
  it 10, and NOTE speaks of annex 7).
- HOUR: ERC/REC 70-03, duty cycle categories, as given in the ECO's database (read): time on air in a
  continuous hour; 1 % is 36 s, for example 100 transmissions of 0.36 s.
- DIPOLE: 'ERP = EIRP / 1.64 = EIRP − 2.15 dB', a telecommunications glossary (read).
- RUN: calculated independently of the code.
"""

from __future__ import annotations

from math import log10
from pathlib import Path

import pytest

from audit.engineering.decibels import dbm
from audit.engineering.link_budget import DIPOLE_DBI
from audit.model.radio import BandLimit
from audit.reading.bands import band, bands_file
from tests.site_builder import audit_of

PUBLISHED = [
    ("eu-863-870", 868.3, 25, 1.0, "NOTE"),
    ("eu-863-870", 868.95, 25, 0.1, "NOTE"),
    ("eu-863-870", 869.5, 500, 10.0, "NOTE, RIR"),
    ("eu-863-870", 866.5, 25, 1.0, "VFG"),
    ("eu-863-870", 869.85, 25, 1.0, "VFG"),
    ("eu-863-870", 864.0, 25, 0.1, "from memory, not verified"),
    ("eu-alarms", 868.65, 10, 1.0, "ALARMS"),
    ("eu-alarms", 869.225, 10, 0.1, "ALARMS"),
    ("eu-alarms", 869.275, 10, 0.1, "ALARMS"),
    ("eu-alarms", 869.35, 10, 1.0, "ALARMS"),
    ("eu-alarms", 869.675, 25, 10.0, "ALARMS"),
    ("eu-433", 433.92, 10, 10.0, "70-03; the duty from memory, not verified"),
]
"""Band, frequency, e.r.p. in mW, duty in percent, source."""


def limit_at(name: str, mhz: float) -> BandLimit:
    """Return the limit of a band at a frequency."""
    its_band = band(name)
    assert its_band is not None
    limit = its_band.limit_at(mhz)
    assert limit is not None
    return limit


@pytest.mark.parametrize(("name", "mhz", "erp_mw", "duty", "source"), PUBLISHED)
def test_european_sub_bands(name: str, mhz: float, erp_mw: float, duty: float, source: str) -> None:
    """NOTE, RIR, VFG, ALARMS, 70-03: the power and duty of each range, each from its named source."""
    limit = limit_at(name, mhz)

    assert limit.erp_dbm == pytest.approx(dbm(erp_mw), abs=0.005)
    assert limit.duty_percent == duty
    assert ("from memory" in source) == (limit.basis == "from memory, not verified")
    assert ("VFG" in source) == ("German general authorisation" in limit.clause)


@pytest.mark.parametrize("mhz", [862.9, 868.65, 869.3, 869.675, 870.01])
def test_between_the_sub_bands_there_is_nothing(mhz: float) -> None:
    """NOTE, ALARMS: the gaps between the ranges are for alarm systems, and are not in this band."""
    its_band = band("eu-863-870")

    assert its_band is not None
    assert its_band.limit_at(mhz) is None


@pytest.mark.parametrize("name", ["us-902-928-single", "us-2400-single"])
def test_field_strength_as_radiated_power(name: str) -> None:
    """15.249: 50 mV/m at 3 m; e.i.r.p. = E² r² ÷ 30 in free space is 0.75 mW."""
    limit = bands_file().bands[[b.id for b in bands_file().bands].index(name)].limits[0]

    assert limit.eirp_dbm == pytest.approx(10 * log10((0.050 * 3) ** 2 / 30 * 1000), abs=0.005)


@pytest.mark.parametrize(
    ("name", "mhz", "watts"),
    [
        ("us-902-928-hopping", 915, 1),
        ("us-902-928-hopping-25", 915, 0.25),
        ("us-902-928-digital", 915, 1),
        ("us-2400-digital", 2440, 1),
    ],
)
def test_conducted_power_and_an_antenna_of_6_dbi(name: str, mhz: float, watts: float) -> None:
    """15.247: antenna gain above 6 dBi is taken off the power, so e.i.r.p. is at most 6 dB above it."""
    limit = limit_at(name, mhz)

    assert limit.conducted_dbm == pytest.approx(dbm(1000 * watts), abs=0.005)
    assert limit.eirp_dbm == pytest.approx(dbm(1000 * watts) + 6, abs=0.005)


@pytest.mark.parametrize(
    ("name", "channels", "seconds"),
    [("us-902-928-hopping", "50 channels or more", 20), ("us-902-928-hopping-25", "25 to 49 channels", 10)],
)
def test_time_on_a_hopping_channel(name: str, channels: str, seconds: int) -> None:
    """15.247(a)(1)(i): the time on a channel is limited, and the note says what is not taken into account."""
    its_band = band(name)

    assert its_band is not None
    assert channels in its_band.title
    assert f"0.4 s in {seconds} s" in its_band.limits[0].note


def test_the_wideband_limit() -> None:
    """RIR: 100 mW e.i.r.p., relative to an isotropic antenna and not to a dipole."""
    assert limit_at("eu-2400", 2440).eirp_dbm == dbm(100)


def test_a_dipole() -> None:
    """DIPOLE: a half-wave dipole has 1.64 times the power of an isotropic antenna."""
    assert 10 * log10(1.64) == pytest.approx(DIPOLE_DBI, abs=0.005)


CHANNELS: dict[str, dict[int, float]] = {
    "eu-863-870": {0: 868.3},
    "us-902-928-digital": {1: 906, 10: 924},
    "us-2400-digital": {11: 2405, 15: 2425, 20: 2450, 25: 2475, 26: 2480},
    "eu-2400": {11: 2405, 15: 2425, 20: 2450, 25: 2475, 26: 2480},
}
"""Band → channel → MHz. Page 0 of IEEE 802.15.4; secondary: tools of the Linux kernel's wpan project."""


@pytest.mark.parametrize("name", [one.id for one in bands_file().bands])
def test_channels_of_ieee_802_15_4(name: str) -> None:
    """A band has exactly the standard's channels that lie in it; a band for hopping has none of them."""
    its_band = band(name)
    assert its_band is not None
    published = CHANNELS.get(name, {})

    ends = [(channels.first, channels.last) for channels in its_band.channels]

    assert ends == ([(min(published), max(published))] if published else [])
    assert {k: channels.mhz(k) for channels in its_band.channels for k in published} == published


def test_an_hour_of_duty(tmp_path: Path) -> None:
    """HOUR: 100 transmissions of 0.36 s in an hour are 1 %; 101 are more."""
    site = {"type_keys": {"message": {"bits": 18_000}}, "plan": {"radio": {"band": "eu-863-870"}}}
    node = {"air_rate": "50", "frequency": 868.3}

    just, above = (
        audit_of(tmp_path / name, rules="duty-excess", planned={**node, "report_interval": interval}, **site)
        for name, interval in (("just", 36), ("above", 35))
    )

    assert just == []
    assert "1.029 %" in above[0].message


def test_a_link_budget(tmp_path: Path) -> None:
    """RUN: 14 + 2 − 1 dBm e.i.r.p., 91.22 dB over 1 km at 868.3 MHz, + 5 − 2 dB: −73.2 dBm."""
    (finding,) = audit_of(
        tmp_path,
        rules="path-loss-odd",
        networks={
            "North": {
                "gateway": {
                    "position": {"x_m": 0, "y_m": 0},
                    "frequency": 868.3,
                    "antenna_gain": 5,
                    "feeder_loss": 2,
                }
            }
        },
        planned={"x_m": 600, "y_m": 800, "radio_power": 14, "antenna_gain": 2, "feeder_loss": 1},
        found={"rssi": -120},
    )

    assert "14 dBm + 2 dBi − 1 dB feeder − 91.2 dB over 1,000 m" in finding.message
    assert "+ 5 dBi − 2 dB feeder = -73.2 dBm expected" in finding.message
    assert "missing signal 47 dB" in finding.message


def test_the_published_battery(tmp_path: Path) -> None:
    """OWN of test_battery_lives: 19 Ah of which 80 % count, 30 mA for 0.5 s a minute: 6.67 years."""
    (finding,) = audit_of(
        tmp_path,
        rules="battery-life-short",
        plan={"service_interval_years": 7},
        planned={"air_rate": "9.6", "report_interval": 60},
        type_keys={
            "message": {"bits": 4800},
            "battery": {"capacity_ah": 19, "usable_percent": 80, "sleep_ua": 10, "transmit_ma": 30},
        },
    )

    assert "battery life 6.7 years" in finding.message
    assert "0.26 mA on average" in finding.message
