"""The rules about access codes: what they say about exported codes, and where they are silent."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.small_site import (
    ACCESS_CODE,
    DEFAULT_REFUSED,
    DEFAULTS,
    RADIO,
    SETTINGS,
    SmallSite,
    as_xlsx,
    node,
    small_site,
)

GOOD = "8068"
"""A code that no rule has anything against."""


def shows(folder: Path, *codes: str, **parts: Any) -> SmallSite:
    """Return a site whose nodes N-1, N-2 … show these codes; the factory code is 1234."""
    found = {f"N-{n}": {"access_code": code} for n, code in enumerate(codes, 1)}
    return small_site(
        folder,
        settings=(*SETTINGS, ACCESS_CODE),
        gateway_settings=(*RADIO, ACCESS_CODE),
        found=found,
        **parts,
    )


def nodes_found(site: SmallSite, rule: str) -> list[str]:
    """Return the tags of the devices about which a rule found something."""
    return [finding["node"] for finding in site.result()["findings"] if finding["rule"] == rule]


# default-code-accepted


def test_a_factory_code_is_found_on_each_device_that_has_it(tmp_path: Path) -> None:
    """A device that shows its factory code is an error; the others are not."""
    site = shows(tmp_path, "1234", GOOD, "1234")

    assert nodes_found(site, "default-code-accepted") == ["N-1", "N-3"]
    assert site.check().code == 1


@pytest.mark.parametrize("typed", [" 1234", "1234 "])
def test_blanks_around_a_code_are_no_part_of_it(tmp_path: Path, typed: str) -> None:
    """Cells are exported with stray blanks."""
    assert nodes_found(shows(tmp_path, typed), "default-code-accepted") == ["N-1"]


@pytest.mark.parametrize("default", ["0000", "0147", "'0147'", "1e3", "0x10", "00"])
def test_a_factory_code_is_taken_as_it_is_typed(tmp_path: Path, default: str) -> None:
    """`default: 0000` without quotes is the code 0000, not the number 0."""
    site = shows(tmp_path, default.strip("'"))
    site.replace("default: '1234'", f"default: {default}", "node.yaml")

    assert nodes_found(site, "default-code-accepted") == ["N-1"]


def test_a_workbook_that_lost_the_zeros_of_a_code(tmp_path: Path) -> None:
    """A code of four digits that a spreadsheet keeps as the number 147 is the factory code 0147."""
    site = shows(tmp_path)
    site.replace("default: '1234'", "default: '0147', digits: 4", "node.yaml")
    site.read("found.xlsx", as_xlsx({"Export": [("tag", "access_code"), ("N-1", 147), ("N-2", 8068)]}))

    assert nodes_found(site, "default-code-accepted") == ["N-1"]


def test_a_code_of_another_device_type_is_no_factory_code(tmp_path: Path) -> None:
    """Each device type has a factory code of its own."""
    site = shows(tmp_path, "5521")
    site.replace("default: '1234'", "default: '5521'", "gateway.yaml")

    assert nodes_found(site, "default-code-accepted") == []


@pytest.mark.parametrize(
    ("witness", "rules"),
    [
        ("no", ["default-code-accepted"]),
        ("yes", []),
        ("not tried", ["default-code-not-tried"]),
        ("", ["default-code-not-tried"]),
    ],
)
def test_what_was_tried_at_the_device(tmp_path: Path, witness: str, rules: list[str]) -> None:
    """Without the code itself, what counts is whether the factory code was refused when tried."""
    tried = {f"N-{n}": {"default_refused": "yes"} for n in (1, 2, 3)} | {"N-2": {"default_refused": witness}}
    site = small_site(tmp_path, settings=(*SETTINGS, DEFAULT_REFUSED), found=tried)

    assert site.rules_found() == rules


def test_an_exported_code_is_reported_once(tmp_path: Path) -> None:
    """A device that shows the factory code, and accepted it when tried, is one finding."""
    both = {"access_code": "1234", "default_refused": "no"}
    refused = {"access_code": "", "default_refused": "yes"}
    site = small_site(tmp_path, settings=(*SETTINGS, ACCESS_CODE, DEFAULT_REFUSED),
                      found={"N-1": both, "N-2": refused, "N-3": refused})  # fmt: skip

    assert nodes_found(site, "default-code-accepted") == ["N-1"]


def test_a_planned_factory_code(tmp_path: Path) -> None:
    """A plan that keeps the factory code is reported before anybody drives out."""
    site = shows(tmp_path, nodes=[node(1, access_code="1234"), node(2), node(3)])
    site.readbacks.clear()

    assert nodes_found(site, "default-code-accepted") == ["N-1"]


# code-trivial

TRIVIAL = [
    "1111",
    "0000",
    "4321",
    "2345",
    "9876",
    "7890",
    "1098",
    "1234567890",
    "1212",
    "1122",
    "1990",
    "2024",
    "777777",
    "aaaa",
    "abcd",
    "admin",
]
"""Repeated and sequential characters: NIST SP 800-53 Rev 5, discussion of IA-5(1). Words: common practice,
no source. Pairs and years: see tests/outside/test_pin_ranks.py."""


@pytest.mark.parametrize("code", TRIVIAL)
def test_codes_that_are_tried_first(tmp_path: Path, code: str) -> None:
    """A code that anybody would try first is found, in whatever case it is typed."""
    assert nodes_found(shows(tmp_path, code), "code-trivial") == ["N-1"]
    assert nodes_found(shows(tmp_path, code.upper()), "code-trivial") == ["N-1"]


@pytest.mark.parametrize("code", [GOOD, "Zq7!vK", "7302", "5296", "ab12cd"])
def test_other_codes_are_not_called_trivial(tmp_path: Path, code: str) -> None:
    """A code without such a pattern is left alone."""
    assert nodes_found(shows(tmp_path, code), "code-trivial") == []


# code-shared


def test_a_shared_code_is_one_finding(tmp_path: Path) -> None:
    """Devices with the same code are one finding, which names them all."""
    site = shows(tmp_path, GOOD, "7302", GOOD)

    (finding,) = [finding for finding in site.result()["findings"] if finding["rule"] == "code-shared"]

    assert (finding["node"], finding["others"]) == ("N-1", ["N-3"])
    assert "2 devices" in finding["message"]


@pytest.mark.parametrize(
    "codes", [(GOOD, "7302", "5296"), ("", "", ""), ("1234", "1234", "1234"), (GOOD, "", "")],
    ids=["all differ", "none read", "factory code", "one device"],
)  # fmt: skip
def test_nothing_is_shared(tmp_path: Path, codes: tuple[str, ...]) -> None:
    """Different codes are not shared, and neither are blanks; the factory code is left to another rule."""
    assert nodes_found(shows(tmp_path, *codes), "code-shared") == []


def test_a_node_and_its_gateway_share_a_code(tmp_path: Path) -> None:
    """Sharing is found across device types."""
    site = small_site(tmp_path, settings=(*SETTINGS, ACCESS_CODE), gateway_settings=(*RADIO, ACCESS_CODE),
                      found={"GW-1": {"access_code": GOOD}, "N-2": {"access_code": GOOD}})  # fmt: skip

    assert nodes_found(site, "code-shared") == ["GW-1"]


def test_two_readings_of_one_device_share_nothing(tmp_path: Path) -> None:
    """One device read twice still has a code of its own."""
    site = shows(tmp_path).read("found.csv", f"tag,access_code\nN-1,{GOOD}\nN-1,{GOOD}\n")

    assert nodes_found(site, "code-shared") == []


@pytest.mark.parametrize("where", ["network", "site"])
def test_a_planned_default_is_shared(tmp_path: Path, where: str) -> None:
    """One code planned for all nodes is shared, and is in clear in the plan."""
    parts: dict[str, Any] = {"plan_extra": {"defaults": {"access_code": GOOD}}}
    if where == "network":
        parts = {"defaults": {**DEFAULTS, "access_code": GOOD}}
    site = shows(tmp_path, **parts)
    site.readbacks.clear()

    assert site.rules_found() == ["code-shared", "code-in-clear"]


# code-in-clear


@pytest.mark.parametrize("mask", ["****", "••••••"])
def test_a_masked_code_is_none(mask: str, tmp_path: Path) -> None:
    """An export that masks its codes carries none, and the same mask is no code that devices share."""
    assert shows(tmp_path, mask, mask).rules_found() == []


def test_a_masked_code_in_the_plan_is_none(tmp_path: Path) -> None:
    """A plan made from such an export gives no code either, in a table as in a default."""
    site = shows(tmp_path, plan_extra={"defaults": {"access_code": "****"}})

    assert site.rules_found() == []


def test_each_file_with_codes_is_reported_once(tmp_path: Path) -> None:
    """A file with many codes is one finding, with their number and the place of the first."""
    site = shows(tmp_path, GOOD, "7302", "5296")

    (finding,) = [finding for finding in site.result()["findings"] if finding["rule"] == "code-in-clear"]

    (place,) = finding["evidence"]
    assert (Path(place["file"]).name, place["row"], place["raw"]) == ("found.csv", 3, None)
    assert "3 access codes in clear" in finding["message"]


def test_the_annual_gate_fails_on_codes(tmp_path: Path) -> None:
    """Codes in clear, shared and trivial are warnings at a handover and errors at the annual audit."""
    site = shows(tmp_path, GOOD, GOOD, "1111")

    handover, annual = site.result(), site.result("--gate", "annual")

    rules = {"code-in-clear", "code-shared", "code-trivial"}
    assert {finding["rule"] for finding in handover["findings"]} == rules
    assert {finding["level"] for finding in handover["findings"]} == {"warning"}
    assert {finding["level"] for finding in annual["findings"]} == {"error"}
    assert (handover["verdict"], annual["verdict"]) == ("pass", "fail")
