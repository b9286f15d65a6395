"""Doubt: when the plan, or the readback as written, is more likely to be wrong than the device."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.site_builder import audit_of

NODES = [{"address": 31 + n} for n in range(4)]


def test_gateway_and_nodes_agree_against_the_plan(tmp_path: Path) -> None:
    """Channel 12 is planned, and all are on 21: the plan has missed a change."""
    findings = audit_of(
        tmp_path, rules="gateway-off-plan", planned=NODES, gateway={"channel": 12},
        gateway_found={"channel": 21}, found=[{**node, "channel": 21} for node in NODES],
    )  # fmt: skip

    (finding,) = findings
    assert finding.doubtful_side == "plan"
    assert finding.doubt == ("the plan may be wrong: the gateway and 4 of its 4 nodes read show 21")
    assert finding.slip == "likely slip: two neighbouring digits swapped (98 %)"
    assert finding.level == "error"


def test_a_gateway_alone_puts_no_plan_in_doubt(tmp_path: Path) -> None:
    """Its nodes are as planned: the gateway is wrong."""
    (finding,) = audit_of(
        tmp_path, rules="gateway-off-plan", planned=NODES, gateway={"channel": 12},
        gateway_found={"channel": 21}, found=[{**node, "channel": 12} for node in NODES],
    )  # fmt: skip

    assert finding.doubtful_side is None


ON_ONE = "the plan may be wrong: the gateway and 4 of its 4 nodes read show 1"


@pytest.mark.parametrize(
    ("of_gateway", "of_nodes", "doubts"),
    [(12, [12] * 4, set()), (None, [12] * 4, set()), (1, [12, 1, 1, 1], {ON_ONE})],
    ids=["never set", "gateway without a plan", "planned for the gateway"],
)
def test_a_network_that_was_never_set_puts_no_plan_in_doubt(
    of_gateway: int | None, of_nodes: list[int], doubts: set[str], tmp_path: Path
) -> None:
    """All are on channel 1, as they left the factory: that was decided only if it is planned."""
    findings = audit_of(
        tmp_path, planned=[node | {"channel": of_nodes[n]} for n, node in enumerate(NODES)],
        gateway={"channel": of_gateway}, gateway_found={"channel": 1},
        found=[node | {"channel": 1} for node in NODES],
    )  # fmt: skip

    assert {finding.doubt for finding in findings if finding.doubt} == doubts
    assert any(f.slip and "left at the factory setting" in f.slip for f in findings)


def test_half_the_nodes_put_no_plan_in_doubt(tmp_path: Path) -> None:
    """Two have followed the gateway and two have not: either half may be wrong."""
    (finding,) = audit_of(
        tmp_path, rules="gateway-off-plan", planned=NODES, gateway={"channel": 12},
        gateway_found={"channel": 21},
        found=[{**node, "channel": 21 if n < 2 else 12} for n, node in enumerate(NODES)],
    )  # fmt: skip

    assert finding.doubtful_side is None
    assert finding.slip is None  # three devices are not mis-keyed alike by chance


def test_a_choice_that_several_nodes_share_is_a_decision(tmp_path: Path) -> None:
    """Three of six nodes at the next rate in the list were set on purpose; one alone may be a slip."""
    planned = [{"address": 31 + n, "air_rate": "50"} for n in range(6)]

    def named(count: int) -> list[str | None]:
        found = [node | {"air_rate": "100" if n < count else "50"} for n, node in enumerate(planned)]
        rules = ("radio-off-plan", "air-rate-differs")
        return [f.slip for f in audit_of(tmp_path, rules=rules, planned=planned, found=found)]

    assert named(3) == [None, None, None]
    assert named(1) == ["likely slip: the option next to it in the list (71 %)"]


def test_a_plan_that_no_device_can_hold(tmp_path: Path) -> None:
    """Address 380 is planned, but addresses only go up to 247."""
    findings = audit_of(tmp_path, rules="address-differs", planned={"address": 380}, found={"address": 38})

    assert [(f.doubtful_side, f.doubt) for f in findings] == [
        ("plan", "the plan may be wrong: 380 is outside 1 to 247")
    ]


def test_a_reading_that_no_device_can_hold(tmp_path: Path) -> None:
    """Address 380 was written down: the device cannot show it, so it was misread or written wrongly."""
    findings = audit_of(tmp_path, rules="address-differs", planned={"address": 38}, found={"address": 380})

    assert [(f.doubtful_side, f.doubt) for f in findings] == [
        ("readback", "the readback may be wrong: 380 is outside 1 to 247")
    ]


def test_an_option_that_there_is_not(tmp_path: Path) -> None:
    """The options are listed, since they are few."""
    findings = audit_of(
        tmp_path, planned={"loss_action": "hold"}, found={"loss_action": "keep"}, rules="loss-action-differs"
    )

    assert [f.doubt for f in findings] == ["the readback may be wrong: keep is none of hold, low, high"]
