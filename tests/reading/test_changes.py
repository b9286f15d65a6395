"""Change records: everything wrong with them is reported at once, each with its line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.reading.changes import read_changes
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from tests.baselines import seal
from tests.refusing import assert_clear
from tests.small_site import ACCESS_CODE, SETTINGS, Outcome, SmallSite, run, small_site
from tests.the_examples import EXAMPLES

GOOD: dict[str, Any] = {"id": "C-1", "node": "N-1", "setting": "high_alarm", "from": 780, "to": 760,
                        "approved_by": "I. Placeholder", "date": "2026-05-12"}  # fmt: skip


def drift(site: SmallSite, *changes: Path) -> Outcome:
    """Run `asfound drift` with change records."""
    baseline = site.folder / "b.json"
    if not baseline.exists():
        seal(site, "b.json", "--even-failing")
    records = [word for path in changes for word in ("--changes", path)]
    return run("drift", baseline, *site.readbacks, "--on", "2026-06-30", *records)


def records(site: SmallSite, *changes: dict[str, Any], name: str = "changes.yaml") -> Path:
    """Write change records."""
    return site.write(name, {"asfound": "changes/1", "changes": list(changes)})


def test_a_good_record_is_taken(tmp_path: Path) -> None:
    """Unchanged, the record of these tests is read; that nothing bears it out is a finding."""
    site = small_site(tmp_path)

    outcome = drift(site, records(site, GOOD))

    assert outcome.code == 0
    assert "record-not-borne-out" in outcome.stdout


SLIPS: list[Any] = [
    pytest.param({"seting": "high_alarm"}, "unknown key 'seting'", "setting", id="key"),
    pytest.param({"setting": "hihg_alarm"}, "unknown setting 'hihg_alarm'", "high_alarm", id="setting"),
    pytest.param({"to": "much"}, "'much' is not a number", "give a number, in kPa", id="no value"),
    pytest.param({"to": "7,60"}, "has a comma where", "", id="comma for point"),
    pytest.param({"to": "760 s"}, "cannot be converted to kPa", "a number, in kPa",
                 id="unit that cannot be converted"),
    pytest.param({"to": None}, "does not say what the setting was changed to", "`to: ...`",
                 id="no new value"),
    pytest.param({"date": "12.05.2026"}, "'12.05.2026' is not a date", "2026-03-31", id="date"),
    pytest.param({"approved_by": None}, "'approved_by' is missing", "add it", id="nobody approved it"),
    pytest.param({"node": None}, "neither a node nor a network", "name the `node`", id="nowhere"),
    pytest.param({"setting": None}, "`setting` goes with `what: setting`", "name the setting",
                 id="no setting"),
    pytest.param({"what": "exchange"}, "`setting` goes with `what: setting`", "take `setting` or `what` out",
                 id="two things"),
    pytest.param({"what": "swap", "setting": None}, "'swap' is not allowed", "exchange", id="unknown event"),
    pytest.param({"what": "move", "setting": None, "to": None}, "does not say where to", "give `to`",
                 id="moved nowhere"),
    pytest.param({"what": "removed", "setting": None, "node": None, "network": "Main"}, "is about one device",
                 "name the `node`", id="a network removed"),
]  # fmt: skip


@pytest.mark.parametrize(("slip", "says", "mend"), SLIPS)
def test_slips(tmp_path: Path, slip: dict[str, Any], says: str, mend: str) -> None:
    """Each is one problem at a line of the file, with how to correct it."""
    site = small_site(tmp_path)
    bent = {key: value for key, value in (GOOD | slip).items() if value is not None}

    outcome = drift(site, records(site, bent))

    assert outcome.code == 2
    (problem,) = outcome.problems
    assert problem.startswith(f"{tmp_path.as_posix()}/changes.yaml:")
    assert says in problem
    assert mend in problem.partition("fix: ")[2]
    assert_clear(outcome.stderr)


def test_a_value_is_told_where_it_is_written(tmp_path: Path) -> None:
    """The old and the new value each have their line."""
    site = small_site(tmp_path)
    lines = [f"    {key}: {value!r}\n" for key, value in (GOOD | {"from": "little", "to": "much"}).items()]
    path = site.write("changes.yaml", f"asfound: changes/1\nchanges:\n  -\n{''.join(lines)}")

    told = [problem.partition("changes.yaml:")[2] for problem in drift(site, path).problems]

    old, new = (4 + next(n for n, line in enumerate(lines) if word in line) for word in ("little", "much"))
    assert sorted(int(text.partition(":")[0]) for text in told) == sorted([old, new])


def test_all_slips_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    """A slip in one record does not hide one in another, nor do those of one file hide those of another."""
    site = small_site(tmp_path)
    one = records(site, GOOD | {"setting": "hihg_alarm"}, GOOD | {"id": "C-2", "to": "much"}, name="one.yaml")
    other = records(site, {key: value for key, value in GOOD.items() if key != "date"}, name="two.yaml")

    assert len(drift(site, one, other).problems) == 3


def test_one_id_for_two_records(tmp_path: Path) -> None:
    """Somebody who looks up a change has to find exactly one."""
    site = small_site(tmp_path)

    outcome = drift(site, records(site, GOOD, GOOD | {"node": "N-2"}))

    assert "the change 'C-1' is already in" in outcome.stderr


def test_a_record_must_not_hold_an_access_code(tmp_path: Path) -> None:
    """Neither the old nor the new code; and neither is echoed."""
    site = small_site(tmp_path, settings=[*SETTINGS, ACCESS_CODE])
    record = GOOD | {"setting": "access_code", "from": "73915", "to": "86420"}

    outcome = drift(site, records(site, record))

    assert outcome.code == 2
    assert len(outcome.problems) == 2
    assert "must not hold an access code" in outcome.stderr
    assert "73915" not in outcome.written
    assert "86420" not in outcome.written


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "is empty"),
        ("asfound: waivers/1\nwaivers: []\n", "is a file of waivers"),
        ("changes: []\n", "'asfound' is missing"),
        ("asfound: changes/1\nchanges: []\n", "the list is empty (in changes)"),
        ("asfound: changes/1\nchanges:\n  - {id: C-1", "is not YAML"),
        ("\x00\x01", "NUL"),
    ],
    ids=["empty", "waivers", "no kind", "none", "half a file", "junk"],
)
def test_other_files(tmp_path: Path, content: str, says: str) -> None:
    """They are refused in one clear line."""
    site = small_site(tmp_path)

    outcome = drift(site, site.write("changes.yaml", content))

    assert outcome.code == 2
    assert says in outcome.stderr
    assert_clear(outcome.stderr)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    """A missing file and a folder are reported together."""
    site = small_site(tmp_path)
    (tmp_path / "folder").mkdir()

    outcome = drift(site, tmp_path / "none.yaml", tmp_path / "folder")

    assert outcome.code == 2
    assert len(outcome.problems) == 2


def test_text_is_taken_as_it_is_written(tmp_path: Path) -> None:
    """An identifier of digits keeps its zeros: 007 is not 7."""
    settings = [*SETTINGS, {"name": "asset", "kind": "text", "required": False}]
    site = small_site(tmp_path, settings=settings, found={"N-1": {"asset": "3"}})
    seal(site, "b.json")
    small_site(tmp_path, settings=settings, found={"N-1": {"asset": "007"}})
    seven = {"id": "C-1", "node": "N-1", "setting": "asset", "approved_by": "I. P.", "date": "2026-05-12"}
    path = records(site, seven | {"to": "SEVEN"})

    path.write_text(path.read_text().replace("SEVEN", "007"))
    right = drift(site, path)
    path.write_text(path.read_text().replace("007", "7"))
    wrong = drift(site, path)

    assert (right.code, wrong.code) == (0, 1)


def test_a_setting_in_several_units(tmp_path: Path) -> None:
    """It is m at the first type and kPa at this node, which is known only later: no unit is named."""
    types = [*read_plan(EXAMPLES / "tarnbeck" / "plan.yaml", Inputs()).types.values()]
    record = GOOD | {"node": "PT-105", "setting": "range_high", "to": "much"}
    path = tmp_path / "changes.json"
    path.write_text(json.dumps({"asfound": "changes/1", "changes": [record]}), encoding="utf-8")

    with pytest.raises(InputProblems) as caught:
        read_changes([path], types, Inputs())

    assert caught.value.problems[0].mend == "write it as the plan writes it for such a device"
