"""The report as text: verdict first, causes before symptoms, values as typed, nothing a terminal obeys."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.model.result import EvidencePlace, Finding, Result, Since
from audit.phrases import clean
from audit.reporting.lines import Lines
from audit.reporting.text_report import render, where_it_stands
from tests.reporting.parts import WAIVED, finding
from tests.the_examples import audit


def with_findings(result: Result, findings: list[Finding]) -> str:
    """Return the report of a result with other findings."""
    return render(result.model_copy(update={"findings": findings}))


def test_the_verdict_is_the_first_word(failed: Result) -> None:
    """A reader sees pass or fail before anything else, and again at the end."""
    assert render(failed).startswith("FAIL  Merrow Vale")
    assert render(audit("merrow-vale", "as-left")).startswith("PASS  Merrow Vale")
    assert "\nFAIL: 16 errors, 0 warnings, 0 notes\n" in render(failed)


def test_the_plan_alone_is_said_to_be_alone() -> None:
    """A check without a readback does not speak of settings that were not read."""
    text = render(audit("merrow-vale"))

    assert "the plan alone was checked" in text
    assert text.splitlines()[1].startswith("The plan alone, by the levels of handover: fails on errors")


@pytest.mark.parametrize(("number", "says"), [(1, "1 differs"), (2, "2 differ")])
def test_one_setting_differs_and_two_differ(failed: Result, number: int, says: str) -> None:
    """The verdict is read first."""
    counts = failed.counts.model_copy(update={"differing": number})

    assert f"{says}, 15 not read" in render(failed.model_copy(update={"counts": counts}))


def test_a_waived_finding_is_told_with_its_waiver(failed: Result) -> None:
    """It is not among the causes, and nobody has to look up elsewhere what is waived."""
    one = finding(1, waived=WAIVED)
    _, _, text = with_findings(failed, [one]).partition("\nWAIVED, listed and not counted above\n")

    told, waiver = text.strip().splitlines()[:2]
    assert told.startswith(f"- {one.level}, ")
    assert f"{one.message} ({one.rule})" in told
    assert waiver.startswith(f"    waiver {WAIVED.waiver}, approved by {WAIVED.approver}, until ")


def test_numbers_are_printed_as_they_are(failed: Result) -> None:
    """7.50 and 1e5 are in the tables as they were typed."""
    text = with_findings(failed, [finding(1)])

    assert re.search(r"channel +7\.50 +1e5", text)


@pytest.mark.parametrize(
    ("settings", "shown"),
    [
        (["high_alarm", "low_alarm"], "high_alarm, low_alarm"),
        (["a", "b", "c", "d", "e"], "a, b, c and 2 more"),
        ([], "r-1"),
    ],
)
def test_a_finding_about_several_settings_names_them_in_the_table(
    failed: Result, settings: list[str], shown: str
) -> None:
    """The first alone would send somebody to a setting that may be right."""
    network = failed.networks[0].network
    one = finding(1, rule="r-1", network=network, settings=settings, setting=next(iter(settings), None),
                  planned=None, found=None)  # fmt: skip
    text = with_findings(failed, [one])
    (row,) = re.findall(r"\n  1 +error +N-1 (.*)", text)

    assert " ".join(row.split()).endswith(shown)


def test_the_table_of_networks_adds_up(failed: Result) -> None:
    """Findings outside any network have a row of their own, except notes, which the table does not count."""
    counts = failed.counts.model_copy(update={"warnings": failed.counts.warnings + 1})
    noted = failed.counts.model_copy(update={"notes": failed.counts.notes + 1})

    assert re.search(r"\n  \(none\)( +0)+ +1\n", render(failed.model_copy(update={"counts": counts})))
    assert "(none)" not in render(failed.model_copy(update={"counts": noted}))


def test_causes_are_numbered_and_symptoms_point_at_them(failed: Result) -> None:
    """A dependent is listed below its cause, and in the table under the cause's number."""
    cause = finding(1, dependents=["rule/2"])
    text = with_findings(failed, [cause, finding(2, caused_by="rule/1")])

    assert "1. error: North N-1: message 1" in text
    assert "- error, N-2: message 2" in text
    assert re.search(r"under 1 +error +N-2", text)


