"""evidence: the readback was made in place, by another person, from the right plan, and is consistent."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of, result_of

DAY = "2026-04-01"


def readings(*rows: tuple[object, str], of: str = "channel") -> dict[str, list[dict[str, Any]]]:
    """Return a file for each reading of a setting of node A: what was read, and when."""
    return {f"{n}.csv": [{of: value, "read_at": time}] for n, (value, time) in enumerate(rows)}


OWN = [{"channel": "007", "range_high": "10.00", "address": f"000{n}"} for n in (1, 2)]
"""Spelled as no display with two, one and three places would show them."""

FIRES = [
    fires("self-checked", "one name twice", node=None, others=["A", "B"], planned=[{}, {}, {}],
          found=[{"configured_by": "a  sample (works)", "read_by": "A. Sample"},
                 {"configured_by": "A. Sample", "read_by": "Sample, A."},
                 {"configured_by": "A. Sample", "read_by": "B. Other"}],
          says="2 devices were set and read back by the same person, A. Sample", at=[("found.csv", 2, "C")]),
    fires("plan-revision-stale", "an older revision", node=None, others=["A"],
          plan={"site": {"revision": "3"}},
          found={"plan_revision": "2"}, says="1 device was read against plan revision 2; the plan is at 3",
          at=[("found.csv", 2, "B")]),
    fires("plan-revision-stale", "a revision in braces is only text", node=None, others=["A"],
          plan={"site": {"revision": "{3}"}},
          found={"plan_revision": "{2}"}, says="plan revision {2}; the plan is at {3}"),
    fires("readings-disagree", "two without times", "channel", found=readings((7, ""), (8, "")),
          says="channel was read as 7 (no time) and as 8 (no time): nothing says which is newer; 8 counts",
          at=[("0.csv", 2, "B"), ("1.csv", 2, "B")]),
    fires("readings-disagree", "two of the same time", "channel", found=readings((7, DAY), (8, DAY))),
    fires("readings-disagree", "two rows of one file", "channel",
          found=[{"channel": 7}, {"tag": "A", "channel": 8}],
          says="as 7 (no time) and as 8"),
    fires("readings-disagree", "one of them without a time", "channel", planned={"channel": 8},
          found=readings((8, ""), (7, f"{DAY}T08:42")), says="as 8 (no time) and as 7 (2026-04-01T08:42)"),
    fires("deviation-in-doubt", "off plan, and without a time", "channel", planned={"channel": 7},
          found=readings((8, ""), (7, f"{DAY}T08:42")), says="nothing says which is newer; 7 counts",
          at=[("0.csv", 2, "B"), ("1.csv", 2, "B")]),
    fires("deviation-in-doubt", "off plan, and of the day alone", "channel", planned={"channel": 7},
          found=readings((8, DAY), (7, f"{DAY}T08:42")), says="as 8 (2026-04-01) and as 7"),
    fires("deviation-in-doubt", "the factory code was accepted, before or after it was refused",
          "default_refused", found=readings(("no", ""), ("yes", ""), of="default_refused"),
          says="read as no (no time) and as yes (no time): nothing says which is newer; yes counts"),
    fires("readings-disagree", "three, of which the last two agree", "channel",
          found=readings((7, ""), (8, ""), (8, ""))),
    fires("read-before-installation", "the day before", planned={"installed_on": "2026-04-02"},
          found={"read_at": "2026-04-01T23:59"}, says="read on 2026-04-01, installed on 2026-04-02",
          at=[("found.csv", 2, "B"), ("North.csv", 2, "B")]),
    fires("read-before-set", "some days before",
          found={"read_at": "2026-03-02T10:00", "configured_at": "2026-03-05"},
          says="read on 2026-03-02, set on 2026-03-05", at=[("found.csv", 2, "B"), ("found.csv", 2, "C")]),
    fires("read-before-set", "an hour before", says="read on 2026-03-05T09:00, set on 2026-03-05T10:00",
          found={"read_at": "2026-03-05T09:00", "configured_at": "2026-03-05T10:00"}),
    fires("read-before-set", "an hour before by a clock of which only one says where it is",
          found={"read_at": "2026-03-05T09:00+02:00", "configured_at": "2026-03-05T10:00"}),
    fires("read-before-set", "set again after the reading",
          found={"1.csv": [{"read_at": "2026-03-02", "configured_at": "2026-03-01"}],
                 "2.csv": [{"read_at": "", "configured_at": "2026-03-05"}]}),
    fires("read-after-run", "the day after that of the run", node=None, others=["A", "B"],
          planned=[{}, {}, {}],
          found=[{"read_at": "2026-05-02T00:01"}, {"read_at": "2027-05-01"}, {"read_at": "2026-05-01"}],
          says="2 devices were read after the day of this run, 2026-05-01: the latest on 2027-05-01",
          at=[("found.csv", 3, "B")]),
    fires("reading-too-old", "the sheet of the year before last", node=None,
          others=["A", "B"], planned=[{}, {}, {}],
          found=[{"read_at": "2024-05-13"}, {"read_at": "2024-05-13T10:00"}, {"read_at": "2026-04-01"}],
          says="2 devices were read on 2024-05-13, 718 days before this run", at=[("found.csv", 2, "B")]),
    fires("reading-too-old", "some settings rest on an old sheet", node=None, others=["A"],
          found={"1.csv": [{"channel": 7, "address": 3, "read_at": "2024-05-13"}],
                 "2.csv": [{"channel": 7, "address": "", "read_at": "2026-04-01"}]}),
    fires("reading-undated", "one day among three rows", node=None, others=["B", "C"], gate="annual",
          planned=[{}, {}, {}],
          found=[{"channel": 7, "read_at": "2026-04-01"}, {"channel": 7}, {"channel": 7}],
          says="2 devices were read without a date", at=[("found.csv", 3, "C")]),
    fires("reading-undated", "some settings rest on a sheet without a day", node=None, others=["A"],
          gate="annual", says="read without a date for address; the other readings have one",
          found={"1.csv": [{"channel": 7, "address": 3}],
                                "2.csv": [{"channel": 7, "address": "", "read_at": "2026-04-01"}]}),
    fires("read-in-other-network", "the name of another one", node=None, others=["A", "B"],
          planned=[{}, {}, {"network": "South"}], found=[{"network": "South"}] * 3,
          says="2 devices planned here are under the network 'South' in the readback",
          at=[("found.csv", 2, "B")]),
    fires("read-in-other-network", "a name that nobody knows", node=None, others=["A"],
          found={"network": "Nroth"}, says="1 device planned here is under the network 'Nroth'"),
    fires("readback-looks-copied", "padding and zeros of every text", node=None, others=["A", "B"],
          planned=OWN, found=OWN, at=[("found.csv", 2, "B")],
          says="what was read on 2 nodes shows a sign of copying: all 6 texts are the plan's to the letter, "
               "6 of them in a spelling that no display would show, such as '007' for channel"),
    fires("readback-looks-copied", "five texts with a spelling of their own", node=None, others=["A", "B"],
          planned=[OWN[0], OWN[1] | {"channel": "7"}], found=[OWN[0], OWN[1] | {"channel": "7"}]),
]  # fmt: skip

SILENT = [
    silent("read-after-run", "the day of the run", found={"read_at": "2026-05-01T23:59"}),
    silent("read-after-run", "no time", idle=True, found={"channel": 7}),
    silent("reading-too-old", "a year and a day before", found={"read_at": "2025-04-30T00:01"}),
    silent("reading-too-old", "read anew since",
           found={"1.csv": [{"channel": 7, "read_at": "2024-05-13"}],
                  "2.csv": [{"channel": 7, "read_at": "2026-04-01"}]}),
    silent("reading-too-old", "no time", idle=True, found={"channel": 7}),
    silent("reading-undated", "read anew with a day", gate="annual",
           found={"1.csv": [{"channel": 7}], "2.csv": [{"channel": 7, "read_at": "2026-04-01"}]}),
    silent("reading-undated", "an export of the host has no day of its own", gate="annual",
           found={"1.csv": [{"channel": 7, "read_at": "2026-04-01"}], "2.csv": [{"host_register": 40}]}),
    silent("reading-undated", "at a handover it is not asked for", idle=False, found={"channel": 7}),
    silent("read-in-other-network", "in other letters", found={"network": " NORTH"}),
    silent("read-in-other-network", "no network", idle=True, found={"network": ""}),
    silent("self-checked", "two people", found={"configured_by": "A. Sample", "read_by": "B. Other"}),
    silent("self-checked", "a note alone in a sheet of ours, beside what was read before",
           found={"sheet.csv": [{"decimal_mark": "point", "note": "gate locked", "read_at": "2026-04-02",
                                 "configured_by": "A. Sample", "read_by": "A. Sample"}],
                  "read.csv": [{"channel": 7, "configured_by": "A. Sample", "read_by": "B. Other",
                                "read_at": "2026-04-01"}]}),
    silent("self-checked", "one of them not named", idle=True,
           found={"configured_by": "A. Sample", "read_by": ""}),
    silent("plan-revision-stale", "the plan's own revision", plan={"site": {"revision": "3a"}},
           found={"plan_revision": " 3A "}),
    silent("plan-revision-stale", "with the word before it", plan={"site": {"revision": "A"}},
           found={"plan_revision": "Rev. A"}),
    silent("plan-revision-stale", "none cited", idle=True, found={"plan_revision": ""}),
    silent("readings-disagree", "the newer one wins", found=readings((7, "2026-04-01"), (8, "2026-04-02"))),
    silent("readings-disagree", "the reading off plan is told as an error", planned={"channel": 7},
           found=readings((7, f"{DAY}T08:42"), (8, ""))),
    silent("deviation-in-doubt", "what counts is off plan, which is told", planned={"channel": 8},
           found=readings((7, f"{DAY}T08:42"), (8, ""))),
    silent("deviation-in-doubt", "the factory code was not tried with every reading",
           found=readings(("not tried", ""), ("yes", ""), of="default_refused")),
    silent("deviation-in-doubt", "the factory code was refused later", found=readings(
        ("no", f"{DAY}T08:42"), ("yes", f"{DAY}T08:43"), of="default_refused")),
    silent("deviation-in-doubt", "nothing is planned", found=readings((7, f"{DAY}T08:42"), (8, ""))),
    silent("deviation-in-doubt", "both count as planned, a display step apart", planned={"range_high": 100},
           found=readings(("100.05", ""), ("99.95", ""), of="range_high")),
    silent("deviation-in-doubt", "the day before", planned={"channel": 7},
           found=readings((7, f"{DAY}T08:42"), (8, "2026-03-31"))),
    silent("readings-disagree", "they agree", found=readings((7, ""), ("07", ""))),
    silent("readings-disagree", "one of them is blank", planned=[{}, {}],
           found={"0.csv": [{"channel": 7}, {"channel": 7}], "1.csv": [{"channel": "-"}, {"channel": 7}]}),
    silent("readings-disagree", "within the display", found={"0.csv": [{"range_high": "10.0"}],
                                                            "1.csv": [{"range_high": "10.09"}]}),
    silent("read-before-installation", "the same day", planned={"installed_on": "2026-04-01"},
           found={"read_at": "2026-04-01T00:01"}),
    silent("read-before-installation", "the same day where the clock is ahead of Greenwich",
           planned={"installed_on": "2026-04-01"}, found={"read_at": "2026-04-01T00:30+02:00"}),
    silent("read-before-installation", "no day of installation", idle=True, found={"read_at": "2026-04-01"}),
    silent("read-before-set", "the same day, and nobody says at which hour it was set",
           found={"read_at": "2026-03-05T09:00", "configured_at": "2026-03-05"}),
    silent("read-before-set", "the same hour, and only one says from where it is counted",
           found={"read_at": "2026-03-05T09:00+02:00", "configured_at": "2026-03-05T09:00"}),
    silent("read-before-set", "the day before in Greenwich, where it may be the day after",
           found={"read_at": "2026-03-04T23:30Z", "configured_at": "2026-03-05T00:15"}),
    silent("read-before-set", "read again after it was set",
           found={"1.csv": [{"read_at": "2026-03-02", "configured_at": "2026-03-05"}],
                  "2.csv": [{"read_at": "2026-03-06", "configured_at": ""}]}),
    silent("read-before-set", "nobody says when it was set", idle=True, found={"read_at": "2026-03-05"}),
    silent("read-before-set", "no day that anybody can read", idle=True,
           found={"read_at": "2026-03-05", "configured_at": "last spring"}),
    silent("readback-looks-copied", "one text is spelled otherwise", planned=OWN,
           found=[OWN[0], OWN[1] | {"channel": "7"}]),
    silent("readback-looks-copied", "four texts with a spelling of their own are too few",
           planned=[OWN[0], OWN[1] | {"channel": "7", "address": "2"}],
           found=[OWN[0], OWN[1] | {"channel": "7", "address": "2"}]),
    silent("readback-looks-copied", "one node alone", planned=OWN[:1], found=OWN[:1]),
    silent("readback-looks-copied", "an export", idle=True, planned=OWN,
           found=[row | {"read_how": "export"} for row in OWN]),
    silent("readback-looks-copied", "plain numbers are alike by themselves",
           planned=[{"channel": 7, "address": n} for n in (11, 12, 13)],
           found=[{"channel": 7, "address": n} for n in (11, 12, 13)]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A readback that proves less than it seems to is reported with the text that says so."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A readback that gives no such sign is not suspected."""
    case.check(tmp_path)


