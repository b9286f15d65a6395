"""Folding of what one rule says of many devices of a network alike."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import nodes
from tests.site_builder import audit_of


def test_codes_that_nobody_has_changed_are_one_cause_with_the_remedy_of_each(tmp_path: Path) -> None:
    """A hundred nodes are not a hundred causes: somebody was not told, or had no codes."""
    findings = audit_of(tmp_path, planned=nodes(4), found=nodes(4, default_refused="no"))
    (cause,) = [one for one in findings if one.rule == "same-finding-on-many-nodes"]
    each = next(one for one in findings if one.rule == "default-code-accepted")

    assert (cause.level, cause.why, cause.others) == ("error", each.why, ["N01", "N02", "N03", "N04"])
    assert cause.message == f"on 4 devices alike: {each.message}"
    assert cause.remedy == f"Ask what these devices have in common, before each is put right. {each.remedy}"
    assert len(cause.dependents) == 4
    assert each.caused_by == cause.id


def test_a_gateway_among_them_does_not_make_it_the_gateways(tmp_path: Path) -> None:
    """Nodes of a sample count as faulty, though the first of the devices alike is their gateway."""
    findings = audit_of(tmp_path, planned=nodes(2), found=nodes(2, default_refused="no"),
                        gateway_found={"default_refused": "no"})  # fmt: skip
    (cause,) = [one for one in findings if one.rule == "same-finding-on-many-nodes"]

    assert (cause.node, cause.others) == (None, ["GW-North", "N01", "N02"])


FIRES: list[Fires] = [
    fires("same-finding-on-many-nodes", "codes", "default_refused", node=None, network="North",
          planned=nodes(3), found=nodes(3, default_refused="no"), others=("N01", "N02", "N03"),
          says="on 3 devices alike: the factory access code was tried and accepted"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("same-finding-on-many-nodes", "two of them", planned=nodes(2),
           found=nodes(2, default_refused="no")),
    silent("same-finding-on-many-nodes", "in two networks",
           planned=[row | {"network": name} for row, name in zip(nodes(4), "AABB", strict=True)],
           found=nodes(4, default_refused="no")),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is told once, for the network."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Few devices are told one by one."""
    case.check(tmp_path)
