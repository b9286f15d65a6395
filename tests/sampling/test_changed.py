"""Nodes that changed since a baseline, by change records: always visited."""

from __future__ import annotations

import datetime
from types import SimpleNamespace

import pytest

from audit.model.change import Change
from audit.model.drift import ReadChange
from audit.model.table import NOWHERE
from audit.sampling.changed import by_records


@pytest.mark.parametrize(
    "change",
    [
        {"what": "move", "node": "N-1", "from": "North", "to": "East"},
        {"what": "move", "node": "N-1", "network": "North", "to": "East"},
        {"what": "retag", "node": "N-1", "network": "North", "to": "N-9"},
    ],
)
def test_a_device_that_the_plan_has_as_before_its_change_is_visited(change: dict[str, str]) -> None:
    """Record and plan disagree about where it is, which is a good reason to go there."""
    nodes = SimpleNamespace(gateway=False, networks=["North", "South"], tags=["N-1", "N-1"])
    about = {"id": "c", "approved_by": "x", "date": datetime.date(2026, 1, 1)}
    read = ReadChange(Change.model_validate(about | change), change.get("from", ""), change["to"], NOWHERE)

    reasons, lost = by_records([nodes], [read], None)  # type: ignore[list-item]

    assert lost == []
    assert [(unit.network, unit.node, *why) for unit, why in reasons.items()] == [
        ("North", "N-1", "changed on 2026-01-01, c, but the plan has it as before")
    ]


def test_a_device_that_the_plan_has_where_it_was_moved_is_visited_there() -> None:
    """And not another one that has its tag in the old network by now."""
    nodes = SimpleNamespace(gateway=False, networks=["North", "East"], tags=["N-1", "N-1"])
    change = Change.model_validate(
        {"id": "c", "approved_by": "x", "date": datetime.date(2026, 1, 1)}
        | {"what": "move", "node": "N-1", "from": "North", "to": "East"}
    )
    read = ReadChange(change, "North", "East", NOWHERE)

    reasons, _ = by_records([nodes], [read], None)  # type: ignore[list-item]

    assert [(unit.network, *why) for unit, why in reasons.items()] == [("East", "changed on 2026-01-01, c")]


def test_a_record_with_another_network_names_no_device() -> None:
    """A node of that tag elsewhere is not the one meant, and nobody would visit it."""
    gateway = SimpleNamespace(gateway=True, networks=["North"], tags=["GW"])
    nodes = SimpleNamespace(gateway=False, networks=["North"], tags=["N-1"])
    values = {
        "id": "c",
        "setting": "channel",
        "to": "3",
        "approved_by": "x",
        "date": datetime.date(2026, 1, 1),
    }
    read = [ReadChange(Change.model_validate(values | name), "", "3", NOWHERE)
            for name in ({"node": "N-1", "network": "Nroth"}, {"node": "GW"}, {"node": "N-1"})]  # fmt: skip

    reasons, lost = by_records([gateway, nodes], read, None)  # type: ignore[list-item]

    assert lost == read[:1]
    assert [unit.node for unit in reasons] == ["N-1"]