@pytest.mark.parametrize("order", [(7, 8, 8), (8, 7, 8), (8, 8, 7)], ids=str)
def test_undated_readings_that_disagree_are_reported_in_any_order(
    order: tuple[int, int, int], tmp_path: Path
) -> None:
    """Nothing says which of three undated readings is the newest, so neither can their order."""
    findings = audit_of(
        tmp_path, rules="readings-disagree", found=readings(*((value, "") for value in order))
    )

    assert [f.node for f in findings] == ["A"]


@pytest.mark.parametrize(
    ("rule", "older", "newer"),
    [
        ("self-checked", {"read_by": "A. Sample"}, {"read_by": "B. Other"}),
        ("plan-revision-stale", {"plan_revision": "2"}, {"plan_revision": "3"}),
        ("read-before-installation", {}, {}),
    ],
)
def test_a_better_reading_of_the_same_settings_puts_it_right(
    rule: str, older: dict[str, str], newer: dict[str, str], tmp_path: Path
) -> None:
    """What the remedy asks for has been done, so the older reading is no longer a finding."""
    row = {"channel": 7, "configured_by": "A. Sample"}

    findings = audit_of(
        tmp_path,
        rules=rule,
        planned={"channel": 7, "installed_on": "2026-04-02"},
        found={
            "old.csv": [row | {"read_at": "2026-04-01"} | older],
            "new.csv": [row | {"read_at": "2026-04-03"} | newer],
        },
    )

    assert findings == []


