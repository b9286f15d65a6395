"""figures: everything that can be worked out of a site, whether a rule has anything against it or not."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.figures.listing import figure_list
from audit.model.figure_list import FigureLine, FigureList
from audit.run import paired
from tests.site_builder import SiteOf

LISTENS = {"sensitivity_dbm": {"9.6": -104}}
NEAR = {"x_m": 1000, "y_m": 0, "radio_power": 14, "air_rate": "9.6"}
FAR = {"x_m": 7000, "y_m": 0, "radio_power": 14, "air_rate": "9.6"}
GATEWAY = {"gateway": {"position": {"x_m": 0, "y_m": 0}, "frequency": 868.3}}
SITE: dict[str, Any] = {
    "type_keys": LISTENS, "planned": [NEAR, FAR],
    "networks": {"North": GATEWAY, "South": {"gateway": {"tag": "GW-South"}}},
}  # fmt: skip


def figures(folder: Path, *only: str, **site: Any) -> FigureList:
    """Return the figures of a site."""
    return figure_list(paired(SiteOf(**site).write(folder)), only)


def by_name(made: FigureList) -> dict[tuple[str, str | None], FigureLine]:
    """Return name of a figure and tag → the figure."""
    return {(line.figure, line.node): line for line in made.lines}


def test_a_figure_within_its_limits_is_listed_too(tmp_path: Path) -> None:
    """A margin that no finding tells of, with its sum and the limit of its rule; one below it is marked."""
    found = by_name(figures(tmp_path, **SITE))
    near, far = found["link-margin", "A"], found["link-margin", "B"]

    assert (near.shown, near.least, near.beyond) == ("27 dB", 10, False)
    assert near.sum.startswith("14 dBm − 91.2 dB over 1,000 m at 868.3 MHz (free space) = -77.2 dBm, against")
    assert (far.shown, far.beyond) == ("10 dB", True)


def test_the_signal_to_expect_at_a_node(tmp_path: Path) -> None:
    """What its gateway should show once it has joined: Rec. ITU-R P.525, free space."""
    expected = by_name(figures(tmp_path, **SITE))["expected-signal", "A"]

    assert expected.value == pytest.approx(14 - 91.2, abs=0.05)
    assert (expected.shown, expected.least, expected.most) == ("-77 dBm", None, None)


def test_a_limit_of_the_sites_own_rule_counts(tmp_path: Path) -> None:
    """It may ask for more than ours."""
    rules = """
asfound: site-rules/1
title: ours
version: "1"
rules:
  - {id: more-margin, title: More margin, level: warning, why: wind, remedy: "Re-read and record.",
     source: site rule, check: {kind: figure, figure: link-margin, at_least: 30}}
"""
    order = SiteOf(**SITE).write(tmp_path)
    own = tmp_path / "own.yaml"
    own.write_text(rules)
    made = figure_list(paired(type(order)(order.plan, rules=[own])))
    (title,) = (figure for figure in made.figures if figure.figure == "link-margin")

    assert title.rules == ["weak-link-margin", "more-margin"]
    assert by_name(made)["link-margin", "A"].least == 30
    assert by_name(made)["link-margin", "A"].beyond


def test_as_found_the_values_that_were_read_count(tmp_path: Path) -> None:
    """The margin is that of the signal as read; what was not read is as planned."""
    made = figures(tmp_path, **SITE, found=[{"tag": "A", "rssi": -90}, {"tag": "B"}])
    found = by_name(made)

    assert made.side == "found"
    assert found["link-margin", "A"].shown == "14 dB"
    assert ("link-margin", "B") not in found
    assert found["expected-signal", "B"].shown == "-94 dBm"


def test_what_is_lacking_is_said_once_with_its_number(tmp_path: Path) -> None:
    """For devices and for networks; gateways are not counted for figures of nodes."""
    needs = {(gap.figure, gap.number): gap.needs for gap in figures(tmp_path, **SITE).gaps}

    assert needs["battery-life", 2] == "battery data in the device type"
    assert needs["airtime", 2].startswith("the channel access in the plan")
    assert needs["outside-band", 4] == "a band in the plan"  # gateways have to be inside it too


def test_as_found_a_reading_is_missing_where_the_plan_has_the_value(tmp_path: Path) -> None:
    """Power and interval are planned; nobody has read them."""
    plan = {"radio": {"band": "eu-863-870"}, "service_interval_years": 3}
    keys = {
        **LISTENS,
        "message": {"bits": 480},
        "battery": {"capacity_ah": 19, "sleep_ua": 20, "transmit_ma": 30},
    }
    planned = [NEAR | {"report_interval": 60}]
    made = figures(tmp_path, **SITE | {"planned": planned, "plan": plan, "type_keys": keys},
                   found=[{"rssi": -80}], gateway_found=None)  # fmt: skip

    needs = {gap.figure: gap.needs for gap in made.gaps if gap.figure in ("radiated-power", "battery-life")}
    assert needs == {
        "radiated-power": "a radio power as read", "battery-life": "a report interval as read",
    }  # fmt: skip


def test_a_power_that_is_planned_for_some_nodes_is_lacking_for_the_others(tmp_path: Path) -> None:
    """B and the gateway have none, so that the figure of A alone is worked out."""
    site = SITE | {"planned": [NEAR, NEAR | {"radio_power": ""}], "plan": {"radio": {"band": "eu-863-870"}}}
    made = figures(tmp_path, "North", **site)

    needs = {(gap.figure, gap.number): gap.needs for gap in made.gaps}
    assert needs["radiated-power", 2] == "a radio power"
    assert [node for figure, node in by_name(made) if figure == "radiated-power"] == ["A"]


def test_only_some_devices_or_networks(tmp_path: Path) -> None:
    """A network stands for its devices; the order is the plan's."""
    one = figures(tmp_path / "one", "B", **SITE)
    whole = figures(tmp_path / "whole", "North", **SITE)

    assert {line.node for line in one.lines} == {"B"}
    assert {line.network for line in whole.lines} == {"North"}
    assert list(dict.fromkeys(line.node for line in whole.lines)) == ["A", "B"]


def test_names_that_the_plan_does_not_have_are_all_told(tmp_path: Path) -> None:
    """With the nearest that it has."""
    with pytest.raises(InputProblems) as error:
        figures(tmp_path, "GW-Nort", "Z9", **SITE)

    first, second = error.value.problems
    assert (first.message, first.mend) == (
        "--only 'GW-Nort': the plan has no such device or network", "nearest: GW-North, GW-South, North",
    )  # fmt: skip
    assert second.mend.startswith("known: ")


def test_waivers_are_not_asked(tmp_path: Path) -> None:
    """They say nothing of figures, so a damaged file of them stops no list."""
    order = SiteOf(plan={"waivers": ["waivers.yaml"]}, **SITE).write(tmp_path)
    (tmp_path / "waivers.yaml").write_text("asfound: waivers/1\nwaivers: [{id: W")

    assert figure_list(paired(order)).lines
