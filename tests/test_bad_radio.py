"""Slips in what a plan says about radio, power and alarms: reported with line, text and remedy."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.refusing import assert_refused
from tests.small_site import SETTINGS, node, small_site

SITE = [
    pytest.param("radio: {band: eu-868}", "eu-868", "unknown band 'eu-868'", "eu-863-870", id="unknown band"),
    pytest.param("radio: {bnd: eu-433}", "bnd", "unknown key 'bnd'", "band", id="misspelt key"),
    pytest.param("radio: {path: {exponent: 20}}", "20", "20", "at most 10", id="exponent"),
    pytest.param("radio: {path: {exponent: 3, flat_ground_m: 0}}", "exponent: 3", "either an exponent",
                 "one of the two", id="two models of the path"),
    pytest.param("radio: {path: {obstacles_db: 6}}", "obstacles_db: 6", "either an exponent or flat_ground_m",
                 "one of the two", id="no model of the path"),
    pytest.param("radio: {path: {exponent: '2,7'}}", "2,7", "2,7", "a number", id="decimal comma"),
    pytest.param("radio: {path: {exponent: 3, shadowing_db: 0}}", "0}}", "0", "above 0", id="shadowing"),
    pytest.param("radio: {channels: {first: 9, last: 3, first_mhz: 868.0, step_mhz: 0.1}}", "{first: 9",
                 "first 9 is above last 3", "swap them", id="no channels"),
    pytest.param("radio: {availability_percent: 100}", "100}", "100", "below 100", id="availability"),
    pytest.param("radio: {access: {how: polled, poll_s: 0.5}}", "how: polled", "needs round_s", "in seconds",
                 id="polled without a round"),
    pytest.param("radio: {access: {how: polled}}", "how: polled", "needs poll_s and round_s", "give them",
                 id="polled without its times"),
    pytest.param("radio: {access: {how: aloha}}", "aloha", "aloha", "at random", id="unknown access"),
    pytest.param("radio: {licence: {duty_percent: 150}}", "150", "150", "at most 100", id="duty"),
    pytest.param("service_interval_years: -3", "-3", "-3", "above 0", id="years"),
    pytest.param("alarms: {response_time_s: soon}", "soon", "soon", "a number", id="response time"),
    pytest.param("alarms: {host_polls: 0}", "host_polls: 0", "0", "at least 1", id="polls"),
]  # fmt: skip


def test_an_unknown_band_of_a_network_is_told_there(tmp_path: Path) -> None:
    """Not where the network begins."""
    site = small_site(tmp_path, nodes=[node(1)]).replace(
        "  node_type: node", "  radio:\n    band: eu-868\n  node_type: node"
    )

    assert_refused(site, at=site.line("eu-868"), says="unknown band 'eu-868'", mend="eu-863-870")


@pytest.mark.parametrize(("words", "spot", "says", "mend"), SITE)
def test_slips_in_the_plan(tmp_path: Path, words: str, spot: str, says: str, mend: str) -> None:
    """Each slip is reported at its place, with what was expected."""
    site = small_site(tmp_path, nodes=[node(1)]).replace("networks:\n", f"{words}\nnetworks:\n")

    assert_refused(site, at=site.line(spot), says=says, mend=mend)


@pytest.mark.parametrize("sensors", [{"low": 0}, {"high": 1600}])
def test_a_sensor_without_its_name(tmp_path: Path, sensors: dict[str, Any]) -> None:
    """To write what was expected under `low` would make a sensor of that name."""
    site = small_site(tmp_path, nodes=[node(1)])
    kind = {"asfound": "device-type/1", "name": "node", "sensors": sensors, "settings": list(SETTINGS)}
    site.write("node.yaml", kind)

    assert_refused(site, at="node.yaml", says="(in sensors > ", mend="sensors: {main: {low: ..., high: ...}}")


MESSAGE = [
    pytest.param({"tries": 3}, "the message has no length", "give bits, or bytes", id="no length"),
    pytest.param({"bits": 480, "bytes": {"payload": 60}}, "the message has bits and bytes",
                 "give one of them", id="two lengths"),
    pytest.param({"bytes": {"preamble": 4}}, "'payload' is missing (in message > bytes)", "add it",
                 id="no payload"),
    pytest.param({"bytes": {"payload": 29, "preamble": -4}}, "-4 (in message > bytes > preamble) is out of",
                 "at least 0", id="fewer than no bytes"),
    pytest.param({"bytes": 60}, "found 60 (in message > bytes)", "a mapping of keys to values",
                 id="a number"),
]  # fmt: skip


@pytest.mark.parametrize(("message", "says", "mend"), MESSAGE)
def test_slips_in_a_message(tmp_path: Path, message: dict[str, Any], says: str, mend: str) -> None:
    """Each slip is reported with what was expected."""
    site = small_site(tmp_path, nodes=[node(1)])
    kind = {"asfound": "device-type/1", "name": "node", "message": message, "settings": list(SETTINGS)}
    site.write("node.yaml", kind)

    assert_refused(site, at="node.yaml", says=says, mend=mend)


CURVE = [[0, 3.6], [90, 3.4], [100, 2.0]]
BATTERY = [
    pytest.param({"low_v": 2.7, "cutoff_v": 3.2}, "low_v is below its cutoff_v", "give a low_v",
                 id="two limits swapped"),
    pytest.param({"discharge": CURVE}, "discharge but no cutoff_v", "give the volts below which the device",
                 id="a curve without an end"),
    pytest.param({"resistance_ohm": 5}, "resistance_ohm counts only with discharge",
                 "leave out resistance_ohm", id="resistance without a curve"),
    pytest.param({"cutoff_v": 2.7, "discharge": CURVE[:2]}, "discharge goes from 0 to 90 % drawn",
                 "give its volts from 0 to 100 %", id="half a curve"),
    pytest.param({"cutoff_v": 2.7, "discharge": [[0, 3.6], [1, 2.0]]}, "discharge goes from 0 to 1 % drawn",
                 "give its volts from 0 to 100 %", id="a share instead of percent"),
    pytest.param({"cutoff_v": 2.7, "discharge": [*CURVE[:2], [90, 3.2], CURVE[2]]},
                 "discharge has 90 % drawn after 90 %", "in rising order", id="a point twice"),
    pytest.param({"cutoff_v": 2.7, "discharge": [[0, 3.4], [90, 3.6], [100, 2.0]]},
                 "discharge rises from 3.4 V at 0 % drawn to 3.6 V at 90 %", "the volts can only fall",
                 id="volts that rise"),
    pytest.param({"cutoff_v": 2.7, "discharge": [[3.6, 0], [2.0, 100]]},
                 "0 (in battery > discharge > entry 1 > entry 2) is out of bounds", "above 0",
                 id="volts first"),
    pytest.param({"cutoff_v": 2.7, "discharge": [CURVE[0], 90, CURVE[2]]},
                 "found 90 (in battery > discharge > entry 2), but a list was expected",
                 "put it in brackets: [90]", id="no pair"),
    pytest.param({"cutoff_v": 2.7, "discharge": CURVE, "resistance_ohm": 50},
                 "the full battery gives 3.6 V − 30 mA × 50 ohm = 2.1 V, not above its cutoff_v of 2.7 V",
                 "correct discharge, resistance_ohm, a current or cutoff_v", id="it would never start"),
]  # fmt: skip


@pytest.mark.parametrize(("keys", "says", "mend"), BATTERY)
def test_slips_in_a_battery(tmp_path: Path, keys: dict[str, Any], says: str, mend: str) -> None:
    """Each slip is reported with what was expected."""
    site = small_site(tmp_path, nodes=[node(1)])
    battery = {"capacity_ah": 19, "sleep_ua": 10, "transmit_ma": 30, **keys}
    kind = {"asfound": "device-type/1", "name": "node", "battery": battery, "settings": list(SETTINGS)}
    site.write("node.yaml", kind)

    assert_refused(site, at="node.yaml", says=says, mend=mend)
