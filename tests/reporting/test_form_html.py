"""The offline form as a file: what it asks, what it holds, and what it must not hold."""

from __future__ import annotations

import base64
import hashlib
import re
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html as lxml_html

from audit.errors import InputProblems
from audit.model.plan import SiteInfo
from audit.reading import units
from audit.reporting.form_html import FAMILIES, other_units, render
from tests.bench.fleet import make
from tests.exported_codes import PLANS, Planned, codes_in
from tests.reporting.forms import data_of, devices_of, form_of, slips_of
from tests.reporting.hostile import FRAGMENTS
from tests.small_site import ACCESS_CODE, RADIO, SETTINGS, node, small_site
from tests.the_examples import EXAMPLES

FACTORY = "Qx5#wJ2"
"""A factory code that appears nowhere else."""
DEMO = EXAMPLES / "merrow-vale" / "plan.yaml"


# What is asked


def test_devices_stand_in_the_order_of_the_plan() -> None:
    """Each gateway comes before its nodes, and nodes of several types are ordered as in the plan."""
    tags = list(devices_of(form_of(DEMO)))

    assert tags[:3] == ["GW-U", "PT-31", "PT-32"]
    assert tags[-4:] == ["PT-86", "PT-87", "FQ-88", "AT-89"]


def test_settings_stand_in_display_order_and_the_factory_code_last() -> None:
    """The order is that of the device type; trying the factory code comes when all else has been read."""
    names = [setting["name"] for setting in devices_of(form_of(DEMO))["FQ-88"]["settings"]]

    assert names == [
        "channel", "air_rate", "network_id", "address", "report_interval", "encryption", "loss_action",
        "menu_lock", "service_port", "firmware", "pulse_weight", "default_refused",
    ]  # fmt: skip


def test_a_setting_is_told_as_the_device_shows_it() -> None:
    """Label, place, unit, limits, width and kind of the keyboard come from the device type."""
    settings = {one["name"]: one for one in devices_of(form_of(DEMO))["PT-31"]["settings"]}

    assert settings["channel"] == {
        "name": "channel", "label": "CH", "kind": "integer", "at": "display", "where": "RADIO > CH",
        "low": "1", "high": "40", "digits": 2,
    }  # fmt: skip
    assert settings["air_rate"]["options"] == ["4.8", "9.6", "38.4", "50", "100"]
    assert settings["range_high"]["step"] == "1"
    assert settings["range_high"]["units"] == ["MPa", "bar", "mbar", "psi"]
    assert settings["firmware"]["optional"]
    assert settings["default_refused"]["code"]


def test_a_device_type_without_a_title_is_called_by_its_name(tmp_path: Path) -> None:
    """The heading over a device is never blank."""
    assert devices_of(form_of(small_site(tmp_path).folder / "plan.yaml"))["N-1"]["title"] == "node"


def test_what_is_read_elsewhere_is_not_asked_at_a_node(tmp_path: Path) -> None:
    """The gateway's list, the host and documents are not at hand; at a gateway its own list is."""
    elsewhere = [{"name": f"x{n}", "kind": "text", "read_at": place}
                 for n, place in enumerate(("label", "gateway", "host", "document"))]  # fmt: skip
    site = small_site(tmp_path, settings=(*SETTINGS, *elsewhere), gateway_settings=(*RADIO, *elsewhere))
    devices = devices_of(form_of(site.plan))

    def others(tag: str) -> list[str]:
        return [one["name"] for one in devices[tag]["settings"] if one["name"].startswith("x")]

    assert others("N-1") == ["x0"]
    assert others("GW-1") == ["x0", "x1"]


def test_a_device_says_what_has_to_be_read_elsewhere(tmp_path: Path) -> None:
    """Planned and required settings: what is read at the device is not all that has to be read."""
    there = {"name": "antenna", "kind": "decimal", "step": 0.1, "read_at": "document"}
    others = [there | {"name": "spare", "required": False}, there | {"name": "unplanned"}]
    site = small_site(tmp_path, settings=(*SETTINGS, there, *others), defaults={"antenna": 2, "spare": 2})
    elsewhere = {tag: device["elsewhere"] for tag, device in devices_of(form_of(site.plan)).items()}

    assert elsewhere["N-1"] == ["antenna (in a document)"]
    assert elsewhere["GW-1"] == []


