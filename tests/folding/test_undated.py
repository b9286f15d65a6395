"""Folding of two files that disagree, where nothing says which is the newer."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, fold, nodes

OLD = nodes(3, alarm_low=111)


def test_an_old_sheet_beside_the_new_one_is_one_cause(tmp_path: Path) -> None:
    """The doubt is about a file, not about three devices."""
    found = {"new.csv": nodes(3, alarm_low=220), "old.csv": OLD}

    cause = fold(tmp_path, "files-disagree", planned=nodes(3), found=found)

    assert cause.others == ["N01", "N02", "N03"]
    assert "new.csv and " in cause.message
    assert "old.csv, and nothing says which file is the newer" in cause.message


def test_what_is_off_plan_by_the_reading_that_counts_goes_along(tmp_path: Path) -> None:
    """Whichever file was named first, one doubt is one cause, and no alarm is set because of it."""
    found = {"a.csv": nodes(3, alarm_low=220), "b.csv": OLD}

    cause = fold(tmp_path, "files-disagree", planned=nodes(3, alarm_low=220), found=found)

    assert any(name.startswith("alarm-off-plan/") for name in cause.dependents)


@pytest.mark.parametrize(
    ("newer", "told"), [(220, ["readings-disagree"]), (150, ["alarm-off-plan", "readings-disagree"])]
)
def test_one_reading_in_doubt_is_the_cause_of_what_is_off_plan_by_it(
    newer: int, told: list[str], tmp_path: Path
) -> None:
    """Nobody need set what another reading shows as planned; if none does, it is wrong in any case."""
    found = [*nodes(1, alarm_low=newer, read_at=""), *nodes(1, alarm_low=111, read_at="2026-04-01T10:00")]

    found_causes = causes(tmp_path, planned=nodes(1, alarm_low=220), found=found)

    assert [cause.rule for cause in found_causes] == told
    assert all(cause.level == "error" for cause in found_causes[:1])


FIRES: list[Fires] = [
    fires("files-disagree", "three devices", "alarm_low", node=None, others=["N01", "N02", "N03"],
          planned=nodes(3), found={"new.csv": nodes(3, alarm_low=220), "old.csv": OLD},
          says="3 readings of alarm_low on 3 devices differ between"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("files-disagree", "two devices", planned=nodes(3),
           found={"new.csv": nodes(3, alarm_low=[220, 220, 111]), "old.csv": OLD}),
    silent("files-disagree", "a file with times", planned=nodes(3),
           found={"new.csv": nodes(3, alarm_low=220, read_at="2026-04-02"),
                  "old.csv": nodes(3, alarm_low=111, read_at="2026-04-01")}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
