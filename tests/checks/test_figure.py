"""figure: engineering figures of plan and readback against rule, plan, licence and band."""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

import pytest

from audit.checks.registry import CHECKS
from audit.errors import InputProblems
from audit.figures.registry import FIGURES
from audit.model.asked_of_figures import FigureLimits
from audit.reading.rules import read_rulebook
from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of, result_of

LISTENS = {"sensitivity_dbm": {"9.6": -104, "50": -98}}
"""A device type with a sensitivity."""
SENDS = {"message": {"bits": 480}}
"""480 bits take 0.05 s on air at 9.6 kbit/s."""
REPEATS = {"message": {"bits": 480, "tries": 3}}
"""The same, sent again up to twice until it is acknowledged."""
LIVES: dict[str, Any] = {
    **SENDS,
    "battery": {"capacity_ah": 19, "usable_percent": 80, "sleep_ua": 10, "transmit_ma": 30, "receive_ma": 30,
                "receive_s": 0.45},
}  # fmt: skip
"""The worked example of tests/outside/test_battery_lives.py, at a report each minute: 30 mA for 0.5 s."""


def discharging(**more: float) -> dict[str, Any]:
    """Return the same node with a discharge curve (invented) instead of a usable part."""
    battery = {key: value for key, value in LIVES["battery"].items() if key != "usable_percent"}
    curve = [[0, 3.6], [80, 3.4], [100, 2.0]]
    return {**LIVES, "battery": {**battery, "discharge": curve, "cutoff_v": 2.7, **more}}


CELL = {"battery": {"capacity_ah": 19, "sleep_ua": 10, "transmit_ma": 30, "low_v": 3.2, "cutoff_v": 2.7,
                    "volts_per_kelvin": 0.004}}  # fmt: skip
"""A lithium cell of 3.6 V (invented)."""
SURVEYED = {"path": {"exponent": 2, "obstacles_db": 16.7, "shadowing_db": 8}}
"""A path with 10.1 dB of margin over 1 km, of which 95 % of places need 13.2."""
SLOW = {"report_interval": 60, "air_rate": "9.6"}
SENDER = {"radio_power": 14, "air_rate": "9.6"}


def placed(**more: Any) -> dict[str, Any]:
    """Return a network whose gateway is at the origin and sends at 868.3 MHz."""
    return {"North": {"gateway": {"position": {"x_m": 0, "y_m": 0}, "frequency": 868.3}, **more}}


def at(x_m: float, **row: Any) -> dict[str, Any]:
    """Return a node so many metres from the origin."""
    return {"x_m": x_m, "y_m": 0, **row}


def level(ground_m: float, gateway_m: float) -> dict[str, Any]:
    """Return a network over flat ground so high above the sea, with its gateway at this height too."""
    north = placed(radio={"path": {"flat_ground_m": ground_m}})["North"]
    north["gateway"]["position"]["height_m"] = gateway_m
    return {"North": north}


def over(*obstacles: tuple[str, float, float], node_m: float = 2, gateway_m: float = 6) -> dict[str, Any]:
    """Return a node 1 km from its gateway, the heights of both, and what is between: distance and top."""
    north = placed()["North"]
    between = [{"what": what, "from_node_m": away_m, "top_m": top_m} for what, away_m, top_m in obstacles]
    node = {"tag": "A", "position": {**at(1000), "height_m": node_m}, "obstacles": between}
    north["gateway"]["position"]["height_m"] = gateway_m
    return {"networks": {"North": {**north, "nodes": [node]}}, "planned": []}


def radio(**words: Any) -> dict[str, Any]:
    """Return what a plan says about the radio of all its networks."""
    return {"radio": words}


def channels(first: int, second: int, apart_m: float) -> dict[str, Any]:
    """Return two networks with a reach of 500 m, on these channels, with their gateways so far apart."""
    gateways = [("North", first, 0.0), ("South", second, apart_m)]
    networks = {n: {"gateway": {"channel": c, "position": {"x_m": x, "y_m": 0}}} for n, c, x in gateways}
    nodes = [{"network": n, "x_m": x + 500, "y_m": 0} for n, _, x in gateways]
    return {"networks": networks, "planned": nodes}


