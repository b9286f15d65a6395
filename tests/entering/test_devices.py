"""What there is to read: devices in the plan's order, and no access code among their settings."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.entering.asking import device_lines
from audit.entering.devices import ToRead, to_read
from audit.entering.progress import Progress
from audit.entering.state import Work
from audit.errors import InputProblems
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from tests.entering.talks import without_settings
from tests.small_site import ACCESS_CODE, DEFAULT_REFUSED, SETTINGS, node, small_site
from tests.the_examples import EXAMPLES


def wanted(plan: Path) -> ToRead:
    """Return what a plan wants read."""
    return to_read(read_plan(plan, Inputs()))


@pytest.mark.parametrize("site", ["merrow-vale", "tarnbeck", "ostervik"])
def test_every_device_of_an_example_is_to_be_read(site: str) -> None:
    """Every gateway comes first in its network, and every device has its serial number first."""
    plan = read_plan(EXAMPLES / site / "plan.yaml", Inputs())
    all_of_it = to_read(plan)

    count = len(plan.gateways) + sum(len(group.types) for group in plan.nodes)
    assert len(all_of_it.devices) == count
    for network in all_of_it.networks():
        kinds = [device.type.device for device in all_of_it.of(network)]
        assert kinds[0] == "gateway"
        assert set(kinds[1:]) == {"node"}
    assert {device.steps[0].name for device in all_of_it.devices} == {"serial"}
    assert not {s.setting.kind for d in all_of_it.devices for s in d.steps} & {"secret"}


def test_planned_values_belong_to_their_device() -> None:
    """Nodes of several types in one network keep their own values, in any order."""
    lower = {device.tag: device for device in wanted(EXAMPLES / "merrow-vale/plan.yaml").of("Lower")}

    addresses = {
        tag: step.planned.content
        for tag, device in lower.items() for step in device.steps if step.name == "address"
    }  # fmt: skip
    assert addresses == {**{f"PT-{n}": n for n in range(81, 88)}, "FQ-88": 88, "AT-89": 89}


def test_a_tag_planned_twice_has_to_be_corrected_first(tmp_path: Path) -> None:
    """Entries of two nodes with one tag could not be told apart."""
    site = small_site(tmp_path, nodes=[node(1), node(1)])

    with pytest.raises(InputProblems, match="the tag 'N-1' occurs twice in network 'Main'") as raised:
        wanted(site.plan)

    assert [one.mend for one in raised.value.problems] == [
        "keep the right row, or give each its own tag; entries could not tell them apart"
    ]


def test_the_list_of_a_large_network_fits_the_terminal() -> None:
    """Thirty nodes are shown in columns that fit a terminal of 80 columns and 24 rows."""
    all_of_it = wanted(EXAMPLES / "ostervik/plan.yaml")

    for network in all_of_it.networks():
        lines = device_lines(Work(all_of_it), Progress(), network)
        assert max(map(len, lines)) < 80
        assert len(lines) < 20
        assert all(any(device.tag in line for line in lines) for device in all_of_it.of(network))


def test_the_factory_code_is_tried_when_all_else_at_the_device_is_read(tmp_path: Path) -> None:
    """Trying a code may lock the menu; what is read elsewhere comes after. Codes are never asked for."""
    host = {
        "name": "host_low",
        "kind": "decimal",
        "role": "host_low",
        "read_at": "host",
        "unit": "kPa",
        "step": 1,
    }
    site = small_site(tmp_path, settings=[DEFAULT_REFUSED, host, ACCESS_CODE, *SETTINGS])

    _, node_1, *_ = to_read(read_plan(site.plan, Inputs())).devices

    names = [setting["name"] for setting in SETTINGS]
    assert [step.name for step in node_1.steps] == ["serial", *names, "default_refused", "host_low"]


def test_the_devices_of_a_network_are_looked_up() -> None:
    """Blanks do not matter, and devices are gone through only once, however many networks there are."""
    devices = without_settings("North  1", "South")
    wanted = ToRead("S", "", devices)

    assert wanted.of("North 1") == [devices[0]]
    assert wanted.of("South") is wanted.of("South")
