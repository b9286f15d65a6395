"""Doubt: when the plan, or the writing of the readback, is likelier to be wrong than the device."""

from __future__ import annotations

from pathlib import Path

from tests.site_builder import audit_of

NODES = [{"address": 31 + n} for n in range(4)]


def test_gateway_and_nodes_agree_against_the_plan(tmp_path: Path) -> None:
    """Channel 12 planned, and everybody on 21: it is the plan that does not know of a change."""
    findings = audit_of(
        tmp_path, rules="gateway-off-plan", planned=NODES, gateway={"channel": 12},
        gateway_found={"channel": 21}, found=[{**node, "channel": 21} for node in NODES],
    )  # fmt: skip

    (finding,) = findings
    assert finding.doubtful_side == "plan"
    assert finding.doubt == ("the plan may be the wrong side: the gateway and 4 of its 4 nodes read show 21")
    assert finding.slip == "likely slip: two neighbouring digits exchanged (98 %)"
    assert finding.level == "error"


def test_a_gateway_alone_puts_no_plan_in_doubt(tmp_path: Path) -> None:
    """Its nodes are where the plan has them: the gateway is the wrong one."""
    (finding,) = audit_of(
        tmp_path, rules="gateway-off-plan", planned=NODES, gateway={"channel": 12},
        gateway_found={"channel": 21}, found=[{**node, "channel": 12} for node in NODES],
    )  # fmt: skip

    assert finding.doubtful_side is None


def test_a_plan_that_no_device_can_hold(tmp_path: Path) -> None:
    """Address 380 is planned, and addresses go to 247."""
    findings = audit_of(tmp_path, rules="address-differs", planned={"address": 380}, found={"address": 38})

    assert [(f.doubtful_side, f.doubt) for f in findings] == [
        ("plan", "the plan may be the wrong side: 380 is outside 1 to 247")
    ]


def test_a_reading_that_no_device_can_hold(tmp_path: Path) -> None:
    """Address 380 was written down: the device cannot show it, so the sheet is wrong, or the eye was."""
    findings = audit_of(tmp_path, rules="address-differs", planned={"address": 38}, found={"address": 380})

    assert [(f.doubtful_side, f.doubt) for f in findings] == [
        ("readback", "the readback may be the wrong side: 380 is outside 1 to 247")
    ]


def test_an_option_that_there_is_not(tmp_path: Path) -> None:
    """The options are listed, since there are few."""
    findings = audit_of(
        tmp_path, planned={"loss_action": "hold"}, found={"loss_action": "keep"}, rules="loss-action-differs"
    )

    assert [f.doubt for f in findings] == [
        "the readback may be the wrong side: keep is none of hold, low, high"
    ]