FIRES = [
    fires("weak-link-margin", "less than a decibel below", "rssi",
          says="link margin 9.6 dB, minimum 10.0 dB",
          type_keys={"sensitivity_dbm": {"50": -103.6}}, gateway={"air_rate": "50"},
          planned={"air_rate": "50"}, found={"air_rate": "50", "rssi": -94}),
    fires("alarm-too-slow", "a network that names one time of its own", "report_interval", "air_rate",
          side="planned", says="next poll of the host 60 s", type_keys={"message": {"bits": 480}},
          plan={"alarms": {"response_time_s": 100, "host_poll_s": 60}},
          networks={"North": {"alarms": {"response_time_s": 120}}}, gateway={"air_rate": "50"},
          planned={"report_interval": 90, "alarm_high": 10, "air_rate": "50"}),
    fires("channel-shared-nearby", "two gateways on one mast", "channel", node="GW-South", network="South",
          others=["GW-North"], side="planned", networks={
              name: {"gateway": {"position": {"x_m": x, "y_m": 0}, "channel": 7}}
              for name, x in (("North", 0), ("South", 0.5))},
          planned=[{"x_m": 10, "y_m": 0}, {"network": "South", "x_m": 120, "y_m": 0}]),
    fires("frequency-off-band", "beside the nearest range", "frequency", side="planned",
          says="see Decision (EU) 2017/1483", plan={"radio": {"band": "eu-863-870"}},
          planned={"frequency": 869.3}),
    fires("weak-link-margin", "a signal of 5 dB above the sensitivity", "rssi", type_keys=LISTENS,
          planned=SLOW, found={"air_rate": "9.6", "rssi": -99}, says="link margin 5 dB, minimum 10 dB"),
    fires("weak-link-margin", "at the air rate found", "rssi", type_keys=LISTENS, planned=SLOW,
          found={"air_rate": "50", "rssi": -90}, says="the sensitivity at 50"),
    fires("weak-link-margin", "in the plan, by a surveyed path", "radio_power", side="planned",
          type_keys=LISTENS, networks=placed(radio={"path": {"exponent": 3.5}}), planned=at(2000, **SENDER),
          says="14 dBm − 146.8 dB over 2,000 m at 868.3 MHz (exponent 3.5) = -132.8 dBm"),
    fires("weak-link-margin", "in the plan, over flat ground", "radio_power", side="planned",
          type_keys=LISTENS, networks=level(100, 106), planned=at(5000, **SENDER, height_m=102),
          says="14 dBm − 126.4 dB over 5,000 m at 868.3 MHz (two rays, antennas 2 m and 6 m above flat "
               "ground) = -112.4 dBm"),
    fires("weak-link-margin", "in the plan, by less than a decibel: its sum gives the margin", "radio_power",
          side="planned", type_keys=LISTENS, networks=placed(), planned=at(7_000, **SENDER),
          says="link margin 9.9 dB, minimum 10.0 dB: 14 dBm − 108.1 dB over 7,000 m at 868.3 MHz (free "
               "space) = -94.1 dBm, against -104 dBm"),
    fires("weak-link-margin", "in the plan, even over free space", "radio_power", side="planned",
          type_keys=LISTENS, networks=placed(), planned=at(100_000, **SENDER),
          says="(free space, the best that a path can be)"),
    fires("link-availability-low", "enough margin, but not at every place of this kind", "radio_power",
          side="planned", type_keys=LISTENS, networks=placed(radio=SURVEYED), planned=at(1000, **SENDER),
          plan=radio(availability_percent=95),
          says="availability of the link 89.6 %, minimum 95.0 %, wanted by the plan: link margin 10.1 dB, "
               "where 95 % of places (log-normal, shadowing 8 dB) needs 13.2 dB; margin = 14 dBm"),
    fires("link-availability-low", "a signal of 10 dB above the sensitivity, which fades", "rssi",
          type_keys=LISTENS, plan=radio(availability_percent=95), planned=SLOW,
          found={"air_rate": "9.6", "rssi": -94},
          says="availability of the link 90.5 %, minimum 95.0 %, wanted by the plan: link margin 10 dB, "
               "where 95 % of the time (Rayleigh fading, the signal as read taken as the mean) needs 12.9 "
               "dB; margin = signal -94 dBm − (-104 dBm, the sensitivity at 9.6"),
    fires("link-availability-low", "a signal as read, where the plan has the shadowing of the path", "rssi",
          type_keys=LISTENS, networks=placed(radio=SURVEYED), plan=radio(availability_percent=95),
          planned=at(1000, **SLOW), found={"air_rate": "9.6", "rssi": -94},
          says="link margin 10 dB, where 95 % of the time (Rayleigh fading, the signal as read"),
    fires("path-obstructed", "a heap below the line of sight, but not far enough below", side="planned",
          **over(("spoil heap", 500, 3)),
          says="path clearance 11 %, minimum 60 %: spoil heap, 500 m from the node on a path of 1,000 m, "
               "with the top 1.0 m below the line of sight (0.01 m of earth's bulge included); the first "
               "Fresnel zone has a radius of 9.3 m there, so that 4.6 m are lacking to 60 %; as a knife edge "
               "it costs 5 dB, not counted in the link margin"),
    fires("path-obstructed", "a crest a hand's breadth above the line of sight", side="planned",
          **over(("crest", 500, 4.015)), says="path clearance 0 %, minimum 60 %: crest"),
    fires("path-obstructed", "trees above the line of sight, and worse than the heap", side="planned",
          **over(("spoil heap", 500, 3), ("poplars", 100, 14), ("fence", 900, 1.5)),
          says="path clearance -208 %, minimum 60 %: poplars, 100 m from the node on a path of 1,000 m, with "
               "the top 11.6 m above the line of sight (0.01 m of earth's bulge included)"),
    fires("path-obstructed", "trees above the line of sight: how many more are in the way", side="planned",
          **over(("spoil heap", 500, 3), ("poplars", 100, 14), ("fence", 900, 1.5)),
          says="not counted in the link margin (of 3 obstacles 2 leave too little)"),
    fires("path-loss-odd", "an antenna that is not plugged in", "rssi", networks=placed(),
          planned=at(1000, **SENDER), found={"rssi": -110},
          says="missing signal 33 dB, maximum 25 dB: 14 dBm − 91.2 dB over 1,000 m at 868.3 MHz (free space) "
               "= -77.2 dBm expected, -110 dBm read. The usual suspects: an antenna that is missing"),
    fires("path-loss-odd", "stronger than free space", "rssi", networks=placed(),
          planned=at(1000, **SENDER), found={"rssi": -60},
          says="signal stronger than expected by 17 dB, maximum 6 dB: 14 dBm"),
    fires("path-loss-odd", "far below the surveyed path", "rssi",
          networks=placed(radio={"path": {"exponent": 2, "obstacles_db": 10}}),
          planned=at(1000, **SENDER), found={"rssi": -103},
          says="missing signal 16 dB, maximum 15 dB: 14 dBm − 101.2 dB over 1,000 m at 868.3 MHz (exponent "
               "2, obstacles 10 dB) = -87.2 dBm expected, -103 dBm read. The usual suspects: foliage"),
    fires("radiated-power-excess", "an antenna of the plan", "radio_power", "antenna_gain", side="planned",
          plan=radio(band="eu-863-870"), networks=placed(),
          planned={"radio_power": 14, "antenna_gain": 5},
          says="radiated power 16.9 dBm, maximum 14.0 dBm, by Decision (EU) 2017/1483; ERC/REC 70-03, annex "
               "1 (quoted by others); check with the authority: e.r.p. = 14 dBm + 5 dBi − 2.15 dB for a "
               "dipole"),
    fires("radiated-power-excess", "an antenna that was exchanged", "radio_power", "antenna_gain",
          plan=radio(band="us-902-928-digital"), planned={"radio_power": 30, "antenna_gain": 6},
          found={"antenna_gain": 9}, says="e.i.r.p. = 30 dBm + 9 dBi"),
    fires("radiated-power-excess", "too much into the feeder", "radio_power", "feeder_loss",
          plan=radio(band="us-902-928-digital"), planned={}, found={"radio_power": 31, "feeder_loss": 3},
          says="radiated power 31.0 dBm, maximum 30.0 dBm"),
    fires("radiated-power-excess", "a power between whole decibels: its sum gives what is radiated",
          "radio_power", side="planned", plan=radio(band="eu-863-870"), networks=placed(),
          planned={"radio_power": 16.15}, says="e.r.p. = 16.15 dBm − 2.15 dB for a dipole",
          settings={"radio_power": {"kind": "decimal", "unit": "dBm", "step": 0.01}}),
    fires("alarm-too-slow", "an interval of more than 1,000 s", "report_interval", "air_rate", side="planned",
          type_keys={"message": {"bits": 480, "sense_interval_s": 30}}, gateway={"air_rate": "50"},
          plan={"alarms": {"response_time_s": 100}},
          planned={"report_interval": 1234, "alarm_high": 10, "air_rate": "50"},
          says="time from event to alarm 1,264 s, maximum 100 s, the time allowed to respond: next "
               "measurement 30 s + next report 1,234 s + on air 0.0096 s"),
    fires("battery-life-short", "a battery that loses charge by itself", "report_interval", "air_rate",
          side="planned", plan={"service_interval_years": 8}, planned=SLOW,
          type_keys={**LIVES, "battery": {**LIVES["battery"], "self_discharge_percent": 3}},
          says="to listen; repeats not counted), less self-discharge of 3 % a year"),
    fires("airtime-excess", "more than 1,000 s an hour", node="GW-North", side="planned", type_keys=SENDS,
          plan=radio(licence={"airtime_s_per_hour": 36}), planned=[{**SLOW, "report_interval": 1}] * 10,
          says="10 nodes are on air 1,800 s an hour, 36 s allowed"),
    fires("radiated-power-excess", "the licence goes before the band", "radio_power", side="planned",
          plan=radio(band="us-902-928-digital", licence={"reference": "R-17", "eirp_dbm": 20}),
          planned={"radio_power": 21},
          says="maximum 20.0 dBm, by the licence R-17; check with the authority"),
    fires("radiated-power-excess", "a gateway, in watts", "radio_power", node="GW-North", side="planned",
          plan=radio(band="us-902-928-digital"), hub_settings={
              "radio_power": {"kind": "decimal", "unit": "W", "step": 0.1}},
          gateway={"radio_power": 2}, planned={}, says="radiated power 33.0 dBm"),
    fires("frequency-off-band", "a frequency of the plan", "frequency", side="planned",
          plan=radio(band="eu-863-870"), planned={"frequency": 870.1},
          says="outside the band by 0.100 MHz, see German general authorisation"),
    fires("frequency-off-band", "a gap between two ranges", "frequency", side="planned",
          plan=radio(band="eu-863-870"), planned={"frequency": 868.65}, says="frequency 868.65 MHz"),
    fires("frequency-off-band", "a channel by the plan's own list", "channel",
          plan=radio(band="eu-863-870", channels={"first_mhz": 863.1, "step_mhz": 0.2}),
          planned={"channel": 7}, found={"channel": 36}, says="channel 36 is 870.1 MHz (863.1 + 35 × 0.2)"),
    fires("duty-excess", "in the plan", "report_interval", "air_rate", side="planned", type_keys=SENDS,
          plan=radio(licence={"duty_percent": 0.1}), planned={"report_interval": 30, "air_rate": "9.6"},
          says="duty 0.167 %, maximum 0.100 %, by the licence; check with the authority: 480 bits at 9600 "
               "bit/s take 0.05 s on air, every 30 s: 6 s an hour, repeats not counted"),
    fires("duty-excess", "the parts of a frame in bytes", "report_interval", "air_rate", side="planned",
          type_keys={"message": {"bytes": {"preamble": 4, "sync": 2, "header": 6, "payload": 46,
                                           "checksum": 2}}},
          plan=radio(licence={"duty_percent": 0.08}), planned=SLOW,
          says="480 bits at 9600 bit/s take 0.05 s on air, every 60 s: 3 s an hour"),
    fires("duty-excess", "reports oftener than planned, in a band of 0.1 %", "report_interval", "air_rate",
          type_keys=SENDS, plan=radio(band="eu-863-870"), planned={**SLOW, "frequency": 868.9},
          found={"report_interval": 40},
          says="unless the node listens before it talks; check with the authority: 480 bits"),
    fires("airtime-excess", "sent at random", node="GW-North", side="planned", type_keys=SENDS,
          plan=radio(access={"how": "at random"}), planned=[SLOW] * 64,
          says="airtime 101 %, maximum 100 %, by its channel access: 64 nodes are on air 192 s an hour; "
               "sent at random, 10.1 % of reports collide, 10 % is acceptable"),
    fires("airtime-excess", "sent at random, with repeats", node="GW-North", side="planned",
          type_keys=REPEATS, plan=radio(access={"how": "at random"}), planned=[SLOW] * 100,
          says="airtime 193 %, maximum 100 %, by its channel access: 100 nodes are on air 365 s an hour, "
               "each report sent 1.22 times on average because of collisions; sent at random, 18.4 % of "
               "reports collide, 10 % is acceptable; 99.4 % get through in 3 tries"),
    fires("airtime-excess", "repeats that are hardly needed", node="GW-North", side="planned",
          type_keys=REPEATS, plan=radio(access={"how": "at random"}), planned=[SLOW] * 58,
          says="10.2 % of reports collide, 10 % is acceptable; 99.9 % get through in 3 tries"),
    fires("airtime-excess", "repeats that nobody can foresee", node="GW-North", side="planned",
          type_keys=REPEATS, plan=radio(licence={"airtime_s_per_hour": 36}), planned=[SLOW] * 13,
          says="13 nodes are on air 39 s an hour, repeats not counted, 36 s allowed"),
    fires("duty-excess", "only with its repeats", "report_interval", "air_rate", node="A", side="planned",
          type_keys=REPEATS, plan=radio(access={"how": "at random"}, licence={"duty_percent": 0.09}),
          planned=[SLOW, *[{**SLOW, "report_interval": 61}] * 49],
          says="480 bits at 9600 bit/s take 0.05 s on air, every 60 s: 3.28 s an hour, sent 1.09 times on "
               "average, since 8.57 % collide"),
    fires("battery-life-short", "a node that sends and listens again", "report_interval", "air_rate",
          node="A", side="planned", type_keys={**LIVES, **REPEATS},
          plan={"service_interval_years": 6.5, **radio(access={"how": "at random"})},
          planned=[SLOW, *[{**SLOW, "report_interval": 600}] * 500],
          says="battery life 6.1 years, minimum 6.5 years, the plan's service interval: 15.2 Ah usable ÷ "
               "0.284 mA on average (10 µA asleep, 30 mA for 0.0548 s every 60 s to send, 30 mA for 0.494 s "
               "every 60 s to listen; sent 1.10 times on average, since 8.9 % collide)"),
    fires("airtime-excess", "polled nodes", node="GW-North", side="planned", type_keys=SENDS,
          plan=radio(access={"how": "polled", "poll_s": 0.5, "round_s": 1}), planned=[SLOW] * 3,
          says="3 polls of 0.5 s in 1 s"),
    fires("airtime-excess", "one polled node", node="GW-North", side="planned", type_keys=SENDS,
          plan=radio(access={"how": "polled", "poll_s": 1.5, "round_s": 1}), planned=[SLOW],
          says="1 poll of 1.5 s in 1 s"),
    fires("airtime-excess", "own slots", node="GW-North", side="planned", type_keys=SENDS,
          plan=radio(access={"how": "own slots", "slot_s": 20, "round_s": 60}), planned=[SLOW] * 4,
          says="4 of 3 slots taken in 60 s"),
    fires("airtime-excess", "a slot that is too short", node="GW-North", side="planned", type_keys=SENDS,
          plan=radio(access={"how": "own slots", "slot_s": 0.04, "round_s": 60}), planned=SLOW,
          says="does not fit a slot"),
    fires("airtime-excess", "found to report oftener than the licence has time for", node="GW-North",
          type_keys=SENDS, plan=radio(licence={"airtime_s_per_hour": 8}), planned=[SLOW] * 2,
          found=[{"report_interval": 30}, {"report_interval": 60}], says="on air 9 s an hour, 8 s allowed"),
    fires("airtime-excess", "only one was read, which reports oftener", node="GW-North", type_keys=SENDS,
          plan=radio(licence={"airtime_s_per_hour": 11}), planned=[SLOW] * 2,
          found=[{"report_interval": 20}, {}], says="2 nodes are on air 12 s an hour, 11 s allowed"),
    fires("battery-flat", "the node is about to go off", "battery_volts", type_keys=CELL, planned={},
          found={"battery_volts": 1.9},
          says="battery 1.90 V, minimum 2.70 V, the device's cut-off"),
    fires("battery-flat", "cold, which does not keep it from going off", "battery_volts", type_keys=CELL,
          found={"battery_volts": 2.65, "device_temperature": -20},
          settings={"device_temperature": {"kind": "integer", "unit": "°C"}},
          says="battery 2.65 V, minimum 2.70 V"),
    fires("battery-low", "sagging, in the volts of the display", "battery_volts", type_keys=CELL,
          settings={"battery_volts": {"kind": "integer", "unit": "mV"}}, found={"battery_volts": 3100},
          says="battery 3.10 V, minimum 3.20 V, the battery's low voltage: as read, at a temperature "
               "that was not read"),
    fires("battery-low", "warm, so that it reads higher than it is", "battery_volts", "device_temperature",
          type_keys=CELL, found={"battery_volts": 3.25, "device_temperature": 40},
          settings={"device_temperature": {"kind": "integer", "unit": "°C"}},
          says="battery 3.17 V, minimum 3.20 V, the battery's low voltage: 3.25 V read at 40 °C, "
               "0.004 V less for each kelvin below 20 °C"),
    fires("battery-low", "cold, and nobody has stated what that takes", "battery_volts", "device_temperature",
          type_keys={"battery": {**CELL["battery"], "volts_per_kelvin": 0}},
          found={"battery_volts": 3.15, "device_temperature": -15},
          settings={"device_temperature": {"kind": "integer", "unit": "°C"}},
          says="battery 3.15 V, minimum 3.20 V, the battery's low voltage: as read at -15 °C, with no "
               "volts_per_kelvin allowed for the cold"),
    fires("battery-life-short", "in the plan", "report_interval", "air_rate", side="planned",
          type_keys=LIVES, plan={"service_interval_years": 8}, planned=SLOW,
          says="battery life 6.7 years, minimum 8.0 years, the plan's service interval: 15.2 Ah usable ÷ "
               "0.26 mA on average"),
    fires("battery-life-short", "a discharge curve, down to the cut-off", "report_interval", "air_rate",
          side="planned", plan={"service_interval_years": 8}, planned=SLOW, type_keys=discharging(),
          says="battery life 7.5 years, minimum 8.0 years, the plan's service interval: 17.1 Ah usable (90 % "
               "of 19 Ah above 2.7 V) ÷ 0.26 mA on average"),
    fires("battery-life-short", "a pulse that ends it sooner, in the cold", "report_interval", "air_rate",
          side="planned", plan={"service_interval_years": 8}, planned=SLOW,
          type_keys=discharging(resistance_ohm=20, usable_percent=80),
          says="battery life 5.4 years, minimum 8.0 years, the plan's service interval: 12.4 Ah usable (81.4 "
               "% of 19 Ah above 2.7 V at 30 mA through 20 ohm, 80 % of that in the cold) ÷ 0.26 mA"),
    fires("battery-life-short", "reports oftener than planned", "report_interval", "air_rate",
          type_keys=LIVES, plan={"service_interval_years": 5}, planned=SLOW, found={"report_interval": 30}),
    fires("alarm-too-slow", "the time that the node has", "report_interval", "air_rate", side="planned",
          type_keys=SENDS, planned={**SLOW, "response_time_s": 45},
          says="time from event to alarm 60 s, maximum 45 s, the time allowed to respond: next measurement "
               "60 s"),
    fires("alarm-too-slow", "the time that all alarms have, over a slow host", "report_interval", "air_rate",
          type_keys={"message": {"bits": 480, "sense_interval_s": 10}},
          plan={"alarms": {"response_time_s": 120, "host_poll_s": 10}}, planned={**SLOW, "alarm_high": 80},
          found={"report_interval": 300},
          says="next measurement 10 s + next report 300 s + on air 0.05 s + next poll of the host 10 s"),
    fires("channel-shared-nearby", "in the plan", "channel", node="GW-South", network="South", side="planned",
          others=["GW-North"], **channels(7, 7, 1500),
          says="distance between the gateways 1,500 m, minimum 1,577 m, to use one channel: channel 7 is "
               "also that of North (GW-North); the farthest nodes are 500 m and 500 m from their gateways, "
               "and the wanted signal has to be 10 dB above the other, but may be only 9 dB above it "
               "(exponent 3)"),
    fires("channel-shared-nearby", "less than twice as far apart as they reach", "channel", node="GW-South",
          network="South", side="planned", others=["GW-North"], **channels(7, 7, 900),
          says="but may be 3 dB below it (exponent 3)"),
    fires("channel-shared-nearby", "all at one place", "channel", node="GW-South", network="South",
          side="planned", others=["GW-North"],
          networks={n: {"gateway": {"position": {"x_m": 0, "y_m": 0}, "channel": 7}}
                    for n in ("North", "South")},
          planned=[{"x_m": 0, "y_m": 0}, {"network": "South", "x_m": 0, "y_m": 0}],
          says="the farthest nodes are 1 m and 1 m from their gateways"),
    fires("channel-shared-nearby", "no farther apart than they reach", "channel", node="GW-South",
          network="South", side="planned", others=["GW-North"], **channels(7, 7, 500),
          says="but a node of one network may stand at the gateway of the other (exponent 3)"),
    fires("channel-shared-nearby", "a gateway that was retuned", "channel", node="GW-South", network="South",
          others=["GW-North"], gateway_found=None, found=[{}, {}],
          **{**channels(7, 8, 1500), "networks": {
              name: {**network, "gateway_found": {"channel": 7}}
              for name, network in channels(7, 8, 1500)["networks"].items()}}),
]  # fmt: skip