def test_many_rows_of_a_day_before_the_installation_are_told_once(tmp_path: Path) -> None:
    """A row a setting, as entries are: one visit too early is one finding a node and day."""
    times = ["2026-03-30T09:00", "2026-04-01T09:00:10", "2026-04-01T09:00:40", "2026-04-01T09:01:20"]
    settings: list[dict[str, Any]] = [{"channel": 7}, {"address": 3}, {"firmware": "2.1"}, {"seal": "S-1"}]
    found = [{"tag": "A", "read_at": time} | one for time, one in zip(times, settings, strict=True)]

    findings = audit_of(tmp_path, rules="read-before-installation", planned={"installed_on": "2026-04-02"},
                        found=found)  # fmt: skip

    assert [(f.message, f.raw) for f in findings] == [
        ("read on 2026-03-30, installed on 2026-04-02", times[0]),
        ("read on 2026-04-01, installed on 2026-04-02", times[1]),
    ]


def test_of_the_factory_code_nothing_is_called_planned(tmp_path: Path) -> None:
    """No plan says that it is refused: it has to be."""
    result = result_of(tmp_path, found=readings(("no", ""), ("yes", ""), of="default_refused"))
    (told,) = [rule for rule in result.rules if rule.id == "deviation-in-doubt"]

    assert told.id in [finding.rule for finding in result.findings]
    assert "planned" not in told.title + told.why


