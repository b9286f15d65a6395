"""Slips in what a plan says about radio, power and alarms: reported with line, text and remedy."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.refusing import assert_refused
from tests.small_site import SETTINGS, node, small_site

SITE = [
    pytest.param("radio: {band: eu-868}", "eu-868", "unknown band 'eu-868'", "eu-863-870", id="unknown band"),
    pytest.param("radio: {bnd: eu-433}", "bnd", "unknown key 'bnd'", "band", id="misspelt key"),
    pytest.param("radio: {path: {exponent: 20}}", "20", "20", "at most 10", id="exponent"),
    pytest.param("radio: {path: {exponent: '2,7'}}", "2,7", "2,7", "a number", id="decimal comma"),
    pytest.param("radio: {access: {how: polled, poll_s: 0.5}}", "how: polled", "needs round_s", "in seconds",
                 id="polled without a round"),
    pytest.param("radio: {access: {how: aloha}}", "aloha", "aloha", "at random", id="unknown access"),
    pytest.param("radio: {licence: {duty_percent: 150}}", "150", "150", "at most 100", id="duty"),
    pytest.param("service_interval_years: -3", "-3", "-3", "above 0", id="years"),
    pytest.param("alarms: {response_time_s: soon}", "soon", "soon", "a number", id="response time"),
    pytest.param("alarms: {host_polls: 0}", "host_polls: 0", "0", "at least 1", id="polls"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "spot", "says", "mend"), SITE)
def test_slips_in_the_plan(tmp_path: Path, words: str, spot: str, says: str, mend: str) -> None:
    """Each slip is reported at its place, with what was expected."""
    site = small_site(tmp_path, nodes=[node(1)]).replace("networks:\n", f"{words}\nnetworks:\n")

    assert_refused(site, at=site.line(spot), says=says, mend=mend)


def test_a_battery_that_is_low_only_below_its_cut_off(tmp_path: Path) -> None:
    """A battery's two voltage limits were swapped."""
    site = small_site(tmp_path, nodes=[node(1)])
    battery = {"capacity_ah": 19, "sleep_ua": 10, "transmit_ma": 30, "low_v": 2.7, "cutoff_v": 3.2}
    kind = {"asfound": "device-type/1", "name": "node", "battery": battery, "settings": list(SETTINGS)}
    site.write("node.yaml", kind)

    assert_refused(site, at="node.yaml", says="low_v is below its cutoff_v", mend="give a low_v")
