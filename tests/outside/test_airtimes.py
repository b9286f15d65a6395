"""Airtimes and duty against published values.

Sources:

- IEEE 802.15.4, PPDU format: preamble 4, start of frame 1, length 1 octet, then up to 127 octets, at
  250 kbit/s in the 2450 MHz band, 20 and 40 kbit/s at 868 and 915 MHz. Secondary: pages that quote it.
- SLIDE: a training slide on the 802.15.4 data frame, 2011: 4.256 ms for the longest frame, 0.512 ms for the
  shortest (read in an excerpt).
- DUTY: 1 % is 36 s an hour, 0.1 % is 3.6 s and 10 % is 360 s; arithmetic on the duty limits of Decision
  (EU) 2017/1483. That the limits apply to an hour is from memory, not verified.
- RUN: bits ÷ rate, calculated independently of the code.
"""

from __future__ import annotations

import pytest

from audit.engineering.airtime import airtime_s_per_hour, frame_bits, frame_s


@pytest.mark.parametrize(
    ("octets", "rate_bit_s", "milliseconds"),
    [
        pytest.param(127, 250_000, 4.256, id="SLIDE longest"),
        pytest.param(10, 250_000, 0.512, id="SLIDE shortest"),
        pytest.param(5, 250_000, 0.352, id="RUN acknowledgement"),
        pytest.param(127, 20_000, 53.2, id="RUN 868 MHz"),
        pytest.param(127, 40_000, 26.6, id="RUN 915 MHz"),
    ],
)
def test_frames_of_802_15_4(octets: int, rate_bit_s: float, milliseconds: float) -> None:
    """Six octets come before the frame; the frame's own length includes its checksum."""
    bits = frame_bits(octets, preamble_bytes=4, sync_bytes=1, header_bytes=1)
    assert frame_s(bits, rate_bit_s) * 1000 == pytest.approx(milliseconds)


def test_a_frame_of_frequency_shift_keying() -> None:
    """RUN: preamble 4, sync 2, header 2 and 29 bytes at 50 kbit/s; the frame is invented."""
    bits = frame_bits(29, preamble_bytes=4, sync_bytes=2, header_bytes=2)
    assert frame_s(bits, 50_000) * 1000 == pytest.approx(5.92)


@pytest.mark.parametrize(("share", "seconds"), [(0.01, 36), (0.001, 3.6), (0.1, 360)])
def test_duty_limits_as_seconds(share: float, seconds: float) -> None:
    """DUTY: a share of the time is a number of seconds in an hour."""
    assert airtime_s_per_hour(share) == pytest.approx(seconds)
