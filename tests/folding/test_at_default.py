"""Folding of devices that were never set."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes
from tests.site_builder import SETTINGS

RADIO = {"channel": 7, "air_rate": "50", "network_id": "2A07"}
FACTORY = {"channel": 1, "air_rate": "9.6", "network_id": "0000"}
"""The defaults of the test site's device types."""


def test_a_node_that_nobody_has_set_is_one_cause(tmp_path: Path) -> None:
    """Radio, address and access code are the factory's: the one thing to do is to set it up."""
    (cause,) = causes(
        tmp_path, gateway=RADIO, planned=RADIO | {"address": 12},
        found=FACTORY | {"address": 247, "default_refused": "no"},
        settings={"default_refused": {"kind": "option", "options": ["yes", "no", "not tried"]}},
    )  # fmt: skip

    assert (cause.rule, cause.node) == ("never-set", "A")
    assert cause.message.startswith(
        "4 of the 4 settings planned to differ from the factory default are at that default"
    )
    rules = {name.split("/")[0] for name in cause.dependents}
    assert rules == {"channel-differs", "air-rate-differs", "network-id-differs", "address-differs",
                     "address-left-default", "default-code-accepted"}  # fmt: skip


def test_a_gateway_that_was_reset_is_one_cause_with_its_nodes(tmp_path: Path) -> None:
    """The nodes are as planned, and orphaned."""
    (cause,) = causes(tmp_path, gateway=RADIO, gateway_found=FACTORY, planned=RADIO, found=RADIO)

    assert (cause.rule, cause.node, len(cause.dependents)) == ("never-set", "GW-North", 6)


def test_what_else_is_wrong_stays_a_cause_of_its_own(tmp_path: Path) -> None:
    """A device at its defaults that also has a wrong location note."""
    rules = {f.rule for f in causes(tmp_path, gateway=RADIO, planned=RADIO | {"report_interval": 60},
                                    found=FACTORY | {"report_interval": 61})}  # fmt: skip

    assert rules == {"never-set", "report-interval-differs"}


USED = {"report_interval": 30, "local_lock": "on", "service_port": "off"}
UNUSED = {"report_interval": 60, "local_lock": "off", "service_port": "on"}
WITH_DEFAULTS: dict[str, Any] = {
    "report_interval": SETTINGS["report_interval"] | {"default": 60},
    "local_lock": SETTINGS["local_lock"] | {"default": False},
    "service_port": SETTINGS["service_port"] | {"default": True},
}


def test_a_node_that_was_joined_and_not_set_is_one_cause(tmp_path: Path) -> None:
    """Radio and address had to be set for it to be heard at all; the rest is the factory's."""
    (cause,) = causes(tmp_path, gateway=RADIO, planned=RADIO | USED | {"address": 12},
                      found=RADIO | UNUSED | {"address": 12}, settings=WITH_DEFAULTS)  # fmt: skip

    assert cause.rule == "never-set"
    assert cause.message == (
        "apart from radio and address, 3 of the 3 settings planned to differ from the factory default are "
        "at that default: it was joined, and nothing else was set"
    )


def test_alarms_without_a_default_that_are_as_planned_were_set(tmp_path: Path) -> None:
    """Nobody can say that nothing else was set, where somebody has keyed in both alarms."""
    alarms = {"alarm_low": 280, "alarm_high": 780}

    found = causes(tmp_path, gateway=RADIO, planned=RADIO | USED | alarms | {"address": 12},
                   found=RADIO | UNUSED | alarms | {"address": 12}, settings=WITH_DEFAULTS)  # fmt: skip

    assert not [one for one in found if "nothing else was set" in one.message]


def test_a_spare_that_was_not_set_up_is_one_cause_with_its_serial_number(tmp_path: Path) -> None:
    """Two settings at the default are enough if it is another unit."""
    site: dict[str, Any] = {"gateway": RADIO, "settings": WITH_DEFAULTS}
    planned = RADIO | USED | {"address": 12, "serial": "S1", "alarm_high": 780}
    found = planned | {"serial": "S9", "local_lock": "off", "service_port": "on"}
    (cause,) = causes(tmp_path, **site, planned=planned, found=found)

    assert cause.message == (
        "local_lock, service_port are at the factory default; serial S9 is not in the plan: "
        "perhaps a spare that was not set up"
    )
    assert "tag-serial-mismatch/North/A" in cause.dependents
    assert len(causes(tmp_path, **site, planned=planned, found=found | {"serial": "S1"})) == 2


def test_a_device_that_was_set_but_for_two_settings_is_no_spare(tmp_path: Path) -> None:
    """Its alarms and range are set: two settings were forgotten, and the serial number is mistyped."""
    planned = RADIO | USED | {"address": 12, "serial": "410033", "alarm_low": 280, "alarm_high": 780}
    found = planned | {"serial": "410303", "local_lock": "off", "service_port": "on"}

    rules = {
        f.rule for f in causes(tmp_path, gateway=RADIO, settings=WITH_DEFAULTS, planned=planned, found=found)
    }

    assert rules == {"tag-serial-mismatch", "local-config-unlocked", "service-port-on"}


def test_a_joined_node_of_which_a_third_was_set_is_one_cause(tmp_path: Path) -> None:
    """Radio and address are all set, and so are two alarms among the other six settings."""
    more: dict[str, Any] = {"loss_action": SETTINGS["loss_action"] | {"default": "hold"}}
    alarms = {"alarm_low": 280, "alarm_high": 780}
    (cause,) = causes(tmp_path, gateway=RADIO, settings=WITH_DEFAULTS | more,
                      planned=RADIO | USED | alarms | {"address": 12, "loss_action": "low"},
                      found=RADIO | UNUSED | alarms | {"address": 12, "loss_action": "hold"})  # fmt: skip

    assert cause.message.startswith("apart from radio and address, 4 of the 6 settings")
    assert cause.message.endswith("it was joined, and not much else was set")


SITE: dict[str, Any] = {"gateway": RADIO, "planned": RADIO | {"address": 12}}
FIRES: list[Fires] = [
    fires("never-set", "three of four settings", "channel", "air_rate", "network_id", node="A", **SITE,
          found=FACTORY | {"address": 12}, says="3 of the 4 settings"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("never-set", "two settings", **SITE, found=RADIO | {"channel": 1, "address": 247}),
    silent("never-set", "three settings of another value", **SITE,
           found={"channel": 2, "air_rate": "100", "network_id": "1111", "address": 12}),
    silent("never-set", "three of five settings", gateway=RADIO,
           planned=RADIO | {"address": 12, "report_interval": 60},
           settings={"report_interval": SETTINGS["report_interval"] | {"default": 300}},
           found=FACTORY | {"address": 12, "report_interval": 60}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
