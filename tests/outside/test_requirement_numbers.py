"""The requirement numbers that rules name exist in the published lists.

That a number is that of the right requirement is tested for three rules only, whose texts were seen.

Sources:
- NIST SP 800-53 Rev 5 (2020): the ids of the high-impact baseline in the families AC to CM, IA, SC and
  SI, from NIST's own OSCAL file NIST_SP-800-53_rev5_HIGH-baseline_profile.json, version Final, last modified
  2021-06-08.
- NIST SP 800-82 Rev 3 (2023), Appendix F, OT overlay: made of controls of SP 800-53 Rev 5; from memory, not
  verified.
- IEC 62443-3-3 (2013) and IEC 62443-4-2 (2019): how many requirements each group has, from memory, in
  agreement with tables of contents that others quote; not verified against the standards.
- SEEN in excerpts: CR 1.5 b, recognition of changes to default authenticators; CR 1.7, strength of
  password-based authentication; IA-5 e, changing default authenticators prior to first use; IA-5 f, changing
  or refreshing them after a time that the organization sets; IA-5(1), commonly used passwords, repetitive or
  sequential characters. A published mapping puts IA-5, SR 1.5 and CR 1.5 side by side. SR 1.7 was not seen.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.model.rule import RuleFile
from audit.reading.documents import read_model
from audit.reading.rules import read_rulebook
from audit.resources import folder

CONTROLS = set((Path(__file__).parent / "data/sp-800-53r5-high.txt").read_text(encoding="utf-8").split())
SYSTEM = {1: 13, 2: 12, 3: 9, 4: 3, 5: 4, 6: 2, 7: 8}
"""Foundational requirement → how many system requirements (SR) it has in IEC 62443-3-3."""
COMPONENT = {1: 14, 2: 13, 3: 14, 4: 3, 5: 4, 6: 2, 7: 8}
"""The same for IEC 62443-4-2; some apply to one sort of component only (EDR, HDR, NDR, SAR)."""

NAMED = [
    (rule.id, framework, number)
    for work in ("check", "drift")
    for rule in read_rulebook((), None, work=work).rules
    for framework, numbers in rule.requirements.items()
    for number in numbers
]


@pytest.mark.parametrize(("rule", "framework", "number"), sorted(set(NAMED)))
def test_the_number_is_in_the_list(rule: str, framework: str, number: str) -> None:
    """The number exists: one beyond the list would send an auditor to no requirement at all."""
    if framework == "nist-sp-800-53r5":
        assert number in CONTROLS
        return
    kind, _, rest = number.partition(" ")
    group, place = map(int, rest.split("."))
    most = SYSTEM if framework == "iec-62443-3-3" else COMPONENT
    assert (kind == "SR") == (framework == "iec-62443-3-3")
    assert 1 <= place <= most[group]


@pytest.mark.parametrize(
    ("rule", "numbers"),
    [
        (
            "default-code-accepted",
            {"iec-62443-4-2": "CR 1.5", "iec-62443-3-3": "SR 1.5", "nist-sp-800-53r5": "IA-5"},
        ),
        ("code-too-old", {"iec-62443-4-2": "CR 1.5", "iec-62443-3-3": "SR 1.5", "nist-sp-800-53r5": "IA-5"}),
        ("code-trivial", {"iec-62443-4-2": "CR 1.7", "nist-sp-800-53r5": "IA-5(1)"}),
    ],
)
def test_the_number_is_that_of_the_requirement(rule: str, numbers: dict[str, str]) -> None:
    """SEEN: a mistyped number would send an auditor to another requirement."""
    named = {(framework, number) for of_rule, framework, number in NAMED if of_rule == rule}

    assert set(numbers.items()) == {one for one in named if one[0] in numbers}


def test_rules_on_access_name_requirements() -> None:
    """Each rule of the security pack does, except those on batteries, which are not about access."""
    path = folder("rules") / "security.yaml"
    security = read_model(path, RuleFile, "rules", path.name)[0]

    assert {r.id for r in security.rules if not r.requirements} <= {"battery-type-wrong"}
