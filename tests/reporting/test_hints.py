"""How a value came about: one line in every report, if there is something to say."""

from __future__ import annotations

import json

import pytest

from audit.cli.writing import as_bytes
from audit.model.result import Finding, Result, Slip
from audit.reporting.formats import by_name, render
from tests.reporting.renew_golden import found

SLIP = "likely slip: two neighbouring digits swapped (99 %)"
DOUBT = "the plan may be wrong: the gateway and 4 of its 4 nodes read show 21"


@pytest.fixture(scope="module")
def result() -> Result:
    """Return the first example, with doubt about the plan for the node that has its digits exchanged."""
    whole = found()

    def doubted(finding: Finding) -> Finding:
        more = {"doubtful_side": "plan", "doubt": DOUBT}
        return finding.model_copy(update=more) if finding.slip == SLIP else finding

    return whole.model_copy(update={"findings": [doubted(finding) for finding in whole.findings]})


def test_text_has_the_lines_under_the_evidence(result: Result) -> None:
    """It comes before the follow-on findings, why and remedy."""
    text = render(result, by_name("text"))

    assert isinstance(text, str)
    after = text.partition(f"   {SLIP}\n")[2]
    assert after.startswith(f"   {DOUBT}\n   1 follow-on finding:\n")


@pytest.mark.parametrize("name", ["html", "markdown", "punch-csv", "junit"])
def test_every_report_says_it(result: Result, name: str) -> None:
    """The same words everywhere."""
    text = as_bytes(render(result, by_name(name))).decode()

    assert SLIP in text.replace("\\(", "(").replace("\\)", ")")
    assert DOUBT in text


def test_sarif_says_it_in_the_message_and_for_machines(result: Result) -> None:
    """A viewer shows the sentence; a program finds id and odds."""
    text = render(result, by_name("sarif"))
    results = json.loads(text)["runs"][0]["results"]
    (one,) = [
        part for part in results if part["ruleId"] == "address-differs" and "83" in part["message"]["text"]
    ]

    assert f"L{SLIP[1:]}. T{DOUBT[1:]}." in one["message"]["text"]
    assert one["properties"]["doubtfulSide"] == "plan"
    assert [Slip.model_validate(slip).id for slip in one["properties"]["slips"]] == ["transposed"]


def test_a_finding_without_a_name_looks_as_before(result: Result) -> None:
    """No empty line, no empty words."""
    (unread,) = [f for f in result.findings if f.rule == "node-not-read"]

    assert unread.hints == []
    assert (
        "slip"
        not in as_bytes(
            render(result.model_copy(update={"findings": [unread], "packs": []}), by_name("text"))
        ).decode()
    )
