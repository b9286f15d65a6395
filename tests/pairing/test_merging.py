"""Merging: several readings of a device become one; for each setting the newest wins."""

from __future__ import annotations

import datetime
import os
from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.model.result import Finding
from audit.model.table import RawColumn, Table
from audit.pairing.merging import times_read
from audit.run import Order, run
from tests.site_builder import SiteOf, audit_of

OLD, NEW = "2026-04-01", "2026-04-02"


def channel(folder: Path, **files: list[dict[str, Any]]) -> list[Finding]:
    """Return the finding about node A's channel, planned 7, after reading some files."""
    found = {f"{name}.csv": rows for name, rows in files.items()}
    return audit_of(folder, rules=("radio-off-plan", "channel-differs"), planned={"channel": 7}, found=found)


@pytest.mark.parametrize("order", [(OLD, NEW), (NEW, OLD)], ids=" then ".join)
def test_the_newer_reading_wins(order: tuple[str, str], tmp_path: Path) -> None:
    """A correction that was read back later counts, whichever file comes first."""
    value = {OLD: 9, NEW: 8}
    files = {f"f{n}": [{"channel": value[day], "read_at": day}] for n, day in enumerate(order)}

    (finding,) = channel(tmp_path, **files)

    assert finding.found == "8"


def test_a_correction_ends_the_finding(tmp_path: Path) -> None:
    """An older wrong reading does not count against a newer right one."""
    assert not channel(
        tmp_path, found=[{"channel": 9, "read_at": OLD}], left=[{"channel": 7, "read_at": NEW}]
    )


def test_a_newer_blank_takes_nothing_back(tmp_path: Path) -> None:
    """A later visit that did not read a setting leaves its earlier reading in force."""
    (finding,) = channel(
        tmp_path, old=[{"channel": 9, "read_at": OLD}], new=[{"channel": "n/a", "address": 3, "read_at": NEW}]
    )

    assert finding.found == "9"


@pytest.mark.parametrize(
    ("early", "late"),
    [
        pytest.param("09:00", "15:00", id="in the morning and in the afternoon"),
        pytest.param("10:00+02:00", "09:00Z", id="ten o'clock two hours ahead of Greenwich, and nine there"),
        pytest.param("08:30", "09:00+02:00", id="a sheet is of the clock of the phone beside it"),
    ],
)
def test_the_time_of_day_decides_within_a_day(early: str, late: str, tmp_path: Path) -> None:
    """The later reading counts, whichever file comes first."""
    (finding,) = channel(
        tmp_path,
        a=[{"channel": 8, "read_at": f"{OLD}T{late}"}],
        b=[{"channel": 9, "read_at": f"{OLD}T{early}"}],
    )

    assert finding.found == "8"


@pytest.mark.parametrize(
    ("time", "other"),
    [("0001-01-01T00:00", f"{OLD}T09:00+02:00"), ("9999-12-31T23:00", f"{OLD}T09:00-03:00")],
)
def test_times_at_the_ends_of_the_calendar_stay_where_they_are(time: str, other: str) -> None:
    """Beside times with an offset, they cannot be converted to UTC."""
    column = RawColumn([time, other], "A", "read_at")
    times = times_read([Table("x.csv", "", range(2, 4), {"read_at": column})])

    assert times[time] == datetime.datetime.fromisoformat(time)


def test_two_rows_of_one_file_are_two_readings(tmp_path: Path) -> None:
    """As found and as left may be one below the other."""
    (finding,) = channel(
        tmp_path,
        both=[{"tag": "A", "channel": 8, "read_at": NEW}, {"tag": "A", "channel": 9, "read_at": OLD}],
    )

    assert finding.found == "8"


def test_settings_come_together_from_several_files(tmp_path: Path) -> None:
    """A sheet gives the channel, the gateway's list the address: both are compared."""
    findings = audit_of(
        tmp_path,
        rules=("radio-off-plan", "address-differs"),
        planned={"channel": 7, "address": 3},
        found={"sheet.csv": [{"channel": 8}], "list.csv": [{"address": 4}]},
    )

    assert sorted((f.setting, f.found) for f in findings) == [("address", "4"), ("channel", "8")]


def test_both_readings_are_kept_as_evidence(tmp_path: Path) -> None:
    """The reading that counts is named first, and the older one after it."""
    (finding,) = channel(tmp_path, old=[{"channel": 9, "read_at": OLD}], new=[{"channel": 8, "read_at": NEW}])

    read = [(Path(e.file).name, e.raw) for e in finding.evidence if e.heading == "channel"]
    assert finding.raw == "8"
    assert [place for place in read if place[0] in ("old.csv", "new.csv")] == [
        ("new.csv", "8"),
        ("old.csv", "9"),
    ]


@pytest.mark.parametrize("blank", ["", "-", "n/a", "–", " N/A ", "\xa0"], ids=ascii)
def test_the_evidence_is_the_text_that_the_value_came_from(blank: str, tmp_path: Path) -> None:
    """If the newest cell says in any way that it was not read, the older cell is the evidence."""
    (finding,) = channel(
        tmp_path, old=[{"channel": 9, "read_at": OLD}], new=[{"channel": blank, "address": 3, "read_at": NEW}]
    )

    assert (finding.found, finding.raw) == ("9", "9")
    assert Path(finding.evidence[0].file).name == "old.csv"


