"""rules/work.yaml as data: every name in it exists, and every list can be made from it."""

from __future__ import annotations

import re

import pytest

from audit.errors import InputProblems
from audit.model.roles import OBSERVED_ROLES, ROLES
from audit.model.work import PHASES, WorkFile
from audit.reading.documents import build, read_model
from audit.reading.rules import read_rulebook
from audit.reading.yaml_core import load
from audit.resources import folder, rule_files

FILE = folder("rules") / "work.yaml"
WORK: WorkFile = read_model(FILE, WorkFile, "work", "rules/work.yaml")[0]
RULES = {rule.id: rule for rule in read_rulebook((), None).rules}


def test_every_role_is_one_and_stands_once() -> None:
    """A role has one manner of being set, or is never set."""
    roles = [*WORK.never_set, *(role for work in WORK.settings for role in work.roles)]

    assert set(roles) <= set(ROLES)
    assert len(roles) == len(set(roles))


def test_every_rule_is_one_and_stands_once() -> None:
    """A misspelt rule would silently fall back on its remedy."""
    named = [rule for work in WORK.rules for rule in work.rules]

    assert set(named) <= set(RULES)
    assert len(named) == len(set(named))


def test_a_setting_of_any_role_can_be_changed() -> None:
    """One entry without roles applies to the rest."""
    assert sum(not work.roles for work in WORK.settings) == 1
    assert WORK.for_role("x_own").minutes > 0
    assert WORK.for_role("address").phase == "address"


def test_what_comes_before_what_during_a_visit() -> None:
    """Look, then read; unlock before anything is set; codes and locks last."""
    assert PHASES.index("look") < PHASES.index("unlock") < PHASES.index("address") < PHASES.index("radio")
    assert PHASES[-2:] == ("code", "lock")
    assert all(WORK.for_role(role).phase == "lock" for role in ("local_lock", "join_window"))


@pytest.mark.parametrize(
    "rule",
    [
        "default-code-accepted",
        "default-code-not-tried",
        "code-trivial",
        "code-shared",
        "code-shared-elsewhere",
        "code-too-old",
        "code-age-unknown",
        "code-unchanged",
        "code-not-changed-as-noted",
    ],
)
def test_codes_are_changed_last_and_never_undone(rule: str) -> None:
    """No step sets a factory code again."""
    work = WORK.for_rule(rule)

    assert work is not None
    assert work.phase == "code"
    assert work.rollback.startswith("none")


def test_batteries_are_for_competent_persons() -> None:
    """As IEC 60079-14 has it (from memory, not verified)."""
    work = WORK.for_rule("battery-type-wrong")

    assert work is not None
    assert "competent person" in work.hold


def test_no_word_promises_what_nobody_can() -> None:
    """Neither safe nor compliant; and that the list authorises nothing is always said."""
    text = FILE.read_text(encoding="utf-8")

    assert not re.search(r"(?i)\b(safe|compliant)\b", text)
    assert any("authorises nothing" in one.text for one in WORK.cautions if one.when == "always")
    assert {one.when for one in WORK.cautions} == {"always", "alarms", "moves_outputs", "hazardous_area"}


def test_it_is_no_pack_of_rules() -> None:
    """`asfound rules` does not read it as one."""
    assert FILE not in rule_files()


def test_a_misspelt_key_is_an_error_with_its_line() -> None:
    """As in every file that people write."""
    text = FILE.read_text(encoding="utf-8").replace("    phase: address\n", "    phaze: address\n", 1)
    with pytest.raises(InputProblems, match="phaze"):
        build(load(text, "work.yaml"), WorkFile, "work")


def test_what_is_seen_is_never_set() -> None:
    """Nobody keys in a voltage, a signal or the day on which a code was changed."""
    assert {*OBSERVED_ROLES, "code_changed_on"} <= set(WORK.never_set)
