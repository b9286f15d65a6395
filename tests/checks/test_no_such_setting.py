"""A reading in the cell of a setting that its device does not have is reported, not lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.run import Order, run
from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import SiteOf, audit_of
from tests.worklist.sites import work_of

RULE = "reading-of-no-setting"
READ = {"range_high": 100}
METER: dict[str, Any] = {
    "planned": [{"type": "probe", **READ}, {"type": "meter", **READ}],
    "meter_settings": {"alarm_low": None, "deadband": None, "host_low": None},
}

FIRES: list[Fires] = [
    fires(RULE, "a number in a shaded cell", node="B", **METER, found=[READ, {**READ, "alarm_low": "5.0"}],
          says="alarm_low was read, but a 'meter' has no such setting",
          at=[("found.csv", 3, "C")]),
    fires(RULE, "a word", node="B", **METER, found=[READ, {**READ, "alarm_low": "see note"}]),
    fires(RULE, "several cells", node="B", **METER, found=[READ, {**READ, "alarm_low": 5, "deadband": 1}],
          says="alarm_low, deadband were read, but"),
    fires(RULE, "a gateway", node="GW-North", gateway={"channel": 7}, hub_settings={"alarm_low": None},
          found={"alarm_low": 7}, gateway_found={"channel": 7, "alarm_low": "3"}),
]  # fmt: skip

SILENT: list[Silent] = [
    silent(RULE, "a dash", **METER, found=[{**READ, "alarm_low": 5}, {**READ, "alarm_low": "-"}]),
    *(silent(RULE, f"a cell that is struck out with {text}", **METER,
             found=[{**READ, "alarm_low": 5}, {**READ, "alarm_low": text}])
      for text in ("---", "/", "x", "./.")),
    silent(RULE, "where it has one", **METER, found=[{**READ, "alarm_low": 5}, READ]),
    silent(RULE, "a list of the host, which has a column for all", **METER,
           found=[{**READ, "host_low": 0}, {**READ, "host_low": 0}]),
    silent(RULE, "another type was found there, which is told", **METER,
           found=[READ, {**READ, "type": "probe", "alarm_low": 5}]),
    silent(RULE, "the plan alone", **METER, found=None, idle=True),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The device is named once, with the text of its cells."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A blank is no reading, and lists that machines write fill their columns."""
    case.check(tmp_path)


def test_what_was_read_is_shown_and_fails_no_gate(tmp_path: Path) -> None:
    """Everything that is planned was read."""
    found = [READ, {**READ, "alarm_low": "5.0", "deadband": 1}]
    (finding,) = audit_of(tmp_path, rules=RULE, **METER, found=found)

    assert (finding.level, finding.found) == ("note", "alarm_low '5.0', deadband '1'")


def test_a_remark_that_may_hold_a_code_is_not_shown(tmp_path: Path) -> None:
    """Neither as what was found nor as its evidence."""
    (finding,) = audit_of(tmp_path, rules=RULE, **METER, found=[READ, {**READ, "alarm_low": "PIN 4711"}])

    assert finding.found == "alarm_low (not shown)"
    assert "4711" not in finding.model_dump_json()


def test_what_a_mapping_says_of_all_rows_is_no_reading(tmp_path: Path) -> None:
    """Nobody wrote it into a cell of the device."""
    order = SiteOf(**METER, found=[READ, READ]).write(tmp_path)
    mapping = tmp_path / "m.yaml"
    mapping.write_text(
        "asfound: mapping/1\nmappings: [{files: ['found.csv'], constants: {alarm_low: '5'}}]\n"
    )
    result = run(Order(order.plan, order.readback, mapping=mapping, run_on="2026-05-01"))

    assert RULE not in {finding.rule for finding in result.findings}


def test_it_is_work_at_the_desk(tmp_path: Path) -> None:
    """Nobody drives out for a cell of the sheet."""
    steps = work_of(tmp_path, **METER, found=[READ, {**READ, "alarm_low": 5}]).steps

    (step,) = (one for one in steps if any(RULE in finding for finding in one.findings))
    assert (step.place, step.minutes) == ("desk", 5)
