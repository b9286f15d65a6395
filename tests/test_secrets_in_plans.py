"""Access codes in plans, device types and mappings: never written anywhere either."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.exported_codes import (
    DIGITS,
    PLANS,
    WORD,
    Planned,
    codes_in,
    everything,
    in_a_node_table,
    in_memory,
    result_of,
    site_with_codes,
)
from tests.small_site import (
    ACCESS_CODE,
    GATEWAY,
    SETTINGS,
    SmallSite,
    as_csv,
    as_planned,
    as_xlsx,
    run,
    small_site,
)


def read_with_trivial_codes(site: SmallSite) -> None:
    """Make every device show a code that is a finding, so that its planned code might be reported with it."""
    codes = {tag: {"access_code": code} for tag, code in
             zip(("GW-1", "N-1", "N-2", "N-3"), ("1111", "2222", "3333", "4444"), strict=True)}  # fmt: skip
    site.read("found.csv", as_csv(as_planned(found=codes)))


@pytest.mark.parametrize("planned", PLANS)
def test_codes_of_a_plan_appear_nowhere(tmp_path: Path, planned: Planned) -> None:
    """No planned code appears in any output, even where the code found is itself a finding."""
    site = planned(tmp_path)
    read_with_trivial_codes(site)

    assert codes_in(everything(site)) == []


@pytest.mark.parametrize("planned", PLANS)
def test_codes_of_a_plan_alone_appear_nowhere(tmp_path: Path, planned: Planned) -> None:
    """No planned code appears in the outputs of a check of the plan alone."""
    site = planned(tmp_path)
    site.readbacks.clear()

    assert codes_in(everything(site)) == []


@pytest.mark.parametrize("planned", PLANS)
def test_codes_of_a_plan_are_not_printed(tmp_path: Path, planned: Planned) -> None:
    """The objects of a run are printed without the planned codes, so that no log can hold them."""
    site = planned(tmp_path)
    read_with_trivial_codes(site)

    assert codes_in(in_memory(site)) == []


def test_a_workbook_with_codes_that_is_read_again_has_no_digest(tmp_path: Path) -> None:
    """Each network names it with a sheet of its own; the digest came back with a sheet without codes."""
    rows: dict[str, Any] = {
        "A": [("tag", "serial", "access_code"), ("N-1", "100001", WORD)],
        "B": [("tag",), ("N-9",)],
    }
    tables = {
        sheet: {"node_tables": [{"file": "nodes.xlsx", "mapping": f"{sheet}.yaml"}], "node_type": "node"}
        for sheet in rows
    }
    networks: list[dict[str, Any]] = [
        {"name": sheet, "gateway": {**GATEWAY, "tag": f"GW-{sheet}", "serial": sheet}, **one}
        for sheet, one in tables.items()
    ]
    site = site_with_codes(tmp_path, plan_extra={"networks": networks})
    site.write("nodes.xlsx", as_xlsx(rows))
    for sheet in rows:
        site.write(f"{sheet}.yaml", {"asfound": "mapping/1", "mappings": [{"sheet": sheet}]})
    site.readbacks.clear()

    _, digests = result_of(site)

    assert digests["nodes.xlsx"] is None
    assert digests["B.yaml"] is not None


@pytest.mark.parametrize("planned", PLANS)
def test_a_plan_with_codes_is_a_finding_without_a_digest(tmp_path: Path, planned: Planned) -> None:
    """A file of the plan that carries codes is a finding, and its digest is withheld."""
    site = planned(tmp_path)
    site.read("found.csv", as_csv(as_planned()))

    rules, digests = result_of(site)

    assert "code-in-clear" in rules
    assert digests["nodes.csv" if planned is in_a_node_table else "plan.yaml"] is None


@pytest.mark.parametrize("planned", PLANS)
def test_no_patch_holds_codes(tmp_path: Path, planned: Planned) -> None:
    """A patch shows whole lines of the plan's files: where these hold codes, changes are made by hand."""
    site = planned(tmp_path)
    if planned is in_a_node_table:
        site.replace("100002,12", "100002,11", "nodes.csv")
    else:
        site.replace("address: 12", "address: 11")
    site.replace("node_type: node", "node_type: node\n  addresses: {first: 11, last: 19}")
    patch = tmp_path / "addresses.diff"
    outcome = run("plan", site.plan, "--suggest", "addresses", "--out", patch)

    assert "make by hand: N-2: address 11 → " in outcome.stderr
    assert codes_in(outcome.written + patch.read_text(encoding="utf-8")) == []


def test_a_factory_code_appears_nowhere(tmp_path: Path) -> None:
    """The factory code of a device type does not appear in any output where a device still has it."""
    site = site_with_codes(tmp_path, found={"N-1": {"access_code": WORD}})
    site.replace("default: '1234'", f"default: {WORD}", "node.yaml")

    assert "default-code-accepted" in site.rules_found()
    assert codes_in(everything(site)) == []
    assert codes_in(in_memory(site)) == []


def test_a_factory_code_in_the_texts_of_a_device_type_appears_nowhere(tmp_path: Path) -> None:
    """The device type says how to get to a setting, with the code."""
    way = {"title": f"Node, code {WORD}"}
    channel = {**SETTINGS[0], "label": f"CH {WORD}", "where": f"CODE {WORD} > CH"}
    settings = [channel, *SETTINGS[1:], {**ACCESS_CODE, "default": WORD}]
    site = small_site(tmp_path, settings=settings, found={"N-2": {"channel": "8"}})
    site.write("node.yaml", {"asfound": "device-type/1", "name": "node", "settings": settings, **way})
    out = [tmp_path / name for name in ("s.csv", "s.html", "w.html")]
    run("sheet", site.plan, "--out", out[0], "--out", out[1])
    run("worklist", site.plan, *site.readbacks, "--out", out[2])

    assert codes_in(everything(site)) == []
    assert [codes_in(path.read_text(encoding="utf-8")) for path in out] == [[], [], []]


# Codes in a mapping


@pytest.mark.parametrize(
    "keys",
    [
        {"constants": {"access_code": WORD}},
        {"constants": {"CODE": int(DIGITS)}},
        {"values": {"access_code": {"changed": WORD, "old": DIGITS}}},
    ],
    ids=["constant", "number as constant", "translation"],
)
def test_codes_of_a_mapping_appear_nowhere(tmp_path: Path, keys: dict[str, Any]) -> None:
    """A mapping that carries codes is treated like an export that does."""
    site = site_with_codes(tmp_path, found={"N-1": {"address": "11"}})
    mapping = site.mapping(**keys)

    assert codes_in(everything(site, "--mapping", mapping)) == []
    assert codes_in(in_memory(site, mapping)) == []
    rules, digests = result_of(site, "--mapping", mapping)
    assert digests["mapping.yaml"] is None
    assert "code-in-clear" in rules