def test_what_is_expected_is_what_the_plan_gives() -> None:
    """Inherited and shared values are expected as well; what is not planned is not."""
    expected = devices_of(form_of(DEMO))["AT-89"]["expected"]

    assert expected["channel"] == "34", "the gateway's"
    assert expected["report_interval"] == "300", "the site's"
    assert expected["encryption"] == "on"
    assert expected["low_alarm"] == "0.2", "0.20 in the plan"
    assert "firmware" not in expected


def test_slips_are_told_by_the_value_that_shows_them() -> None:
    """The words are those of the ranking, for the values that the slips would make of the plan."""
    slips = devices_of(form_of(DEMO))["PT-31"]["slips"]

    assert "one step off" in slips["channel"]["8"]
    assert "gauge and absolute" in slips["low_alarm"]["379"], "280 kPa and 101 kPa of air, give or take 3"
    assert "7" not in slips["channel"], "the planned value is no slip"


def test_only_the_networks_named_are_in_the_form() -> None:
    """A form for one network knows nothing of the others."""
    page = form_of(DEMO, "Lower")

    assert data_of(page)["networks"] == ["Lower"]
    assert len(devices_of(page)) == 10
    assert "PT-31" not in page


def test_an_unknown_network_is_a_problem() -> None:
    """The nearest names are given."""
    with pytest.raises(InputProblems, match=r"unknown network 'Uper'\n    fix: nearest: Upper"):
        form_of(DEMO, "Uper")


def test_a_tag_that_stands_twice_in_a_network_is_a_problem(tmp_path: Path) -> None:
    """Entries name a device by network and tag; two of one name could not be told apart."""
    site = small_site(tmp_path, nodes=[node(1), {**node(2), "tag": "N-1"}])

    with pytest.raises(InputProblems, match=r"plan.yaml:\d+:\d+: the tag 'N-1' occurs twice"):
        form_of(site.plan)


# Access codes


@pytest.mark.parametrize("planned", PLANS)
def test_no_planned_code_is_in_the_file(tmp_path: Path, planned: Planned) -> None:
    """Wherever the plan gives an access code, the form holds neither the code nor a setting for it."""
    page = form_of(planned(tmp_path).plan)

    assert codes_in(page) == []
    assert all(setting["name"] != "access_code" for setting in data_of(page)["settings"])


def test_no_factory_code_is_in_the_file(tmp_path: Path) -> None:
    """Neither as a default, nor where somebody has written it next to the place to look."""
    code = {**ACCESS_CODE, "default": FACTORY}
    told = {"name": "default_refused", "kind": "option", "role": "default_refused", "options": ["yes", "no"],
            "where": f"type {FACTORY} at SETUP", "label": f"try {FACTORY}"}  # fmt: skip
    site = small_site(tmp_path, settings=(*SETTINGS, code, told), gateway_settings=(*RADIO, code))
    site.replace("name: node", f"name: node\ntitle: Node, code {FACTORY}", "node.yaml")
    page = form_of(site.plan)

    assert FACTORY not in page
    assert "type (not shown) at SETUP" in page


# One file, and nothing else