def test_what_goes_with_a_cause_in_the_same_words_is_told_once(failed: Result) -> None:
    """Twenty devices with one wrong default are named, and the message is not repeated twenty times."""
    below = [finding(n, caused_by="rule/1", message="power 27") for n in (2, 3)]
    cause = finding(1, message="planned once: power 27", dependents=["rule/2", "rule/3", "rule/4"])
    text = with_findings(failed, [cause, *below, finding(4, caused_by="rule/1")])

    assert "3 follow-on findings:\n     - error, N-2, N-3: the same\n     - error, N-4: message 4\n" in text


def test_why_and_remedy_are_told_once_a_rule(failed: Result) -> None:
    """The second finding of a rule refers to the first, so that the report stays short."""
    text = with_findings(failed, [finding(1), finding(2)])

    assert text.count("because") == 1
    assert "why and remedy: see cause 1" in text


def test_another_remedy_of_the_same_rule_is_told(failed: Result) -> None:
    """If the plan is wrong, the remedy begins with the plan, and so it is shown and not referred to."""
    findings = [finding(1), finding(2, remedy="Correct the plan first. mend it"), finding(3)]

    text = with_findings(failed, findings)

    assert "remedy: Correct the plan first. mend it" in text
    assert text.count("see cause 1") == 1


def test_long_reports_are_cut_and_say_so(failed: Result) -> None:
    """Beyond a hundred causes the report says how many are left out, unless all are asked for."""
    many = failed.model_copy(update={"findings": [finding(n) for n in range(130)]})

    assert "… and 30 more" in render(many)
    assert "130. error" in render(many, everything=True)


@pytest.mark.parametrize("width", [40, 80, 100, 200])
def test_lines_fit_the_width(failed: Result, width: int) -> None:
    """No line is wider than asked for, except digests, file names and commands, which are not broken."""
    wide = [line for line in render(failed, width).splitlines() if len(line) > width]

    assert (
        all(re.fullmatch(r"\s*([0-9a-f]{64}|\S*examples/\S+|asfound .+|[- ]{2,})\s*", line) for line in wide)
        or width < 80
    )


def test_nothing_is_said_by_colour_alone(failed: Result) -> None:
    """Without its colours the coloured report is the plain one."""
    coloured = render(failed, colour=True)

    assert "\x1b[31" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == render(failed)


def section(result: Result, everything: bool = False) -> str:
    """Return what the report says was not checked, without its line breaks."""
    return " ".join(render(result, everything=everything).split("NOT CHECKED")[1].split("INPUTS")[0].split())


def test_what_was_not_checked_is_grouped_by_reason() -> None:
    """What the plan lacks comes first, since somebody can add it; then come rules without an object."""
    said = section(audit("merrow-vale"))

    assert said.startswith("for lack of: a setting marked `critical` in the device types (critical-not-")
    assert "; a sensitivity in the device types (weak-link-margin); " in said
    assert "a licence (airtime-excess); " in said
    assert "needs a readback: address-differs, address-pair-swapped, " in said


def test_rules_that_were_not_checked_are_counted_where_they_are_many() -> None:
    """So that they are not longer than the findings; none goes without being counted."""
    result = audit("merrow-vale")
    said, whole = section(result), section(result, everything=True)

    assert re.search("alarm-switched and [1-9][0-9]+ more no device type has a setting for it: ", said)
    assert said.endswith("`--all` names all of these rules.")
    assert [idle.rule for idle in result.not_checked if idle.rule not in whole] == []
    assert " more" not in whole


def test_many_rules_that_were_checked_in_part_are_all_named() -> None:
    """Then `--all` has no more names."""
    result = audit("merrow-vale")
    in_part = [
        idle.model_copy(update={"reason": "in part, for lack of a day on 3"}) for idle in result.not_checked
    ]

    said = section(result.model_copy(update={"not_checked": in_part}))

    assert [idle.rule for idle in in_part if idle.rule not in said] == []
    assert "--all" not in said