def test_undated_readings_that_disagree_are_said_to_and_the_later_row_counts(tmp_path: Path) -> None:
    """Without times the later row counts, and the finding says that nothing proves it newer."""
    found = {"a.csv": [{"channel": 9}], "b.csv": [{"channel": 8}]}

    findings = audit_of(tmp_path, planned={"channel": 7}, found=found)

    by_rule = {f.rule: f for f in findings if f.setting == "channel"}
    assert by_rule["readings-disagree"].found == "8"
    assert by_rule["radio-off-plan"].found == "8"


def test_a_dated_reading_wins_over_an_undated_one(tmp_path: Path) -> None:
    """A reading without a time counts as the older one."""
    (finding,) = channel(tmp_path, dated=[{"channel": 8, "read_at": OLD}], undated=[{"channel": 9}])

    assert finding.found == "8"


def test_every_time_that_cannot_be_read_is_reported_with_its_place(tmp_path: Path) -> None:
    """A date in another order of day and month is not guessed."""
    found = [{"read_at": "01/04/2026"}, {"read_at": "2026-04-01"}, {"read_at": "tomorrow"}]

    with pytest.raises(InputProblems) as error:
        audit_of(tmp_path, planned=[{}, {}, {}], found=found)

    assert [(p.line, p.column) for p in error.value.problems] == [(2, "B"), (4, "B")]
    assert [p.mend for p in error.value.problems] == [
        "write it as 2026-03-31 or 2026-03-31T09:15, or state `dates: DD/MM/YYYY` or `dates: MM/DD/YYYY` "
        "in a mapping",
        "write it as 2026-03-31 or 2026-03-31T09:15",
    ]


@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
def test_a_file_that_is_given_twice_is_read_once(tmp_path: Path) -> None:
    """By its name, by a detour and by a link: all its readings would be there twice."""
    order = SiteOf(planned={"channel": 7}, found={"channel": 8}).write(tmp_path)
    (csv,) = [path for path in order.readback if path.name == "found.csv"]
    link, way_round = tmp_path / "link.csv", tmp_path / ".." / tmp_path.name / "found.csv"
    link.symlink_to(csv)

    result = run(Order(order.plan, [*order.readback, csv, way_round, link]))

    once_more = {i.file: i.note for i in result.inputs if i.kind == "not read"}
    assert once_more == dict.fromkeys((way_round.as_posix(), link.as_posix()), f"is {csv.as_posix()} again")
    (finding,) = [
        f for f in result.findings if f.rule in ("radio-off-plan", "channel-differs") and f.node == "A"
    ]
    assert [e.file for e in finding.evidence].count(csv.as_posix()) == 1


def test_times_in_another_form_are_one_problem() -> None:
    """A column reformatted by a spreadsheet is one fault, in whatever row it occurs first."""
    texts = ["2026-03-31", *(f"31.03.2026 09:{n:02}" for n in range(20))]
    table = Table("f.csv", "", range(2, 23), {"read_at": RawColumn(texts, "A", "read at")})

    with pytest.raises(InputProblems) as caught:
        times_read([table])

    (problem,) = caught.value.problems
    assert problem.line == 3
    assert problem.message == (
        "20 cells of 'read at' are not in ISO form, the first of them '31.03.2026 09:00'"
    )
    assert problem.mend.endswith("or state `dates: DD.MM.YYYY` in a mapping")


@pytest.mark.parametrize(
    ("texts", "says"),
    [
        (["2026-11-31 09:15"], "'2026-11-31 09:15' is a day or time that does not exist"),
        (["2026-11-30", "2026-11-30T24:10"], "'2026-11-30T24:10' is a day or time that does not exist"),
        (["2026-31-11", "2026-30-11"],
         "2 cells of 'read at' are days or times that do not exist, the first of them '2026-31-11'"),
        (["31.11.2026"], "'31.11.2026' is not a date or time in ISO form"),
    ],
)  # fmt: skip
def test_a_day_that_does_not_exist_is_not_called_badly_written(texts: list[str], says: str) -> None:
    """It is in ISO form; how to write it would not help."""
    columns = {"read_at": RawColumn(texts, "A", "read at")}

    with pytest.raises(InputProblems) as caught:
        times_read([Table("f.csv", "", range(2, 2 + len(texts)), columns)])

    (problem,) = caught.value.problems
    assert problem.message == says
    assert ("ISO" in says) or problem.mend == "correct the month, the day or the hour"


@pytest.mark.parametrize("texts", [["46160", "46161"], ["46160.385", "46161.5"]])
def test_days_counted_by_a_spreadsheet_are_told_as_such(texts: list[str]) -> None:
    """Nobody who sees 46160 knows which day to write."""
    columns = {"read_at": RawColumn(texts, "A", "read at")}

    with pytest.raises(InputProblems, match="format the cells as dates"):
        times_read([Table("f.csv", "", range(2, 4), columns)])


def test_a_point_between_hour_and_minute_is_reported_not_taken_for_a_fraction(tmp_path: Path) -> None:
    """08.50 is ten to nine: taken for 08:00 and half a second, it would be older than 08:15."""
    found = [{"read_at": "2026-05-09 08.50"}]

    with pytest.raises(InputProblems) as error:
        audit_of(tmp_path, planned=[{}], found=found)

    assert [p.mend for p in error.value.problems] == ["write the time with a colon: 2026-05-09 08:50"]
