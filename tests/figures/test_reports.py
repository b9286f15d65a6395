"""What nodes send: the traffic of a network, and how often a report is sent."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.engineering.aloha import pure_collision, slotted_collision
from audit.figures import reports
from audit.figures.reports import Report, Traffic, sent_on_average, traffic
from audit.figures.surroundings import Surroundings
from audit.pairing.pair import pair
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from tests.site_builder import SiteOf, audit_of

MINUTE = {"report_interval": 60, "air_rate": "9.6"}
TWICE: dict[str, Any] = {"message": {"bits": 480, "tries": 2}}
"""480 bits take 0.05 s on air at 9.6 kbit/s."""
AT_RANDOM = {"radio": {"access": {"how": "at random"}}}


def surroundings(folder: Path, **site: Any) -> Surroundings:
    """Return a planned site as figures see it."""
    order = SiteOf(**site).write(folder)
    return Surroundings(pair(read_plan(order.plan, Inputs()), []))


def test_reports_of_a_network_are_counted(tmp_path: Path) -> None:
    """Nodes that are alike are one line; without a word on access each report counts once."""
    nodes = [MINUTE] * 3 + [{**MINUTE, "report_interval": 30}]

    its = traffic(surroundings(tmp_path, planned=nodes, type_keys=TWICE), "planned")["North"]

    assert its.reports == {Report(0.05, 60, 2): 3, Report(0.05, 30, 2): 1}
    assert (its.nodes, its.tries, its.collision, its.sends) == (4, [2], None, 1)
    assert its.load == pytest.approx(5 * 0.05 / 60)


@pytest.mark.parametrize("how", ["at random", "at random in slots"])
def test_repeats_add_to_the_load(how: str, tmp_path: Path) -> None:
    """Sent once, 120 nodes offer 0.1; with a second try for those that collide, 0.1 × (1 + c)."""
    around = surroundings(
        tmp_path, planned=[MINUTE] * 120, type_keys=TWICE, plan={"radio": {"access": {"how": how}}}
    )

    its = traffic(around, "planned")["North"]

    collision = (pure_collision if how == "at random" else slotted_collision)(its.load)
    assert its.collision == pytest.approx(collision)
    assert its.load == pytest.approx(0.1 * (1 + collision))
    assert its.sends == pytest.approx(1 + collision)


@pytest.mark.parametrize(
    ("last", "plan", "keys"),
    [
        ({"air_rate": "9.6"}, AT_RANDOM, TWICE),
        (MINUTE, {"radio": {"access": {"how": "polled", "poll_s": 0.1, "round_s": 60}}}, TWICE),
        (MINUTE, {}, TWICE),
        (MINUTE, AT_RANDOM, {"message": {"bits": 480}}),
    ],
    ids=["an interval missing", "polled", "access not given", "one try"],
)
def test_repeats_that_are_not_known_are_not_counted(
    last: dict[str, Any], plan: dict[str, Any], keys: dict[str, Any], tmp_path: Path
) -> None:
    """A report counts once where collisions are not known, and where it is not repeated."""
    around = surroundings(tmp_path, planned=[*[MINUTE] * 60, last], plan=plan, type_keys=keys)
    first = next(around.nodes("North", "planned"))

    assert sent_on_average(around, first) == (1, "repeats not counted")


def test_a_network_with_an_unknown_report_leaves_the_others_alone(tmp_path: Path) -> None:
    """Each network is known by itself; one without nodes has no traffic."""
    nodes = [MINUTE, {"network": "South", "air_rate": "9.6"}]
    networks: dict[str, Any] = {"East": {}}
    around = surroundings(tmp_path, planned=nodes, networks=networks, type_keys=TWICE, plan=AT_RANDOM)

    assert list(traffic(around, "planned")) == ["North"]


def test_a_network_is_added_up_once_a_side_and_not_once_a_node(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A hundred nodes, each with an interval of its own, in two networks."""
    added: list[str] = []

    def counting(around: Surroundings, network: str, sent: Any) -> Traffic:
        added.append(network)
        return _traffic(around, network, sent)

    _traffic = reports._traffic
    monkeypatch.setattr(reports, "_traffic", counting)
    planned = [
        {"report_interval": 60 + n, "air_rate": "9.6", "network": name, "tag": f"{name}-{n}"}
        for name in ("North", "South") for n in range(50)
    ]  # fmt: skip
    found = [{**row, "report_interval": 30} for row in planned]

    findings = audit_of(
        tmp_path, rules="duty-excess", type_keys=TWICE, planned=planned, found=found,
        plan={"radio": {**AT_RANDOM["radio"], "licence": {"duty_percent": 0.1}}},
    )  # fmt: skip

    assert findings
    assert added.count("North") == added.count("South") <= 4  # duty and airtime, planned and found


def test_what_others_were_found_to_send_counts(tmp_path: Path) -> None:
    """A node as planned is on air longer beside others that send oftener than planned."""
    slow, fast = {**MINUTE, "report_interval": 600}, {**MINUTE, "report_interval": 10}
    findings = audit_of(
        tmp_path, rules="duty-excess", type_keys=TWICE,
        plan={"radio": {**AT_RANDOM["radio"], "licence": {"duty_percent": 0.009}}},
        planned=[slow] * 30, found=[slow, *[fast] * 29],
    )  # fmt: skip

    (own,) = [finding for finding in findings if finding.node == "A"]
    assert "0.05 s on air, every 600 s: 0.395 s an hour, sent 1.32 times on average" in own.message
