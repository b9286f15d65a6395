"""Cautions: each is where somebody or something can come to harm, at whatever device that is."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.model.roles import concerns_alarms
from audit.model.worklist import WorkList
from tests.site_builder import SETTINGS
from tests.worklist.sites import node, site, work_of

NO_ALARMS = {name: None for name in SETTINGS if concerns_alarms(name)}
GATEWAY = {"channel": 13, "default_refused": "yes"}


def work(folder: Path, found: dict[str, Any], duties: str = "", **more: Any) -> WorkList:
    """Return the work list of one node that was not found as planned."""
    as_planned = node(11, range_high=100, report_interval=30, service_port="off")
    return work_of(folder, **site([as_planned | {"duties": duties}], [as_planned | found], **more))


def beside(listed: WorkList, setting: str) -> str:
    """Return the cautions beside the step that changes a setting."""
    (step,) = [s for s in listed.steps if any(change.setting == setting for change in s.changes)]
    return "; ".join(step.cautions)


@pytest.mark.parametrize(("setting", "value"), [("address", 12), ("channel", 9), ("range_high", 50)])
def test_alarms_are_blind_while_address_radio_or_range_changes(
    tmp_path: Path, setting: str, value: int
) -> None:
    """The link is down, or the alarm means something else."""
    listed = work(tmp_path, {setting: value})

    assert "bypass with an end time" in beside(listed, setting)


@pytest.mark.parametrize(
    ("duties", "told"), [("safety", True), ("billing, Permit-Limit", True), ("billing", False), ("", False)]
)
def test_a_node_that_a_trip_hangs_on_needs_consent_though_it_has_no_alarm(
    tmp_path: Path, duties: str, *, told: bool
) -> None:
    """The host trips on its value, which is lost with the link, or means something else."""
    found = {"channel": 9, "report_interval": 60, "service_port": "on"}
    listed = work(tmp_path, found, duties, settings=NO_ALARMS)

    assert ("bypass" in beside(listed, "channel")) == told
    assert ("bypass" in beside(listed, "report_interval")) == told
    assert "bypass" not in beside(listed, "service_port")
    assert any("bypass" in text for text in listed.cautions) == told


def test_a_gateway_that_is_re_set_takes_the_link_from_all_its_nodes(tmp_path: Path) -> None:
    """Their outputs may move and their alarms are blind, though nobody goes to them."""
    kind = {"moves_outputs": True, "hazardous_area": True}
    listed = work(tmp_path, {}, gateway_found=GATEWAY | {"channel": 9}, type_keys=kind)

    assert "outputs may move" in beside(listed, "channel")
    assert "bypass" in beside(listed, "channel")
    assert "hazardous" not in beside(listed, "channel")
    told = " ".join(listed.cautions)
    assert "may move" in told
    assert "Alarms, trips" in told
    assert "Hazardous" not in told


def test_what_leaves_the_link_alone_at_a_gateway_moves_nothing(tmp_path: Path) -> None:
    """Closing its service port concerns no node."""
    as_planned = GATEWAY | {"service_port": "off"}
    parts = site([node(11)], [node(11)], type_keys={"moves_outputs": True})
    parts |= {"gateway": as_planned, "gateway_found": as_planned | {"service_port": "on"}}

    assert not beside(work_of(tmp_path, **parts), "service_port")


def test_who_goes_by_the_serial_number_is_told_where_it_is_another_one(tmp_path: Path) -> None:
    """The units of two places are swapped, each set for where it is: a step at one names its place."""
    planned = [node(11, report_interval=30), node(12, report_interval=30)]
    found = [node(11, serial="101", report_interval=60), node(12, serial="100", report_interval=30)]
    listed = work_of(tmp_path, **site(planned, found))

    warned = "serial 101 was read here, but 100 is planned: go by tag and place"
    (looking,) = (step for step in listed.steps if "Read both serial numbers off the labels" in step.do)
    assert warned in beside(listed, "report_interval")
    assert looking.cautions == []  # what it is about need not be told beside it


def test_a_device_with_another_tag_and_serial_number_is_made_sure_of_first(tmp_path: Path) -> None:
    """It was taken for the planned one by its address alone, so neither tag nor number leads to it."""
    found = node(11, tag="X", serial="999", network="North", report_interval=60)
    listed = work_of(tmp_path, **site([node(11, report_interval=30)], [found]))

    warned = "tag X, serial 999 were read here, but A, serial 100 are planned: make sure which device this is"
    assert warned in beside(listed, "report_interval")


def test_a_new_access_code_goes_to_the_device_that_was_read(tmp_path: Path) -> None:
    """Nothing is set there but the code; the number that the step names is that of the other unit."""
    found = [node(11, serial="101", default_refused="no"), node(12, serial="100")]
    listed = work_of(tmp_path, **site([node(11), node(12)], found))
    (step,) = [step for step in listed.steps if "access code" in step.do]

    assert (step.tag, step.serial) == ("A", "100")
    assert any("serial 101 was read here, but 100 is planned" in text for text in step.cautions)