SILENT = [
    silent("weak-link-margin", "10 dB are enough", type_keys=LISTENS, planned=SLOW,
           found={"air_rate": "9.6", "rssi": -94}),
    silent("weak-link-margin", "no sensitivity is known", idle=True, planned=SLOW, found={"rssi": -120}),
    silent("weak-link-margin", "a good path in the plan", type_keys=LISTENS, networks=placed(),
           planned=at(1000, **SENDER)),
    silent("link-availability-low", "what the plan asks for, and no more", type_keys=LISTENS,
           plan=radio(availability_percent=90), planned=SLOW, found={"air_rate": "9.6", "rssi": -94}),
    silent("link-availability-low", "the plan asks for nothing", idle=True, type_keys=LISTENS, planned=SLOW,
           found={"air_rate": "9.6", "rssi": -103}),
    silent("link-availability-low", "a path whose shadowing nobody surveyed", idle=True, type_keys=LISTENS,
           plan=radio(availability_percent=99.99), networks=placed(radio={"path": {"exponent": 2}}),
           planned=at(1000, **SENDER)),
    silent("path-obstructed", "a wall far enough below", **over(("wall", 500, -1.6))),
    silent("path-obstructed", "nothing is named", idle=True, **over()),
    silent("path-obstructed", "the plan has no heights", idle=True, networks=placed(nodes=[{
        "tag": "A", "position": at(1000), "obstacles": [{"what": "hill", "from_node_m": 1, "top_m": 99}]}]),
        planned=[]),
    silent("weak-link-margin", "near enough over flat ground", type_keys=LISTENS, networks=level(100, 106),
           planned=at(1000, **SENDER, height_m=102)),
    silent("weak-link-margin", "below the flat ground", idle=True, type_keys=LISTENS,
           networks=level(100, 106), planned=at(1000, **SENDER, height_m=2)),
    silent("weak-link-margin", "over flat ground without heights", idle=True, type_keys=LISTENS,
           networks=level(100, 106), planned=at(1000, **SENDER)),
    silent("path-loss-odd", "a path through trees", networks=placed(), planned=at(1000, **SENDER),
           found={"rssi": -100}),
    silent("path-loss-odd", "the plan alone", idle=True, networks=placed(), planned=at(1000, **SENDER)),
    silent("path-loss-odd", "no position", idle=True, planned=SENDER, found={"rssi": -130}),
    silent("radiated-power-excess", "25 mW e.r.p. exactly", plan=radio(band="eu-863-870"), networks=placed(),
           planned={"radio_power": 14, "antenna_gain": 2.1}),
    silent("radiated-power-excess", "no band", idle=True, planned={"radio_power": 40}),
    silent("radiated-power-excess", "a limit that depends on a frequency nobody knows", idle=True,
           plan=radio(band="eu-863-870"), planned={"radio_power": 40}),
    silent("frequency-off-band", "inside", plan=radio(band="eu-863-870"), planned={"frequency": 868.3}),
    silent("frequency-off-band", "a channel on the very edge of the band", planned={"channel": 3},
           plan=radio(band="eu-863-870", channels={"first_mhz": 869.45, "step_mhz": 0.1})),
    silent("frequency-off-band", "a channel that stands for nothing", idle=True,
           plan=radio(band="eu-863-870"), planned={"channel": 7}),
    silent("duty-excess", "1 % of a band", type_keys=SENDS, plan=radio(band="eu-863-870"),
           planned={"report_interval": 5, "air_rate": "9.6", "frequency": 868.3}),
    silent("duty-excess", "a band without a limit of duty", idle=True, type_keys=SENDS,
           plan=radio(band="us-902-928-digital"), planned=SLOW),
    silent("airtime-excess", "a few nodes", type_keys=SENDS, plan=radio(access={"how": "at random"}),
           planned=[SLOW] * 63),
    silent("airtime-excess", "a few nodes, with their repeats", type_keys=REPEATS,
           plan=radio(access={"how": "at random"}), planned=[SLOW] * 56),
    silent("airtime-excess", "slots carry twice as much", type_keys=SENDS,
           plan=radio(access={"how": "at random in slots"}), planned=[SLOW] * 126),
    silent("airtime-excess", "nobody says how they send", idle=True, type_keys=SENDS, planned=[SLOW] * 2000),
    silent("battery-low", "as low as it may be", type_keys=CELL, found={"battery_volts": 3.2}),
    silent("battery-low", "flat, which battery-flat says", type_keys=CELL, found={"battery_volts": 1.9}),
    silent("battery-low", "low in the cold only", type_keys=CELL, settings={"device_temperature": {
        "kind": "integer", "unit": "°F"}}, found={"battery_volts": 3.1, "device_temperature": -13}),
    silent("battery-low", "a type that does not say which volts are low", idle=True, type_keys=LIVES,
           found={"battery_volts": 1.9}),
    silent("battery-flat", "at the cut-off", type_keys=CELL, found={"battery_volts": 2.7}),
    silent("battery-flat", "volts that nobody read", idle=True, type_keys=CELL, found={"channel": 7}),
    silent("battery-life-short", "long enough", type_keys=LIVES, plan={"service_interval_years": 6.5},
           planned=SLOW),
    silent("battery-life-short", "no service interval", idle=True, type_keys=LIVES, planned=SLOW),
    silent("alarm-too-slow", "sent at once", planned={**SLOW, "response_time_s": 15},
           type_keys={"message": {"bits": 480, "sense_interval_s": 10, "alarms_at_once": True}}),
    silent("alarm-too-slow", "no alarm at all", idle=True, type_keys=SENDS,
           plan={"alarms": {"response_time_s": 5}}, planned=SLOW),
    silent("channel-shared-nearby", "far apart", **channels(7, 7, 1600)),
    silent("channel-shared-nearby", "other channels", **channels(7, 8, 100)),
    silent("channel-shared-nearby", "said already by networks-alike", **channels(7, 7, 100),
           gateway={"network_id": "1A07", "air_rate": "50"}),
    silent("channel-shared-nearby", "no positions", idle=True, planned=[{}, {"network": "South"}],
           gateway={"channel": 7}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_a_rule_fires(case: Fires, tmp_path: Path) -> None:
    """A figure outside its limit is reported with its calculation, its limit, and the source of the limit."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_a_rule_is_silent(case: Silent, tmp_path: Path) -> None:
    """A figure within its limit is looked at; one that cannot be calculated counts as not checked."""
    case.check(tmp_path)


def test_every_figure_has_a_rule_and_every_rule_its_assumptions() -> None:
    """The registry, the arguments and the rules name the same figures, each with what it assumes."""
    checks = [rule.check for rule in read_rulebook((), None, work=None).rules]
    used = {check.figure: check for check in checks if isinstance(check, FigureLimits)}

    assert set(get_args(FigureLimits.model_fields["figure"].annotation)) == set(FIGURES)
    assert set(used) == set(FIGURES)
    assert all(set(check.assume) == set(FIGURES[name].assumes) for name, check in used.items())
    assert "figure" in CHECKS


def test_what_is_missing_is_reported(tmp_path: Path) -> None:
    """A rule that looked at some nodes only says what it needed, and on how many."""
    result = result_of(tmp_path, type_keys=LISTENS, planned=[SLOW] * 3, found=[{"rssi": -80}, {}, {}])

    reasons = {entry.rule: entry.reason for entry in result.not_checked}
    assert reasons["weak-link-margin"] == "in part, for lack of a signal strength reading on 2"
    assert reasons["duty-excess"] == "for lack of a band or licence in the plan"
    assert not any(reason.startswith("needs ") for reason in reasons.values())  # --since: no input is missing


@pytest.mark.parametrize(
    ("plan", "nodes", "reason"),
    [
        ({}, [{"alarm_high": 80}], "for lack of an allowed response time"),
        ({"response_time_s": 60}, [{}], "for lack of a planned alarm setpoint"),
        (
            {"response_time_s": 60},
            [{"alarm_high": 80}, {}],
            "in part, for lack of a planned alarm setpoint on 1",
        ),
    ],
)
def test_an_alarm_lacks_a_time_or_a_setpoint(
    plan: dict[str, int], nodes: list[dict[str, int]], reason: str, tmp_path: Path
) -> None:
    """Where the plan allows a time, it is not the time that is missing."""
    planned = [{**SLOW, **node} for node in nodes]

    result = result_of(tmp_path, type_keys=SENDS, plan={"alarms": plan}, planned=planned)

    assert {e.rule: e.reason for e in result.not_checked}["alarm-too-slow"] == reason


def test_what_a_battery_life_lacks_is_named_alone(tmp_path: Path) -> None:
    """A network without a service interval needs that, and no battery data; measuring takes time as well."""
    busy = {"message": {"bits": 480, "sense_interval_s": 5},
            "battery": {**LIVES["battery"], "sense_ma": 5, "sense_s": 8}}  # fmt: skip
    networks = {"North": {"service_interval_years": 3}}
    nodes = [SLOW, {**SLOW, "network": "South", "tag": "S"}]

    one, other = (
        result_of(tmp_path / name, type_keys=keys, networks=networks, planned=nodes)
        for name, keys in (("usual", LIVES), ("busy", busy))
    )

    reasons = [{e.rule: e.reason for e in done.not_checked}["battery-life-short"] for done in (one, other)]
    assert reasons[0] == "in part, for lack of a service interval in the plan on 1"
    assert "intervals longer than it takes to send, listen and measure" in reasons[1]


@pytest.mark.parametrize(
    ("setting", "unit", "lacks"),
    [("antenna_gain", "dBd", "an antenna gain in dBi"), ("antenna_gain", "dB", "an antenna gain in dBi"),
     ("feeder_loss", "dBm", "a feeder loss in dB")],
)  # fmt: skip
def test_a_gain_or_loss_in_another_unit_does_not_count_as_none(
    setting: str, unit: str, lacks: str, tmp_path: Path
) -> None:
    """Counted as 0 dB, a gain of 9 dBd would hide that the node radiates far too much."""
    result = result_of(
        tmp_path, settings={setting: {"kind": "decimal", "unit": unit, "step": 0.1}}, type_keys=LISTENS,
        plan=radio(band="eu-863-870"), networks=placed(), planned=at(100, **SENDER, **{setting: 9}),
    )  # fmt: skip

    reasons = {entry.rule: entry.reason for entry in result.not_checked}
    assert lacks in reasons["radiated-power-excess"]
    assert lacks in reasons["weak-link-margin"]
    assert not any(finding.rule == "radiated-power-excess" for finding in result.findings)


def test_devices_without_a_planned_position_are_named(tmp_path: Path) -> None:
    """Somebody has to put it in the plan; coordinates of different kinds give no distance."""
    places: list[dict[str, Any]] = [at(100), {}, {"latitude": 51.0, "longitude": 7.0}, {}, at(0.5)]
    result = result_of(
        tmp_path, type_keys=LISTENS, networks=placed(), planned=[{**SENDER, **place} for place in places]
    )

    reasons = {entry.rule: entry.reason for entry in result.not_checked}
    assert reasons["weak-link-margin"] == (
        "in part, for lack of positions of node and gateway on 2 (B, D), "
        "a position at least 1 m from the gateway's on 1 (E), "
        "a position in the same coordinates as the gateway's on 1 (C)"
    )


def test_a_single_obstacle_is_not_counted(tmp_path: Path) -> None:
    """That others are in the way too is said where there are others."""
    heap, wall = ("spoil heap", 500, 3), ("wall", 400, 3)

    (alone,) = audit_of(tmp_path / "alone", rules="path-obstructed", **over(heap))
    (both,) = audit_of(tmp_path / "both", rules="path-obstructed", **over(heap, wall))

    assert "obstacles" not in alone.message
    assert "of 2 obstacles 2 leave too little" in both.message


def test_reports_that_are_sent_once_are_not_said_to_get_through_in_the_end(tmp_path: Path) -> None:
    """Only repeats make up for a collision."""
    (finding,) = audit_of(tmp_path, rules="airtime-excess", type_keys=SENDS, planned=[SLOW] * 64,
                          plan=radio(access={"how": "at random"}))  # fmt: skip

    assert "10 % is acceptable" in finding.message
    assert "get through" not in finding.message


def test_an_availability_that_cannot_be_told_says_what_it_needs(tmp_path: Path) -> None:
    """One network of which the plan asks nothing, one without its shadowing, one without positions."""
    networks: dict[str, Any] = {
        "South": {"radio": {"availability_percent": 99}},
        "East": {"radio": {**SURVEYED, "availability_percent": 99}},
    }
    nodes = [{**SENDER, "network": name} for name in ("North", "South", "East")]

    result = result_of(tmp_path, type_keys=LISTENS, networks=networks, planned=nodes)

    reasons = {entry.rule: entry.reason for entry in result.not_checked}
    assert reasons["link-availability-low"] == (
        "for lack of an availability in the plan and positions of node and gateway and the shadowing of the "
        "path in the plan"
    )


@pytest.mark.parametrize(
    ("position", "gateway", "lacks"),
    [
        ({"height_m": 2}, {"frequency": 868.3}, "positions of node and gateway"),
        ({**at(1000), "height_m": 2}, {"frequency": 868.3}, "height_m in the positions of node and gateway"),
        ({**at(1000), "height_m": 2}, {}, "a frequency, or the frequencies of channels"),
    ],
    ids=["a height without a place", "no height of the gateway", "no frequency"],
)  # fmt: skip
def test_a_clearance_that_cannot_be_told_says_what_it_needs(
    position: dict[str, Any], gateway: dict[str, Any], lacks: str, tmp_path: Path
) -> None:
    """The node has an obstacle on its way, so the plan is asked for the rest."""
    heights = {} if "frequency" in gateway else {"height_m": 6}
    hill = {"what": "hill", "from_node_m": 10, "top_m": 99}
    north = {"gateway": {**gateway, "position": {**at(0), **heights}},
             "nodes": [{"tag": "A", "position": position, "obstacles": [hill]}]}  # fmt: skip

    result = result_of(tmp_path, networks={"North": north}, planned=[])

    reasons = {entry.rule: entry.reason for entry in result.not_checked}
    assert lacks in reasons["path-obstructed"]


def test_a_weak_link_is_reported_once(tmp_path: Path) -> None:
    """Its availability is low because its margin is; each side has its own finding of this."""
    findings = audit_of(
        tmp_path, rules=("weak-link-margin", "link-availability-low"), type_keys=LISTENS,
        plan=radio(availability_percent=95), planned=SLOW, found={"air_rate": "9.6", "rssi": -99},
    )  # fmt: skip

    margin, share = findings
    assert (margin.rule, margin.caused_by) == ("weak-link-margin", None)
    assert (share.rule, share.caused_by) == ("link-availability-low", margin.id)


def test_a_network_speaks_before_the_site(tmp_path: Path) -> None:
    """What a network says about its radio replaces what the site says, and nothing else."""
    findings = audit_of(
        tmp_path,
        rules="radiated-power-excess",
        plan=radio(band="us-902-928-digital", licence={"eirp_dbm": 10}),
        networks={"North": {"radio": {"licence": {"eirp_dbm": 20}}}},
        planned=[{"radio_power": 15}, {"network": "South", "tag": "S", "radio_power": 15}],
    )

    assert [finding.node for finding in findings] == ["S"]


def test_an_excess_that_is_planned_is_reported_once(tmp_path: Path) -> None:
    """A fault of the plan is not reported again for devices that are set as planned."""
    planned = {"radio_power": 40}

    findings = audit_of(
        tmp_path, rules="radiated-power-excess", plan=radio(band="us-902-928-digital"),
        planned=planned, found=planned,
    )  # fmt: skip

    assert [finding.id.endswith("/planned") for finding in findings] == [True]


def test_an_assumption_that_no_formula_takes_leaves_the_figure_out(tmp_path: Path) -> None:
    """A share of collisions of 100 % has no logarithm: the rule says so, and the run goes on."""
    rule = {"id": "own", "title": "An own rule", "level": "error", "why": "w", "remedy": "r", "source": "s",
            "applies_to": "network", "sides": ["planned"],
            "check": {"kind": "figure", "figure": "airtime",
                      "assume": {"collision_percent": 100}}}  # fmt: skip

    result = result_of(
        tmp_path, site_rules={"rules": [rule]}, planned={"report_interval": 60, "air_rate": "50"},
        plan={"radio": {"access": {"how": "at random"}}}, type_keys={"message": {"bits": 480}},
    )  # fmt: skip

    assert "own" in {one.rule for one in result.not_checked}


@pytest.mark.parametrize(
    ("plan", "limit", "words"),
    [
        (8, {"at_least": 50}, "minimum 50.0 years: 15.2 Ah"),
        (8, {"at_least": 5}, "minimum 8.0 years, the plan's service interval"),
        (5, {"at_most": 1}, "maximum 1.0 years: 15.2 Ah"),
    ],
    ids=["stricter than the plan", "looser than the plan", "the other way"],
)
def test_a_limit_of_a_site_rule_holds_as_well_as_the_plans(
    tmp_path: Path, plan: int, limit: dict[str, float], words: str
) -> None:
    """The stricter limit counts, and the message says whose it is."""
    rule = {
        "id": "own-life", "title": "T", "level": "warning", "why": "w", "remedy": "r", "source": "site",
        "sides": ["planned"], "check": {"kind": "figure", "figure": "battery-life", **limit},
    }  # fmt: skip
    (finding,) = audit_of(
        tmp_path, rules="own-life", type_keys=LIVES, plan={"service_interval_years": plan}, planned=SLOW,
        site_rules={"rules": [rule]},
    )  # fmt: skip
    assert words in finding.message


def test_a_rule_on_link_margins_needs_a_limit(tmp_path: Path) -> None:
    """Without one it would check nothing, and nobody would know."""
    rule = {
        "id": "own-margin", "title": "T", "level": "warning", "why": "w", "remedy": "r", "source": "site",
        "check": {"kind": "figure", "figure": "link-margin"},
    }  # fmt: skip
    with pytest.raises(InputProblems, match="gives link-margin a limit"):
        audit_of(tmp_path, planned=[{}], site_rules={"rules": [rule]})


def test_a_channel_that_the_plan_s_list_lacks_is_named_as_that(tmp_path: Path) -> None:
    """The list of channels is there: it was said to be missing."""
    channels = {"first": 1, "last": 26, "first_mhz": 868.0, "step_mhz": 0.1}
    result = result_of(
        tmp_path,
        plan=radio(band="eu-863-870", channels=channels),
        planned=[{"channel": 7}, {"channel": 30}],
        gateway={"channel": 7},
    )
    reasons = {one.rule: one.reason for one in result.not_checked}

    assert reasons["frequency-off-band"] == (
        "in part, for lack of a channel among those of the plan (1 to 26) on 1 (B)"
    )
