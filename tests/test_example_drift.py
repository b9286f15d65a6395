"""The tank farm's baselines: sealed in a chain, one altered, and what has drifted since the last."""

from __future__ import annotations

from pathlib import Path

from audit.drifting.running import DriftOrder, run
from audit.model.result import Result
from tests.small_site import Outcome
from tests.small_site import run as command

SITE = Path(__file__).parent.parent / "examples" / "pellmoor"
BASELINES = [SITE / "baselines" / f"{year}.json" for year in (2023, 2024, 2025)]
DRIFT = {
    ("drift-unexplained", "LT-21", "host_high"),
    ("all-three-differ", "LT-23", "high_alarm"),
    ("drift-unexplained", "LT-25", "high_high_alarm"),
    ("drift-unexplained", "LT-27", "loss_action"),
    ("drift-unexplained", "TT-24", "service_port"),
    ("drift-unexplained", "PT-52", "address"),
    ("drift-unexplained", "PT-53", "range_low"),
    ("drift-unexplained", "PT-54", "battery_type"),
    ("drift-unexplained", "PT-55", "address"),
    ("drift-unexplained", "TT-58", "address"),
    ("record-not-borne-out", "TT-26", "high_alarm"),
    ("drift-recorded", "PT-51", "firmware"),
}


def verify(*files: Path) -> Outcome:
    """Verify baselines."""
    return command("seal", "--verify", *files)


def drift(baseline: Path, readback: str, plan: str) -> Result:
    """Return what has drifted in a readback of the site."""
    return run(
        DriftOrder(
            baseline=baseline,
            readback=[SITE / readback],
            plan=SITE / plan,
            changes=[SITE / "changes.yaml"],
            run_on="2026-06-10",
        )
    )


def reported(result: Result) -> set[tuple[str, str | None, str | None]]:
    """Return rule, node and setting of the findings."""
    return {(finding.rule, finding.node, finding.setting) for finding in result.findings}


def test_the_baselines_are_a_chain() -> None:
    """The baselines verify as a chain, in whatever order they are given."""
    assert verify(*reversed(BASELINES)).code == 0


def test_the_altered_baseline_is_found_out() -> None:
    """One baseline was altered so that the crept setpoint looks as planned; the altered byte is named."""
    outcome = verify(SITE / "altered" / "2025.json")

    assert outcome.code == 1
    words = " ".join(outcome.stdout.split())
    assert "2025.json line 163 column 17" in words
    assert "/devices/Oil yard/LT-23 was altered after it was sealed" in words


def test_what_has_drifted_since_2025() -> None:
    """Ten changes that nobody allowed, one that is recorded, and a record that nothing bears out."""
    result = drift(BASELINES[-1], "as-found", "plan.yaml")

    assert reported(result) == DRIFT
    assert result.verdict == "fail"


def test_a_change_of_many_nodes_is_recorded() -> None:
    """CR-24-1 explains the interval of a whole network, but not the drift of two other settings."""
    result = drift(BASELINES[0], "readbacks/2024", "plan-6.yaml")
    recorded = {finding.node for finding in result.findings if finding.rule == "drift-recorded"}

    assert len(recorded - {None}) == 13
    assert {one for one in reported(result) if one[0].startswith("drift-u")} == {
        ("drift-unexplained", "LT-23", "high_alarm"),
        ("drift-unexplained", "PT-53", "deadband"),
    }


def test_an_exchange_is_one_change_and_recorded() -> None:
    """Exchanging TT-57 for a spare is one change, not drift of all its settings."""
    result = drift(BASELINES[1], "readbacks/2025", "plan.yaml")
    about = [finding for finding in result.findings if finding.node == "TT-57"]

    assert [(finding.rule, finding.level) for finding in about] == [("device-change-recorded", "note")]