def test_the_page_allows_its_own_style_and_script_and_nothing_else() -> None:
    """The policy names the digests of what is in the page, and no outside source."""
    page = form_of(DEMO)
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    assert policy

    for tag, part in (("style", "style"), ("script", "script")):
        text = re.search(rf"<{tag}>(.*?)</{part}>", page, re.DOTALL)
        assert text
        digest = base64.b64encode(hashlib.sha256(text[1].encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy[1]
    assert policy[1].startswith("default-src 'none'")
    assert "http" not in policy[1]


def test_the_page_names_no_other_file() -> None:
    """No source, no link and no address that a browser would fetch."""
    root = lxml_html.document_fromstring(form_of(DEMO))
    references = [value for _, _, value, _ in root.iterlinks()]

    assert set(references) <= {"data:,", "#/", "#/export"}


def test_the_same_plan_gives_the_same_bytes(tmp_path: Path) -> None:
    """And another plan another digest, so that entries of the two do not mix."""
    site = small_site(tmp_path)
    page = form_of(site.plan)
    assert form_of(site.plan) == page

    site.replace("channel: 7", "channel: 8")
    assert data_of(form_of(site.plan))["digest"] != data_of(page)["digest"]


def test_hundreds_of_nodes_of_thirty_settings_stay_small(tmp_path: Path) -> None:
    """Tables that several nodes share are stored once."""
    fleet = make(tmp_path, 300, 15)

    assert len(form_of(fleet.folder / "plan.yaml").encode()) < 900_000


# Hostile text


TAGS = ("</script><script>alert(1)</script>", "<!--<script>")
WHOLE = [one for one in FRAGMENTS if not "\ud800" <= one <= "\udfff"]
"""The fragments that are whole characters; a plan holds no others."""


@pytest.mark.parametrize("fragment", [*WHOLE, *TAGS], ids=ascii)
def test_hostile_text_adds_no_element_and_is_kept(fragment: str) -> None:
    """Whatever a plan calls its site and devices, the page has one shape, and the text is kept."""
    page = _renamed(f"X{fragment}")

    assert _shape(page) == _ordinary_shape()
    data = data_of(page)
    assert data["site"] == f"X{fragment}"
    assert data["networks"] == [f"X{fragment}"]


@given(st.text(max_size=20))
def test_any_text_comes_out_of_the_data_as_it_went_in(text: str) -> None:
    """The data in the script are plain ASCII without tags, and mean the same."""
    page = render(SiteInfo(name="X" + text), [], lambda _device, _setting: {})

    assert data_of(page)["site"] == "X" + text


@cache
def _ordinary_shape() -> list[Any]:
    """Return the shape of a form in which no text is hostile."""
    return _shape(_renamed("X"))


def _renamed(text: str) -> str:
    """Return a small form in which the text is the name of the site and of its network."""
    from audit.asking import asked_devices
    from audit.reading.inputs import Inputs
    from audit.reading.plan import read_plan

    loaded = read_plan(DEMO, Inputs())
    device = asked_devices(loaded, ["Lower"])[0]
    object.__setattr__(device.block, "networks", [text] * len(device.block))
    return render(SiteInfo(name=text, revision=text), [device], lambda _device, _setting: {})


def _shape(page: str) -> list[Any]:
    root = lxml_html.document_fromstring(page)
    return [(part.tag, sorted(part.keys())) for part in root.iter() if isinstance(part.tag, str)]


# Units


@pytest.mark.parametrize("unit", [unit for family in FAMILIES for unit in family])
def test_every_unit_offered_can_be_converted(unit: str) -> None:
    """What the form lets a person choose, the check can convert, by the units library."""
    for other in other_units(unit):
        assert units.convert(Decimal(1), other, unit) is not None, other


def test_the_pressure_reference_is_kept() -> None:
    """A gauge range is read in another unit of gauge pressure, never in absolute pressure."""
    assert other_units("kPa g") == ["MPa g", "bar g", "mbar g", "psi g"]
    assert other_units("kPa abs")[0] == "MPa abs"
    assert other_units("NTU") == []


def test_tables_of_slips_are_shared() -> None:
    """Devices with the same plan point to the same table."""
    data = data_of(form_of(DEMO))
    tables = [tuple(map(str, table)) for table in data["tables"]]

    assert len(set(tables)) == len(tables)
    assert len(data["expected"]) < len(data["devices"]) * 4
    assert all(slips_of(data, n) for n, table in enumerate(data["tables"]) if table)
