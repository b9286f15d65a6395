"""Channels and centre frequencies of IEEE 802.15.4, described to the tool by a device type and a site rule.

Source: IEEE 802.15.4, channel page 0: channel 0 at 868.3 MHz, channels k = 1 to 10 at 906 + 2 (k - 1) MHz,
k = 11 to 26 at 2405 + 5 (k - 11) MHz. Secondary: programs and manuals of radio chips that quote it; the
clause was not read. The end points 906, 924, 2405 and 2480 MHz follow from it.

`data/ieee-802-15-4.yaml` and `data/ieee-802-15-4-rules.yaml` are examples of both kinds of file, for these
tests alone: no built-in rule knows these channels. What is tested is how expressions of site rules
calculate.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.outside.sites import audited, named, of_rule

TYPE, RULES, RULE = "ieee-802-15-4.yaml", ["ieee-802-15-4-rules.yaml"], "frequency-of-another-channel"

CENTRES_MHZ = (
    {0: Decimal("868.3")}
    | {k: Decimal(906 + 2 * (k - 1)) for k in range(1, 11)}
    | {k: Decimal(2405 + 5 * (k - 11)) for k in range(11, 27)}
)
"""Channel → centre frequency."""


def settings(channel: int, frequency: object) -> dict[str, str]:
    """Return the settings of a node, as typed."""
    return {"channel": str(channel), "centre_frequency": str(frequency)}


RIGHT = {f"N-{channel}": settings(channel, centre) for channel, centre in CENTRES_MHZ.items()}


def test_the_end_points() -> None:
    """Frequencies that follow from the source are those of their channels, and no channel is left out."""
    ends = {0: "868.3", 1: "906", 10: "924", 11: "2405", 15: "2425", 20: "2450", 25: "2475", 26: "2480"}
    planned = {f"N-{channel}": settings(channel, mhz) for channel, mhz in ends.items()}

    result = audited(TYPE, planned, rules=RULES)

    assert named(result, RULE) == set()
    assert len(RIGHT) == 27


def test_all_channels_at_their_frequencies_are_accepted() -> None:
    """No rule finds anything wrong with a value of the 27 channels, in the plan or at the devices."""
    result = audited(TYPE, RIGHT, found=RIGHT, rules=RULES)
    assert {finding.rule for finding in result.findings} == {"gateway-not-read"}
    assert result.counts.verified == 2 * 27


def test_the_frequency_of_any_other_channel_is_found() -> None:
    """Each of the 27 times 26 wrong pairs is reported when it is planned."""
    wrong = {
        f"N-{channel}-{other}": settings(channel, centre)
        for channel in CENTRES_MHZ
        for other, centre in CENTRES_MHZ.items()
        if other != channel
    }
    assert named(audited(TYPE, {**RIGHT, **wrong}, rules=RULES), RULE) == set(wrong)


@pytest.mark.parametrize(
    ("channel", "frequency"),
    [
        (0, "868.0"),
        (0, "868.35"),
        (1, "904"),
        (10, "926"),
        (11, "2400"),
        (11, "2405.1"),
        (26, "2485"),
        (26, "2475"),
    ],
)
def test_a_frequency_between_channels_is_found(channel: int, frequency: str) -> None:
    """A device that shows a frequency that belongs to no channel is reported, with what it showed."""
    found = {**RIGHT, f"N-{channel}": settings(channel, frequency)}
    (finding,) = of_rule(audited(TYPE, RIGHT, found=found, rules=RULES), RULE)
    assert finding.node == f"N-{channel}"
    assert f"{frequency} MHz" in (finding.found or "")


@pytest.mark.parametrize(
    ("channel", "frequency"),
    [
        (0, "868300 kHz"),
        (0, "0.8683 GHz"),
        (0, "868.30"),
        (11, "2.405 GHz"),
        (26, "2480000 kHz"),
        (26, "2.48e3"),
    ],
)
def test_frequencies_in_other_spellings_are_accepted(channel: int, frequency: str) -> None:
    """A display that shows kHz or GHz shows the same frequency."""
    found = {**RIGHT, f"N-{channel}": settings(channel, frequency)}
    result = audited(TYPE, RIGHT, found=found, rules=RULES)
    assert {finding.rule for finding in result.findings} == {"gateway-not-read"}


@pytest.mark.parametrize("channel", [-1, 27, 255])
def test_there_is_no_other_channel(channel: int) -> None:
    """A channel outside 0 to 26 is one that the device cannot be set to."""
    found = {**RIGHT, "N-0": settings(channel, "868.3")}
    assert named(audited(TYPE, RIGHT, found=found, rules=RULES), "value-outside-device") == {"N-0"}
