"""The patterns of folding that rule files may name, their code, and what becomes of what they yield."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import cast, get_args

import pytest

from audit.checking import Found
from audit.folding.causes import Causes
from audit.folding.findings import Alone, Cause, Findings, Step, Under
from audit.folding.registry import PATTERNS, Pattern, fold
from audit.model.arguments import PatternName
from audit.model.finding import Hit
from audit.model.site import Site
from audit.reading.rules import read_rulebook
from tests.folding.sites import nodes
from tests.site_builder import audit_of


def test_every_pattern_has_its_code() -> None:
    """A pattern that is accepted in a rule but has no code would stop every run."""
    accepted = set(get_args(PatternName))
    coded = set(PATTERNS)

    assert sorted(accepted - coded) == [], "name its function in PATTERNS of audit/folding/registry.py"
    assert sorted(coded - accepted) == [], "name it in PatternName of audit/model/arguments.py"


@pytest.mark.parametrize("pattern", ["gateway-drifted", "unit-drifted", "same-drift"])
def test_a_site_rule_may_name_a_pattern_of_drift_for_check_too(pattern: str, tmp_path: Path) -> None:
    """Without a baseline nothing has drifted, so it finds nothing; such a rule ended `check` in a fault."""
    rule = {
        "id": "campaign", "title": "One campaign (invented)", "level": "note", "applies_to": "network",
        "check": {"kind": "fold", "pattern": pattern}, "why": "It is one cause.",
        "remedy": "Ask who set them.", "source": "common practice",
    }  # fmt: skip
    findings = audit_of(tmp_path, planned=nodes(4, channel=7), found=nodes(4, channel=[7, 8, 9, 7]),
                        site_rules={"rules": [rule]})  # fmt: skip

    assert "campaign" not in {finding.rule for finding in findings}


RULES = {rule.id: rule for rule in read_rulebook((), None).rules}
SWAPPED = RULES["values-swapped"]
"""A rule of folding; the tests give it patterns of their own."""
FOUR = [Found(RULES["silent-node"], Hit("North", tag, (), f"{tag} is silent")) for tag in "ABCD"]
BOTH = Hit("North", "", (), "A and B are silent")


def folded(*steps: Step) -> tuple[list[Found], Causes]:
    """Return what comes of four findings and a pattern that yields these steps."""

    def pattern(findings: Findings, at_least: int) -> Iterator[Step]:
        yield from steps

    return fold(cast("Site", None), FOUR, [SWAPPED], {"swapped": pattern})


def test_a_cause_is_added_with_its_rule_and_its_dependents_go_under_it() -> None:
    """The pattern yields facts only: the rule is that of folding."""
    items, causes = folded(Cause(BOTH, (0, 1)))

    assert items == [*FOUR, Found(SWAPPED, BOTH)]
    assert causes == {0: 4, 1: 4}


def test_a_finding_stays_under_its_first_cause() -> None:
    """What one step has put under a cause, the next one leaves alone."""
    _, causes = folded(Under(0, 2), Cause(BOTH, (0, 1)))

    assert causes == {0: 2, 1: 4}


def test_a_finding_that_does_not_follow_from_its_cause_is_taken_out_again() -> None:
    """It has no cause then, and may get another one."""
    _, causes = folded(Under(0, 1), Under(2, 1), Alone(0), Alone(2), Under(2, 3))

    assert causes == {2: 3}


def test_a_cause_that_repeats_what_a_rule_says_has_its_words() -> None:
    """The remedy of folding comes first, and then what to do about each finding."""
    its = FOUR[0].rule
    items, _ = folded(Cause(BOTH, (0, 1), repeats=its))
    rule = items[-1].rule

    assert (rule.id, rule.why, rule.source) == (SWAPPED.id, its.why, its.source)
    assert rule.remedy == f"{SWAPPED.remedy} {its.remedy}"


def test_a_pattern_sees_what_became_of_its_last_step() -> None:
    """Each step is carried out before the pattern goes on, so it does not give a finding two causes."""
    free: list[list[int]] = []

    def pattern(findings: Findings, at_least: int) -> Iterator[Step]:
        yield Cause(BOTH, (0, 1))
        free.append([i for i, _ in findings.free()])
        yield Under(2, 4)
        free.append([i for i, _ in findings.free()])

    patterns: dict[PatternName, Pattern] = {"swapped": pattern}
    fold(cast("Site", None), FOUR, [SWAPPED], patterns)

    assert free == [[2, 3, 4], [3, 4]]
