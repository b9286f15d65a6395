"""Folding of columns in which no device is right because of how a mapping or a heading reads them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from audit.model.result import Finding
from audit.run import Order, run
from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET, nodes
from tests.site_builder import SiteOf

RULE = "column-misread"
TURNED = {"ein": "off", "aus": "on"}


def causes(folder: Path, mapping: dict[str, Any], **site: Any) -> list[Finding]:
    """Return the findings without a cause of a site whose readback is read through a mapping."""
    order = SiteOf(**{**QUIET, **site}).write(folder)
    path = folder / "mapping.json"
    path.write_text(json.dumps({"asfound": "mapping/1", "mappings": [{"files": ["found.csv"], **mapping}]}))
    result = run(Order(order.plan, order.readback, mapping=path, run_on="2026-05-01"))
    return [finding for finding in result.findings if finding.caused_by is None]


def two_networks(**settings: Any) -> list[dict[str, Any]]:
    """Return four planned nodes, two in each network."""
    return [{**row, "network": name} for name, row in zip("ABAB", nodes(4, **settings), strict=True)]


def test_a_word_turned_round_for_a_whole_file_is_one_cause(tmp_path: Path) -> None:
    """Nobody drives out to lock what is locked: the file says 'ein' for every device."""
    (cause,) = causes(tmp_path, {"values": {"local_lock": TURNED}},
                      planned=two_networks(local_lock="on"), found=nodes(4, local_lock="ein"))  # fmt: skip

    assert (cause.rule, cause.network, len(cause.dependents)) == (RULE, None, 4)
    assert cause.message == (
        f"local_lock is wrong on 4 devices of {tmp_path}/found.csv, and right on none: "
        f"the mapping at {tmp_path}/mapping.json:1 takes 'ein' for off"
    )


def test_both_words_turned_round_are_one_cause(tmp_path: Path) -> None:
    """Some are planned on and some off, and each is found the other way round."""
    planned = nodes(4, local_lock=["on", "on", "off", "off"])
    found = nodes(4, local_lock=["ein", "ein", "aus", "aus"])

    (cause,) = causes(tmp_path, {"values": {"local_lock": TURNED}}, planned=planned, found=found)

    assert (cause.rule, len(cause.dependents)) == (RULE, 4)
    assert cause.message.endswith("takes 'aus' for on and 'ein' for off")


def test_a_factory_code_read_the_wrong_way_round_is_one_cause(tmp_path: Path) -> None:
    """Nothing is planned there, and every device in the file shows the word."""
    code = {"default_refused": {"kind": "option", "options": ["yes", "no"]}}

    found = causes(tmp_path, {"values": {"default_refused": {"ja": "no", "nein": "yes"}}}, settings=code,
                   planned=nodes(4), found=nodes(4, default_refused="ja"))  # fmt: skip

    assert [(cause.rule, len(cause.dependents)) for cause in found] == [(RULE, 4)]


def test_a_word_that_only_some_devices_show_is_theirs(tmp_path: Path) -> None:
    """The other devices' word is read as planned, so the mapping is right."""
    found = nodes(5, local_lock=["aus", "aus", "aus", "ein", "ein"])

    (cause,) = causes(tmp_path, {"values": {"local_lock": {"ein": "on", "aus": "off"}}},
                      planned=nodes(5, local_lock="on"), found=found)  # fmt: skip

    assert cause.rule == "same-on-many-nodes"


def test_a_wrong_unit_in_a_mapping_is_one_cause(tmp_path: Path) -> None:
    """All numbers are the planned ones; the differences and broken limits come from the mapping."""
    (cause,) = causes(tmp_path, {"units": {"range_high": "bar"}},
                      planned=two_networks(range_low=0, range_high=[400, 500, 600, 700]),
                      found=nodes(4, range_low=0, range_high=[400, 500, 600, 700]))  # fmt: skip

    assert (cause.rule, cause.network, cause.others) == (RULE, None, ["N01", "N03", "N02", "N04"])
    assert cause.message == (
        f"range_high is not as planned on 4 devices of {tmp_path}/found.csv, though each number is the "
        f"planned one in kPa g: the mapping at {tmp_path}/mapping.json:1 states bar"
    )


def test_a_unit_that_nothing_can_be_converted_from_is_one_cause_too(tmp_path: Path) -> None:
    """The readings are unclear only because of the unit: the numbers are right."""
    (cause,) = causes(tmp_path, {"units": {"range_high": "s"}},
                      planned=nodes(3, range_high=400), found=nodes(3, range_high=400))  # fmt: skip

    assert (cause.rule, len(cause.dependents)) == (RULE, 3)


def test_numbers_that_are_right_in_the_unit_stated_are_read_rightly(tmp_path: Path) -> None:
    """One of them is as planned after conversion; the others differ by themselves."""
    found = nodes(4, range_high=[4, 400, 400, 400])

    found_causes = causes(tmp_path, {"units": {"range_high": "bar"}},
                          planned=nodes(4, range_high=400), found=found)  # fmt: skip

    assert RULE not in {cause.rule for cause in found_causes}


FIRES: list[Fires] = [
    fires(RULE, "a wrong unit in a heading, with no mapping", "range_high", node=None,
          others=["N01", "N02", "N03"], planned=nodes(3, range_high=400),
          found=nodes(3, **{"range_high [bar]": 400}),
          says="in kPa g: the heading 'range_high [bar]' states bar"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent(RULE, "two nodes", planned=nodes(2, range_high=400), found=nodes(2, **{"range_high [bar]": 400})),
    silent(RULE, "a unit in each cell", planned=nodes(3, range_high=400),
           found=nodes(3, range_high="400 bar")),
    silent(RULE, "a heading in another unit, and rightly so", planned=nodes(3, range_high=400),
           found=nodes(3, **{"range_high [bar]": 4})),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause names what stated the unit."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A stated unit or word is believed."""
    case.check(tmp_path)
