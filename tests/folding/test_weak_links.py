"""Folding of planned links that lack margin."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET, causes

SITE: dict[str, Any] = {
    **QUIET,
    "type_keys": {"sensitivity_dbm": {"50": -98}},
    "networks": {"North": {"gateway": {"position": {"x_m": 0, "y_m": 0}, "frequency": 868.3}}},
}


def at(*metres: float) -> list[dict[str, Any]]:
    """Return nodes at these distances from their gateway; 9 km leaves no margin, 100 m enough."""
    return [{"x_m": x, "y_m": 0, "radio_power": 14, "air_rate": "50"} for x in metres]


def test_weak_links_of_one_network_are_one_cause(tmp_path: Path) -> None:
    """They share a gateway, and the plan's assumptions on the path; each is listed below with its sum."""
    site = {key: value for key, value in SITE.items() if key not in QUIET}
    (cause,) = causes(tmp_path, **site, planned=at(9000, 9500, 100, 9900))

    assert (cause.rule, cause.network, cause.others) == ("weak-links", "North", ["A", "B", "D"])
    assert [name.split("/")[0] for name in cause.dependents] == ["weak-link-margin"] * 3


def test_links_that_lack_margin_or_availability_are_one_cause(tmp_path: Path) -> None:
    """At 100 and 200 m the margin is more than 10 dB, but too little for the availability asked for."""
    site = {key: value for key, value in SITE.items() if key not in QUIET}
    wanted = {"path": {"exponent": 3, "shadowing_db": 8}, "availability_percent": 99.9}
    (cause,) = causes(tmp_path, **site, plan={"radio": wanted}, planned=at(9000, 9500, 100, 200))

    assert (cause.rule, cause.others) == ("weak-links", ["A", "B", "C", "D"])
    assert cause.message == "4 of 4 nodes have a weak link in the plan"
    assert sorted({name.split("/")[0] for name in cause.dependents}) == [
        "link-availability-low", "weak-link-margin"
    ]  # fmt: skip


FIRES: list[Fires] = [
    fires("weak-links", "three of four", node=None, others=["A", "B", "D"], side="planned", **SITE,
          planned=at(9000, 9500, 100, 9900), says="3 of 4 nodes have a weak link in the plan"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("weak-links", "two", **SITE, planned=at(9000, 9500, 100)),
    silent("weak-links", "three, each by what was found on it", **SITE, planned=at(100, 110, 120),
           found=[{"rssi": -97, "air_rate": "50", "radio_power": 14}] * 3),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The network is reported once, with the nodes that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A link or two, and findings on readings, stay by themselves."""
    case.check(tmp_path)
