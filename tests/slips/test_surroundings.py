"""What the plan says around a setting: its range, its pair, the site's air pressure."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.model.result import Finding
from tests.site_builder import audit_of

PLAN: dict[str, Any] = {"range_low": 0, "range_high": 1000, "alarm_low": 280, "alarm_high": 780}


def named(folder: Path, found: dict[str, Any], **site: Any) -> dict[str | None, Finding]:
    """Return setting → its finding, for a node that differs from PLAN in what is given."""
    findings = audit_of(folder, planned=PLAN, found={**PLAN, **found}, **site)
    return {f.setting: f for f in findings if f.rule in ("alarm-off-plan", "range-differs")}


def test_the_other_of_a_pair_is_named(tmp_path: Path) -> None:
    """Low and high alarm exchanged: each says which setting its value is planned for."""
    findings = named(tmp_path, {"alarm_low": 780, "alarm_high": 280})

    assert findings["alarm_low"].slip == "likely slip: low and high swapped: planned for alarm_high (99 %)"
    assert findings["alarm_high"].slip == "likely slip: low and high swapped: planned for alarm_low (99 %)"


def test_percent_of_the_planned_range(tmp_path: Path) -> None:
    """780 of 0 to 1000 is 78 %: this is one of the names, besides a shifted point."""
    findings = named(tmp_path, {"alarm_high": 78})

    assert [slip.id for slip in findings["alarm_high"].slips] == [
        "point-shift", "percent-entered", "dropped-doubled",
    ]  # fmt: skip


def test_a_percentage_of_the_planned_range(tmp_path: Path) -> None:
    """78 % of 0 to 1000 kPa was entered as 780."""
    percent = {"kind": "decimal", "unit": "%", "step": 0.1}
    plan = {**PLAN, "alarm_high": 78}
    findings = audit_of(
        tmp_path, planned=plan, found={**plan, "alarm_high": 780}, settings={"alarm_high": percent},
        rules="alarm-off-plan",
    )  # fmt: skip

    assert "percent-entered" in [slip.id for slip in findings[0].slips]


def test_what_the_sensor_measures_is_in_the_unit_of_the_range(tmp_path: Path) -> None:
    """Its 1000 kPa do not say how high a percentage may be: it is as without a sensor."""
    percent = {"kind": "decimal", "unit": "%", "step": 0.1}
    plan = {**PLAN, "alarm_high": 78}
    site: dict[str, Any] = {"planned": plan, "found": {**plan, "alarm_high": 7.8},
                            "settings": {"alarm_high": percent}, "rules": "alarm-off-plan"}  # fmt: skip
    with_sensor = audit_of(tmp_path / "with", **site)
    without = audit_of(tmp_path / "without", **site, type_keys={"sensors": {}})

    assert with_sensor[0].slips == without[0].slips


def test_a_range_in_another_unit_is_not_taken(tmp_path: Path) -> None:
    """Percent of a range in bar would need a conversion that nobody asked for."""
    in_bar = {name: {"kind": "decimal", "unit": "bar", "step": 0.01} for name in ("range_low", "range_high")}
    findings = named(tmp_path, {"alarm_high": 78}, settings=in_bar)

    assert "percent-entered" not in [slip.id for slip in findings["alarm_high"].slips]


def test_the_elevation_of_the_plan_counts(tmp_path: Path) -> None:
    """At 1500 m gauge and absolute are 84.6 kPa apart."""
    high = {"site": {"elevation_m": 1500}}

    assert named(tmp_path, {"alarm_low": 364.6}, plan=high)["alarm_low"].slip == (
        "likely slip: gauge and absolute pressure mixed up, 85 kPa apart (99 %)"
    )


def test_a_value_that_was_looked_at_again_was_not_kept(tmp_path: Path) -> None:
    """A person asked again at the device has set nothing in between; an hour later somebody may have."""
    sure: dict[str, str | None] = {}
    for second in ("2026-04-20T09:00:40", "2026-04-20T10:00"):
        rows = [{"local_lock": "off", "read_at": time} for time in ("2026-04-20T09:00:02", second)]
        (finding,) = audit_of(tmp_path, rules="local-config-unlocked", planned={"local_lock": "on"},
                              settings={"local_lock": {"kind": "flag", "default": False}},
                              found=[{"tag": "A", **row} for row in rows])  # fmt: skip
        sure[second] = finding.slip

    assert list(sure.values()) == [
        "likely slip: left at the factory setting (80 %)",
        "possible slips: left at the factory setting (48 %); earlier value kept, the new one was not saved "
        "(32 %)",
    ]


def test_a_value_that_was_read_before_was_probably_not_saved(tmp_path: Path) -> None:
    """Somebody went to set 700; the device shows what it showed before."""
    earlier, later = ({"alarm_high": 780, "read_at": day} for day in ("2026-04-01", "2026-04-20"))
    (finding,) = audit_of(tmp_path, rules="alarm-off-plan", planned={"alarm_high": 700},
                          found={"old.csv": [earlier], "new.csv": [later]})  # fmt: skip

    assert finding.slip == "likely slip: earlier value kept, the new one was not saved (99 %)"


@pytest.mark.parametrize("time", ["", "2026-04-20", "2026-04-20T09:00"])
def test_a_copy_of_a_reading_is_none_from_before(tmp_path: Path, time: str) -> None:
    """Nobody has set anything between two readings of the same time: it is one, in two files."""
    row = {"alarm_high": 780, "read_at": time}
    slips = [
        audit_of(tmp_path / str(len(files)), rules="alarm-off-plan", planned={"alarm_high": 700},
                 found={name: [row] for name in files})[0].slips
        for files in (["one.csv"], ["one.csv", "copy.csv"])
    ]  # fmt: skip

    assert slips[0] == slips[1]


def test_another_value_than_before_was_saved(tmp_path: Path) -> None:
    """The value is now wrong in a different way."""
    earlier, later = (
        {"alarm_high": value, "read_at": day} for value, day in ((780, "2026-04-01"), (770, "2026-04-20"))
    )
    (finding,) = audit_of(tmp_path, rules="alarm-off-plan", planned={"alarm_high": 700},
                          found={"old.csv": [earlier], "new.csv": [later]})  # fmt: skip

    assert "not-saved" not in [slip.id for slip in finding.slips]
