"""Nodes that changed since a baseline, by change records: always visited."""

from __future__ import annotations

import datetime
from types import SimpleNamespace

from audit.model.change import Change
from audit.model.drift import ReadChange
from audit.model.table import NOWHERE
from audit.sampling.changed import by_records


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
