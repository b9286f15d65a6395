"""Channels of a plan and the frequencies that they stand for."""

from __future__ import annotations

import pytest

from audit.model.radio import Channels

CHANNELS = Channels(first=1, last=8, first_mhz=868.1, step_mhz=0.2)


@pytest.mark.parametrize(("channel", "mhz"), [(0, None), (1, 868.1), (8, 869.5), (9, None)])
def test_channels_from_the_first_to_the_last_have_a_frequency(channel: int, mhz: float | None) -> None:
    """Both ends included."""
    assert CHANNELS.mhz(channel) == mhz
