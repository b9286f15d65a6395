"""The study on a few sites, every fault alone, and a place of testing for every rule."""

from __future__ import annotations

import pytest

from audit.model.arguments import Fold
from audit.reading.rules import read_rulebook
from tests.study.__main__ import report
from tests.study.devices import NAMES
from tests.study.faults import FAULTS
from tests.study.put_right import LASTING, at_devices, told_after
from tests.study.running import MOST_FAULTS, judged, rule_of

SITES = range(1, 21)
ELSEWHERE = {
    "tag-became-date": "tests/checks/test_identity.py: needs tags that look like dates",
    "serial-damaged": "tests/checks/test_identity.py: needs serial numbers of many digits",
    "serial-corrected": "tests/checks/test_identity.py: needs a second reading with another serial number",
    "address-not-planned": "tests/checks/test_planned_beside.py: about what the plan leaves out",
    "radio-not-planned": "tests/checks/test_planned_beside.py: needs several gateways",
    "critical-not-planned": "tests/checks/test_planned_beside.py: about what the plan leaves out",
    "value-not-approved": "tests/checks/test_one_of.py: needs a list of values for another setting",
    "row-names-no-device": "tests/checks/test_loose_rows.py: needs rows without names",
    "reading-of-no-setting": "tests/checks/test_no_such_setting.py: needs two types with different settings",
    "row-without-reading": "tests/checks/test_loose_rows.py: needs rows that are not devices",
    "matched-by-settings": "tests/checks/test_identity.py: needs rows without names",
    "read-after-run": "tests/checks/test_evidence.py: depends on the day of the run",
    "reading-too-old": "tests/checks/test_evidence.py: depends on the day of the run",
    "reading-undated": "tests/checks/test_evidence.py: at the annual gate only",
    "deviation-in-doubt": "tests/checks/test_evidence.py: needs a second reading that passes",
    "read-in-other-network": "tests/checks/test_evidence.py: a row of a sheet, not a value",
    "node-planned-twice": "tests/pairing/test_planned_twice.py: the plan is at fault, not a value",
    "tag-duplicate": "tests/checks/test_unique.py: other rules object to such a plan too",
    "not-joined": "tests/checks/test_identity.py: needs gateway lists of their own",
    "stale-shown-good": "with silent-node here, alone in tests/checks/test_expression.py",
    "duty-excess": "tests/checks/test_figure.py: needs a band of a tenth of a per cent",
    "airtime-excess": "tests/checks/test_figure.py: needs many nodes on one gateway",
    "channel-shared-nearby": "tests/checks/test_figure.py: needs gateways near each other",
    "path-obstructed": "tests/checks/test_figure.py: a table of nodes has no obstacles",
    "networks-alike": "tests/checks/test_networks_alike.py: needs two networks",
    "network-id-shared": "tests/checks/test_networks_alike.py: needs two networks",
    "radio-off-plan": "tests/checks/test_equals_plan.py: fires if the gateway is off plan in the same way",
    "readback-looks-copied": "tests/checks/copied/: a whole readback is at fault, not a value",
    "code-shared-elsewhere": "tests/checks/test_code_marks.py: needs marks of other sites",
    "code-unchanged": "tests/checks/test_code_marks.py: needs marks of the year before",
    "code-not-changed-as-noted": "tests/checks/test_code_marks.py: needs marks of the year before",
    "sample-rejected": "tests/sampling/", "sample-open": "tests/sampling/",
    "read-network-in-full": "tests/sampling/", "waiver-expired": "tests/test_waiving.py",
    "waiver-expiring": "tests/test_waiving.py", "waiver-lapsed": "tests/test_waiving.py",
    "waiver-unused": "tests/test_waiving.py", "waiver-too-long": "tests/test_waiving.py",
    "waiver-not-in-force": "tests/test_waiving.py",
}  # fmt: skip
"""Rules of `check` for which the study seeds no fault, and where they are tested.

Those of drift have a fleet of 5,000 nodes with 200 changes in tests/drifting/test_running.py. Those that fold
findings (tests/folding/) count as right here if the findings under them are.
"""


def test_every_fault_is_reported_and_nothing_else() -> None:
    """On sites with up to six faults each, all are reported, and every finding has its reason."""
    text, bad = report([judged(seed) for seed in SITES])
    assert not bad, text


@pytest.mark.parametrize("name", NAMES)
def test_a_fault_alone_is_reported_and_nothing_else(name: str) -> None:
    """A fault that is alone on its site is reported, and causes no other finding."""
    one = judged(20_000 + NAMES.index(name), (name,))

    assert [fault for fault, _ in one.seeded] == [name]
    assert (one.missed, one.extra) == ((), ())


@pytest.mark.parametrize("name", [name for name in NAMES if at_devices(name)])
def test_a_fault_that_was_put_right_is_no_longer_told(name: str) -> None:
    """As-found and as-left rows may stand in one readback: the later ones count, as far as they show it."""
    assert [one.message for one in told_after(name) if one.rule not in LASTING] == []


@pytest.mark.parametrize("rule", LASTING)
def test_what_later_rows_do_not_answer_is_still_told(rule: str) -> None:
    """Each exception above has a fault that shows it."""
    assert rule in {one.rule for one in told_after(LASTING[rule][0])}


def test_a_site_without_a_fault_has_no_finding() -> None:
    """What is read back as planned is not mentioned, whatever the form of the readback."""
    assert {judged(seed, ()).findings for seed in range(8)} == {0}


def test_a_missed_fault_and_a_finding_without_a_reason_are_reported() -> None:
    """The report of the study names both, and the program fails."""
    one = judged(1, ("a seal",))
    broken = type(one)(one.seed, one.form, one.seeded, one.seeded, (("setting-differs", "PT-1"),), 1)

    text, bad = report([broken])

    assert bad
    assert "recall 0.00 %, precision 0.00 %" in text
    assert "a seal was not reported by setting-differs" in text


def test_every_rule_is_studied_or_said_to_be_tested_elsewhere() -> None:
    """For each rule it is known where faults are seeded for it."""
    studied = {rule_of(name) for name in NAMES}
    book = read_rulebook([], None).rules

    unstudied = {rule.id for rule in book if not isinstance(rule.check, Fold)} - studied
    assert sorted(unstudied - set(ELSEWHERE)) == [], (
        "seed a fault in tests/study (faults.py, devices.py), or add it to ELSEWHERE"
    )
    assert sorted(set(ELSEWHERE) - unstudied) == [], "take out of ELSEWHERE what has a fault, or no rule"


def test_faults_are_seeded_together() -> None:
    """The sites of the study hold several faults at once."""
    assert MOST_FAULTS >= 4
    assert max(len(judged(seed).seeded) for seed in range(1, 9)) >= 4
    assert len(FAULTS) >= 88