def test_each_person_is_reported_for_their_own_readings(tmp_path: Path) -> None:
    """Two people who each checked their own work are both named, in the message or as evidence."""
    found = [{"configured_by": name, "read_by": name} for name in ("A. Sample", "B. Other")]

    findings = audit_of(tmp_path, rules="self-checked", planned=[{}, {}], found=found)

    said = " ".join([f.message for f in findings] + [str(e.raw) for f in findings for e in f.evidence])
    assert "A. Sample" in said
    assert "B. Other" in said


def test_a_day_of_installation_that_is_no_date_is_a_fault_of_the_plan(tmp_path: Path) -> None:
    """A day that cannot be read stops the run with its place, as any other unclear text of a plan does."""
    from audit.errors import InputProblems

    with pytest.raises(InputProblems, match=r"North\.csv.*\n?.*31/03/2026|31/03/2026"):
        audit_of(tmp_path, planned={"installed_on": "31/03/2026"}, found={"read_at": "2026-04-01"})


def test_last_years_sheet_fails_the_annual_audit(tmp_path: Path) -> None:
    """It is a note at a handover in stages, and no audit of this year."""
    found = {"read_at": "2024-05-13"}
    levels = {
        gate: [f.level for f in result_of(tmp_path / gate, gate=gate, found=found).findings
               if f.rule == "reading-too-old"]
        for gate in ("handover", "annual")
    }  # fmt: skip

    assert levels == {"handover": ["note"], "annual": ["error"]}


def test_what_has_no_day_is_reported_as_not_looked_at(tmp_path: Path) -> None:
    """One day among three rows does not make the age of the others known."""
    found = [{"channel": 7, "read_at": "2026-04-01"}, {"channel": 7}, {"channel": 7}]
    result = result_of(tmp_path, planned=[{}, {}, {}], found=found)

    reasons = {entry.rule: entry.reason for entry in result.not_checked}
    assert reasons["reading-too-old"] == "in part, for lack of read_at on 2"
