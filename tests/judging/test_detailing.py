"""Detailing: every device with the state of its settings, and where it is."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from audit.model.detail import DeviceDetail
from audit.run import Order, run
from audit.run import run as check
from tests.site_builder import SiteOf
from tests.small_site import GATEWAY, NODES, small_site


def devices(folder: Path, **site: Any) -> dict[str, DeviceDetail]:
    """Return the devices of a site by tag."""
    order = SiteOf(**site).write(folder)
    result = run(Order(order.plan, order.readback, run_on="2026-03-31", detail=True))
    assert result.devices is not None
    return {device.tag: device for device in result.devices}


def test_a_device_has_its_settings_with_their_states(tmp_path: Path) -> None:
    """As planned, differing, not read, unclear, and read although nothing was planned."""
    planned = {"channel": 7, "alarm_low": 10, "alarm_high": 80, "range_high": 100}
    found = {"channel": 7, "alarm_high": 70, "range_high": "1x0", "firmware": "1.0"}
    node = devices(tmp_path, planned=planned, found=found)["A"]

    assert {setting.name: setting.state for setting in node.settings} == {
        "channel": "as planned",
        "alarm_low": "not read",
        "alarm_high": "differs",
        "range_high": "unclear",
        "firmware": "not planned",
    }
    high = next(setting for setting in node.settings if setting.name == "alarm_high")
    assert (high.planned_number, high.found_number) == (80, 70)


def test_a_device_differs_by_its_settings(tmp_path: Path) -> None:
    """A device with another value differs, one without is as planned, one without a reading is not read."""
    planned = [{"tag": tag, "channel": 7} for tag in "ABC"]
    found = [{"tag": "A", "channel": 8, "default_refused": "yes"},
             {"tag": "B", "channel": 7, "default_refused": "yes"}]  # fmt: skip
    by_tag = devices(tmp_path, planned=planned, found=found, gateway={"channel": 7},
                     gateway_found={"channel": 7, "default_refused": "yes"})  # fmt: skip

    assert {tag: by_tag[tag].state for tag in "ABC"} == {"A": "differs", "B": "as planned", "C": "not read"}


NOT_TRIED = {"default_refused": "not tried"}
WAIVED = {"id": "W-1", "rule": "local-config-unlocked", "node": "A", "setting": "local_lock", "value": "off",
          "reason": "Lock is broken.", "owner": "R. Sample", "approver": "I. Placeholder",
          "issued": "2026-03-01", "expires": "2026-04-05"}  # fmt: skip


@pytest.mark.parametrize(
    ("found", "waivers", "state"),
    [
        ({"local_lock": "on", "alarm_high": 80}, [], "as planned"),
        ({"local_lock": "off", "alarm_high": 80}, [], "differs"),
        ({"local_lock": "off", "alarm_high": 80}, [WAIVED], "waived"),
        ({"local_lock": "off", "alarm_high": 70}, [WAIVED], "differs"),
        ({"local_lock": "off", "alarm_high": ""}, [WAIVED], "partly read"),
        ({"local_lock": "on", "alarm_high": ""}, [], "partly read"),
        ({"local_lock": "on", "alarm_high": "8x"}, [], "partly read"),
        ({"local_lock": "off", "alarm_high": ""}, [], "differs"),
        ({"local_lock": "on", "alarm_high": 80, **NOT_TRIED}, [], "with a finding"),
        ({"local_lock": "on", "alarm_high": 80, "default_refused": ""}, [], "partly read"),
    ],
)
def test_a_difference_comes_before_a_blank_and_a_waiver(
    found: dict[str, Any], waivers: list[dict[str, str]], state: str, tmp_path: Path
) -> None:
    """Only a device without any difference, blank or waiver is called as planned."""
    site = SiteOf(planned={"local_lock": "on", "alarm_high": 80}, found={"default_refused": "yes", **found})
    order = site.write(tmp_path)
    if waivers:
        path = tmp_path / "waivers.yaml"
        path.write_text(json.dumps({"asfound": "waivers/1", "waivers": waivers}), encoding="utf-8")
        order = replace(order, waivers=[path])
    devices = check(replace(order, run_on="2026-03-31", detail=True)).devices or ()

    assert [device.state for device in devices if device.tag == "A"] == [state]


def test_what_devices_share_tells_against_each_of_them_that_is_not_as_planned(tmp_path: Path) -> None:
    """A shared code counts against both devices; a taken address only against the node that took it."""
    planned = [{"tag": tag, "address": n} for n, tag in enumerate("ABCD", 1)]
    codes = {"A": "739152", "B": "739152", "C": "285013", "D": "640817"}
    found = [{**node, "access_code": codes[str(node["tag"])], "default_refused": "yes"} for node in planned]
    found[3]["address"] = 3
    by_tag = devices(tmp_path, planned=planned, found=found)

    states = {tag: by_tag[tag].state for tag in "ABCD"}
    assert states == {"A": "with a finding", "B": "with a finding", "C": "as planned", "D": "differs"}


def test_nodes_on_both_sides_of_the_180th_meridian_stand_side_by_side(tmp_path: Path) -> None:
    """East of a gateway at 179.9995° a node at -179.9995° is 111 m away, not once round the earth."""
    here = {"position": {"latitude": 0.0, "longitude": 179.9995}}
    node = devices(tmp_path, planned={"latitude": 0, "longitude": -179.9995}, gateway=here)["A"]

    assert (node.east_m, node.north_m) == (111.2, 0)


def test_an_access_code_has_no_number_and_no_text(tmp_path: Path) -> None:
    """Even a list of every setting shows no code."""
    node = devices(tmp_path, planned={"channel": 7}, found={"channel": 7, "access_code": "739152"})["A"]

    assert "739152" not in node.model_dump_json()


def test_the_result_lists_devices_only_where_asked(tmp_path: Path) -> None:
    """Most results do not need the devices, and they are long."""
    order = SiteOf(planned={"channel": 7}, found={"channel": 7}).write(tmp_path)

    assert run(Order(order.plan, order.readback)).devices is None


@pytest.mark.parametrize(
    ("gateway", "node", "east", "north"),
    [
        ({"x_m": 100, "y_m": 50}, {"x_m": 130, "y_m": 10}, 30, -40),
        ({"latitude": 0, "longitude": 10}, {"latitude": 0, "longitude": 10.001}, 111.2, 0),
        ({"latitude": 60, "longitude": 10}, {"latitude": 60, "longitude": 10.001}, 55.6, 0),
        ({"latitude": 60, "longitude": 10}, {"latitude": 60.001, "longitude": 10}, 0, 111.2),
        ({"x_m": 1, "y_m": 1}, {"latitude": 60, "longitude": 10}, None, None),
        ({}, {"x_m": 1, "y_m": 1}, None, None),
    ],
)
def test_positions_are_metres_from_the_gateway(
    gateway: dict[str, float], node: dict[str, float], east: float | None, north: float | None, tmp_path: Path
) -> None:
    """On the site's own grid by subtraction; on the earth a thousandth of a degree is 111.2 m or less.

    Source: mean radius 6371 km, so a degree of latitude is 6371 km x pi / 180 = 111.19 km, and one of
    longitude is that times the cosine of the latitude. Common practice, no source.
    """
    site = small_site(
        tmp_path, gateway={**GATEWAY, "position": gateway}, nodes=[{**NODES[0], "position": node}, *NODES[1:]]
    )
    result = run(Order(site.plan, site.readbacks, run_on="2026-03-31", detail=True))
    first = next(d for d in result.devices or () if d.tag == NODES[0]["tag"])

    assert (first.east_m, first.north_m) == (
        pytest.approx(east, abs=0.05) if east is not None else None,
        pytest.approx(north, abs=0.05) if north is not None else None,
    )


def test_metres_are_told_without_a_tail(tmp_path: Path) -> None:
    """Where the plan gives tenths of a metre, the difference is in tenths."""
    gateway = {"position": {"x_m": 100.1, "y_m": 1.1}}
    order = SiteOf(planned={"x_m": 100.3, "y_m": 2.2}, networks={"North": {"gateway": gateway}}).write(
        tmp_path
    )

    devices = check(replace(order, detail=True)).devices

    assert devices is not None
    assert (devices[1].east_m, devices[1].north_m) == (0.2, 1.1)
    assert Decimal(str(devices[1].east_m)) == Decimal("0.2")