def test_an_auditor_reads_the_names_of_all_rules_that_were_not_checked() -> None:
    """At a gate that asks for evidence."""
    result = audit("tarnbeck", "as-left", gate="annual")

    assert [idle.rule for idle in result.not_checked if idle.rule not in section(result)] == []


def test_inputs_have_their_digests(failed: Result) -> None:
    """Every file that was read is listed with its SHA-256."""
    text = render(failed)

    assert all(file.file in text and (file.sha256 or "") in text for file in failed.inputs)


@pytest.mark.parametrize("word", ["safe", "compliant"])
def test_no_report_promises(failed: Result, word: str) -> None:
    """A report never calls anything safe or compliant."""
    assert not re.search(rf"\b{word}\b", render(failed, everything=True), re.IGNORECASE)


def test_a_place_reads_as_a_person_would_look_it_up() -> None:
    """File, sheet, row, column, heading and the raw text."""
    place = EvidencePlace(file="a.xlsx", sheet="S", row=4, column="C", heading="CH", raw="07")

    assert where_it_stands(place) == "a.xlsx [S] row 4 column C (CH): '07'"

    in_yaml = EvidencePlace(file="plan.yaml", sheet=None, row=4, column="9", heading="channel", raw="7")

    assert where_it_stands(in_yaml) == "plan.yaml line 4 column 9 (channel): '7'", "YAML has lines, not rows"


def test_a_place_in_a_record_has_its_line() -> None:
    """And the number of the record, since a whole file of them may be on one line."""
    place = EvidencePlace(
        file="a.json", sheet=None, row=25, column="radio.ch", heading="CH", raw="7", record=2
    )

    assert where_it_stands(place) == "a.json line 25 (record 2, radio.ch): '7'"


def test_what_is_no_more_begins_with_what_it_says(failed: Result) -> None:
    """A finding about the site as a whole has no place before its message."""
    whole = finding(1, network=None, node=None, message="codes stand in it")
    since = Since(file="earlier.json", sha256="0" * 64, run_on="2025-04-20", absent=[whole, finding(2)],
                  not_read_again=[finding(3)])  # fmt: skip
    text = render(failed.model_copy(update={"since": since}))

    assert "  - gone: codes stand in it (channel-differs)\n" in text
    assert "  - gone: North N-2: message 2 (channel-differs)\n" in text
    assert "0 new findings, 2 findings gone, 1 not read again\n" in text
    assert "  - not read again: North N-3: message 3 (channel-differs)\n" in text


@given(st.text(max_size=40))
def test_cleaned_text_has_no_control_characters(text: str) -> None:
    """No escape sequence, line break or change of direction from a file reaches the terminal."""
    cleaned = clean(text)

    assert not re.search("[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff]", cleaned)
    assert clean("PT-101 °C µS/cm") == "PT-101 °C µS/cm"


@given(st.text(max_size=60), st.integers(20, 100))
def test_paragraphs_fit_whatever_they_hold(text: str, width: int) -> None:
    """Any text is wrapped into lines of at most the width, except for words that are longer than a line."""
    lines = Lines(width, colour=False)
    lines.add(text, indent=2, hang=3)

    assert all(len(row) <= max(width, 40) or len(row.strip(" ").split(" ")) == 1 for row in lines.rows)


@pytest.mark.parametrize(
    ("file", "at"),
    [("plan.yaml", "line 3"), ("PLAN.YAML", "line 3"), ("lower.jsonl.txt", "line 3"), ("lower.csv", "row 3")],
)
def test_what_a_position_in_a_file_is_called(file: str, at: str) -> None:
    """Whatever the case of its ending, and for entries shared from a phone too."""
    place = EvidencePlace(file=file, sheet=None, row=3, column=None, heading=None, raw=None)

    assert where_it_stands(place).startswith(f"{file} {at}")
