"""Slips in site rules: an error with line and column, never a rule that silently checks nothing."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from tests.refusing import assert_refused, refusal
from tests.small_site import DEFAULTS, SETTINGS, Named, small_site

EQUALS: dict[str, Any] = {"kind": "equals-plan", "roles": ["channel"]}
CEL: dict[str, Any] = {"kind": "expression", "when": "found.alarm_high < 1.0", "needs": ["alarm_high"]}


def test_the_rules_altered_here_are_valid(tmp_path: Path) -> None:
    """Unaltered, the two rules of these tests are accepted and find nothing."""
    site = small_site(tmp_path)

    assert site.check("--rules", site.own_rules(EQUALS)).code == 0
    assert site.check("--rules", site.own_rules(CEL)).code == 0


AIRTIME: dict[str, Any] = {"kind": "figure", "figure": "airtime", "assume": {"collision_percent": 5}}


NAMES: list[Any] = [
    pytest.param(AIRTIME, "figure: airtime", "figure: air-time", "'air-time' is not allowed", "airtime",
                 id="figure"),
    pytest.param(AIRTIME, "collision_percent", "collisions", "'airtime' does not use 'collisions'",
                 "collision_percent", id="assumed number"),
    pytest.param(EQUALS, "kind: equals-plan", "kind: equal-plan", "unknown kind 'equal-plan'", "equals-plan",
                 id="kind"),
    pytest.param(EQUALS, "roles:", "rolls:", "unknown key 'rolls'", "roles", id="argument"),
    pytest.param(EQUALS, "[channel]", "[chanel]", "unknown role 'chanel'", "channel", id="role"),
    pytest.param(EQUALS, "roles: [channel]", "settings: [chanel]", "unknown setting 'chanel'", "channel",
                 id="setting"),
    pytest.param(EQUALS, "[channel]", "[x_mine]", "unknown role 'x_mine'", "",
                 id="own role that no setting has"),
    pytest.param(EQUALS, "roles: [channel]", "roles: channel", "found 'channel'", "[channel]",
                 id="text for a list"),
    pytest.param(EQUALS, "check:\n    kind: equals-plan\n    roles: [channel]", "check: equals-plan",
                 "found 'equals-plan'", "kind", id="kind without its mapping"),
    pytest.param(EQUALS, "level: warning", "level: warnign", "'warnign' is not allowed", "warning",
                 id="level"),
    pytest.param(EQUALS, "id: own-rule", "id: OwnRule", "'OwnRule'", "for instance", id="id in capitals"),
    pytest.param(EQUALS, "id: own-rule", "id: channel-differs", "'channel-differs' is already in",
                 "choose another id", id="id of a built-in rule"),
    pytest.param(EQUALS, "id: own-rule", "yields_to: [chanel-differs]\n  id: own-rule",
                 "unknown rule 'chanel-differs'", "channel-differs", id="rule that it yields to"),
    pytest.param(EQUALS, "rules:", "levels: {chanel-differs: note}\nrules:", "unknown rule 'chanel-differs'",
                 "channel-differs", id="rule of a level"),
    pytest.param(EQUALS, "rules:", "gates: [{id: handover, title: M}]\nrules:",
                 "gate 'handover' is already in rules/gates.yaml", "choose another id",
                 id="id of a built-in gate"),
    pytest.param(EQUALS, "rules:", "levels: {channel-differs: fatal}\nrules:", "'fatal' is not allowed",
                 "error", id="level of a rule"),
    pytest.param(EQUALS, "rules:", "gates: [{id: mine, title: M, levels: {chanel-differs: note}}]\nrules:",
                 "unknown rule 'chanel-differs'", "channel-differs", id="rule of a gate"),
    pytest.param(EQUALS, "check:", "chekc:", "unknown key 'chekc'", "check", id="key of a rule"),
    pytest.param({"kind": "in-order", "roles": ["alarm_low", "alarm_high"]}, "[alarm_low,", "[alarm_lo,",
                 "unknown role 'alarm_lo'", "alarm_low", id="role in order"),
    pytest.param({"kind": "within-limits", "roles": ["channel"], "limits": "numbers", "low": 1}, "numbers",
                 "nubmers", "'nubmers' is not allowed", "numbers", id="limits"),
    pytest.param({"kind": "within-limits", "roles": ["channel"], "limits": "numbers", "low": 1}, "low: 1",
                 "low: .nan", "found nan (in rules > entry 1 > check > low), but a number", "a number",
                 id="limit that is not a number"),
    pytest.param({"kind": "equals-setting", "pairs": [["channel", "address"]]}, "address", "adress",
                 "unknown role 'adress'", "address", id="role of a pair"),
    pytest.param(CEL, "[alarm_high]", "[alarm_hihg]", "unknown role or setting 'alarm_hihg'",
                 "alarm_high", id="name that an expression needs"),
]  # fmt: skip


@pytest.mark.parametrize(("check", "old", "new", "says", "mend"), NAMES)
def test_misspelt_names(tmp_path: Path, check: Named, old: str, new: str, says: str, mend: str) -> None:
    """A misspelt name is reported with its line and the nearest known one."""
    site = small_site(tmp_path)
    rules = site.own_rules(check)
    site.replace(old, new, "own.yaml")

    (problem,) = (problem for problem in refusal(site, "--rules", rules).problems if says in problem)

    assert problem.startswith(f"{site.folder.as_posix()}/{site.line(new, 'own.yaml')}:")
    assert mend in problem.partition("fix: ")[2]


@pytest.mark.parametrize(
    ("check", "mend"),
    [
        ({"what": "too-old"}, "fix: give it, or take it out"),
        ({"what": "too-old"}, "`days` goes with `what: too-old`, and only with that"),
        ({"what": "undated", "days": 30}, "`days` goes with `what: too-old`, and only with that"),
        ({"what": "looks-copied"}, "`signs` goes with `what: looks-copied`, and only with that"),
    ],
    ids=["what to do", "no days", "days for nothing", "no signs"],
)
def test_evidence_without_its_limit(tmp_path: Path, check: Named, mend: str) -> None:
    """Without a limit the rule would find nothing; one that is not used would promise what is not done."""
    site = small_site(tmp_path)

    (problem,) = refusal(site, "--rules", site.own_rules({"kind": "evidence", **check})).problems

    assert mend in problem


WORDS: list[Named] = [
    {"name": "encryption", "kind": "flag", "role": "encryption"},
    {"name": "firmware", "kind": "text", "role": "firmware"},
    {"name": "loss_action", "kind": "option", "role": "loss_action", "options": ["alarm", "hold", "low"]},
]
NO_NUMBERS: list[Any] = [
    pytest.param({"kind": "within-limits", "roles": ["network_id"], "limits": "numbers", "low": 5},
                 "'network_id' is of kind text", id="limits of a text"),
    pytest.param({"kind": "within-limits", "settings": ["encryption"], "limits": "numbers", "low": 1},
                 "'encryption' is of kind flag", id="limits of a flag by name"),
    pytest.param({"kind": "within-limits", "roles": ["loss_action"], "limits": "numbers", "low": 1},
                 "'loss_action' is of kind option", id="limits of an option of words"),
    pytest.param({"kind": "within-limits", "roles": ["channel"], "limits": "settings",
                  "between": ["network_id", "address"]}, "'network_id' is of kind text", id="end of limits"),
    pytest.param({"kind": "in-order", "roles": ["alarm_low", "firmware"]}, "'firmware' is of kind text",
                 id="order"),
    pytest.param({"kind": "smallest-span", "low": "encryption", "high": "range_high"},
                 "'encryption' is of kind flag", id="span"),
    pytest.param({"kind": "within-one", "role": "network_id"}, "'network_id' is of kind text",
                 id="within one"),
]  # fmt: skip


@pytest.mark.parametrize(("check", "says"), NO_NUMBERS)
def test_rules_that_compare_words_as_numbers(tmp_path: Path, check: Named, says: str) -> None:
    """A rule that compares texts, flags or words as numbers would find nothing, and is refused."""
    site = small_site(tmp_path, settings=[*SETTINGS, *WORDS])

    (problem,) = refusal(site, "--rules", site.own_rules(check)).problems

    assert f"{says}, but the check compares numbers" in problem


def test_options_that_are_numbers_are_compared_as_numbers(tmp_path: Path) -> None:
    """The air rate is an option to its device, but a number to a rule that sets a limit."""
    rate = {
        "name": "air_rate",
        "kind": "option",
        "role": "air_rate",
        "unit": "kbit/s",
        "options": ["9.6", "50"],
    }
    site = small_site(tmp_path, settings=[*SETTINGS, rate], defaults={**DEFAULTS, "air_rate": "50"},
                      found={"N-2": {"air_rate": "9.6"}})  # fmt: skip
    check = {"kind": "within-limits", "roles": ["air_rate"], "limits": "numbers", "low": 38.4}

    found = [f for f in site.result("--rules", site.own_rules(check))["findings"] if f["rule"] == "own-rule"]

    assert [f["node"] for f in found] == ["N-2"]
    assert "air_rate 9.6 kbit/s is outside the limits: at least 38.4 kbit/s" in found[0]["message"]


def test_one_slip_is_one_problem(tmp_path: Path) -> None:
    """A misspelt name under `needs` is not also reported as missing there, with the slip as the remedy."""
    site = small_site(tmp_path)
    rules = site.own_rules(CEL | {"needs": ["alarm_hihg"]})

    assert len(refusal(site, "--rules", rules).problems) == 1


@pytest.mark.parametrize(
    ("old", "new", "culprit"),
    [
        ("[channel]", "[chanel]", "chanel"),
        ("kind: equals-plan", "kind: equal-plan", "equal-plan"),
        ("roles:", "rolls:", "rolls"),
        ("roles: [channel]", "settings: [chanel]", "chanel"),
        ("level: warning", "level: warnign", "warnign"),
    ],
    ids=["role", "kind", "argument", "setting", "level"],
)
def test_the_column_is_that_of_the_misspelt_word(tmp_path: Path, old: str, new: str, culprit: str) -> None:
    """Line and column are those of the misspelt word."""
    site = small_site(tmp_path)
    rules = site.own_rules(EQUALS)
    site.replace(old, new, "own.yaml")

    at = site.at(culprit, "own.yaml")

    (problem,) = (problem for problem in refusal(site, "--rules", rules).problems if culprit in problem)
    assert problem.startswith(f"{site.folder.as_posix()}/{at}: ")


CHECK_NOTHING: list[Any] = [
    pytest.param({"kind": "equals-plan"}, id="equals-plan of nothing"),
    pytest.param({"kind": "unique", "within": "site"}, id="unique of nothing"),
    pytest.param({"kind": "unique", "within": "site", "role": "channel", "field": "tag"}, id="unique of two"),
    pytest.param({"kind": "within-limits", "roles": ["channel"], "limits": "numbers"},
                 id="limits of no numbers"),
    pytest.param({"kind": "within-limits", "roles": ["channel"], "limits": "settings"},
                 id="limits of no settings"),
    pytest.param({"kind": "in-order", "roles": ["channel"]}, id="order of one"),
    pytest.param({"kind": "in-order", "roles": ["alarm_high", "alarm_high"]}, id="order of one, given twice"),
    pytest.param({"kind": "equals-setting", "pairs": [["channel", "channel"]]}, id="a setting equals itself"),
    pytest.param({"kind": "equals-gateway", "roles": []}, id="equals-gateway of nothing"),
    pytest.param(CEL | {"when": "found.alarm_high + 1.0"}, id="expression that is neither true nor false"),
]  # fmt: skip


@pytest.mark.parametrize("check", CHECK_NOTHING)
def test_rules_that_would_check_nothing(tmp_path: Path, check: Named) -> None:
    """A rule that could never find anything is refused at its line; it would give false comfort."""
    site = small_site(tmp_path)

    (problem,) = refusal(site, "--rules", site.own_rules(check)).problems

    assert re.match(rf"{site.folder.as_posix()}/own\.yaml:\d+:\d+: ", problem)


def limits(**ends: float) -> Named:
    """Return a check of the channel's limits."""
    return {"kind": "within-limits", "roles": ["channel"], "limits": "numbers", **ends}


ONLY_WRONG: list[Any] = [
    pytest.param(limits(low=600, high=300), {}, "check:", "low 600 is above high 300",
                 "swap them", id="limits swapped"),
    pytest.param({"kind": "figure", "figure": "battery-life", "at_least": 9, "at_most": 5}, {},
                 "kind: figure", "at_least 9 is above at_most 5", "swap them", id="limits of a figure"),
    pytest.param({"kind": "in-order", "roles": ["alarm_high", "alarm_high"]}, {}, "[alarm_high, alarm_high]",
                 "'alarm_high' is compared with itself", "each once", id="order of one setting"),
    pytest.param({"kind": "one-of", "roles": ["encryption"], "values": ["on", "maybe"]}, {}, "maybe]",
                 "'maybe' is", "values that the setting can have", id="value that no switch has"),
    pytest.param({"kind": "one-of", "roles": ["loss_action"], "values": ["hold", "keep"]}, {}, "keep]",
                 "loss_action: 'keep' is not one of alarm, hold, low", "", id="value that is not an option"),
    pytest.param(EQUALS, {"sides": ["planned"]}, "sides:", "'equals-plan' looks at what was found",
                 "sides: [found]", id="side that it does not look at"),
    pytest.param(CEL | {"when": 'found.loss_action == "keep"', "needs": ["loss_action"]}, {}, "when:",
                 "'loss_action' with 'keep', which is none of alarm, hold, low", "write one of these",
                 id="not an option"),
    pytest.param(CEL | {"when": "largest(found.channel) > 3.0", "needs": ["channel"]}, {}, "when:",
                 "'largest', which does not exist", "cel.dev", id="a function that there is not"),
]  # fmt: skip


@pytest.mark.parametrize(("check", "keys", "spot", "says", "mend"), ONLY_WRONG)
def test_rules_that_can_only_be_wrong(
    tmp_path: Path, check: Named, keys: Named, spot: str, says: str, mend: str
) -> None:
    """A rule that every device breaks, or none can break, is a slip in the rule, not in 20 devices."""
    site = small_site(tmp_path, settings=[*SETTINGS, *WORDS])
    rules = site.own_rules(check, **keys)

    (problem,) = (problem for problem in refusal(site, "--rules", rules).problems if says in problem)
    assert mend in problem.partition("fix: ")[2]
    assert problem.startswith(f"{site.folder.as_posix()}/{site.line(spot, 'own.yaml')}:")


def test_an_expression_whose_rule_lists_nothing(tmp_path: Path) -> None:
    """There is no list to find the name in."""
    site = small_site(tmp_path)
    rules = site.own_rules(CEL | {"when": "found.channel > 3.0", "needs": []})
    (problem,) = refusal(site, "--rules", rules).problems

    assert problem.endswith("fix: list it under `needs` or `may_use`")


def test_rules_that_can_be_right_are_accepted(tmp_path: Path) -> None:
    """Values may be in any spelling that is read; a list applies to settings that can have its values."""
    site = small_site(tmp_path, settings=[*SETTINGS, *WORDS])
    for check in (
        {"kind": "one-of", "roles": ["encryption"], "values": [True, "off"]},
        {"kind": "one-of", "roles": ["encryption", "loss_action"], "values": ["on", "hold"]},
        {"kind": "one-of", "roles": ["channel"], "values": [7, "08"]},
        limits(low=7, high=7),
        CEL | {"when": 'found.loss_action != "hold"', "needs": ["loss_action"]},
    ):
        assert site.check("--rules", site.own_rules(check)).code == 0


EXPRESSIONS = [
    pytest.param("found.alarm_high <", "is not CEL", "", id="cut off"),
    pytest.param("[1.0].map(found, [found]) == planned",
                 "uses 'map', which loops over lists", "settings are not lists", id="loop"),
    pytest.param("found.alarm_high < 1.0 &&& true", "is not CEL", "", id="unknown operator"),
    pytest.param("found.alarm_low < 1.0", "'alarm_low', which the rule does not list", "`needs`",
                 id="name that is not listed"),
    pytest.param("found['alarm_low'] < 1.0", "'alarm_low', which the rule does not list", "`needs`",
                 id="name in brackets"),
    pytest.param("node.alarm_high < 1.0", "uses 'node'", "found.NAME or planned.NAME", id="neither side"),
    pytest.param("nearly(found.alarm_high)", "'nearly'", "", id="unknown function"),
    pytest.param("found.alarm_high.matches('7')", "own-rule", "for which values",
                 id="text function of a number"),
    pytest.param("found.alarm_high < 'a'", "own-rule", "1.0, not 1", id="number less than a text"),
    pytest.param("found.alarm_high % 2 == 0", "own-rule", "write int(found.address) % 2",
                 id="remainder of a double"),
    pytest.param("found.alarm_high % 2.0 == 0.0", "own-rule", "write int(found.address) % 2",
                 id="remainder of two doubles"),
    pytest.param("found.alarm_high == 'off'", "'alarm_high', which is a number, with a text: they are never",
                 "texts in quotes", id="number equal to a text"),
    pytest.param("found['alarm_high'] != true", "with true or false: they are never equal", "true or false",
                 id="number equal to a flag"),
]  # fmt: skip


@pytest.mark.parametrize(("when", "says", "mend"), EXPRESSIONS)
def test_bad_expressions(tmp_path: Path, when: str, says: str, mend: str) -> None:
    """An expression that cannot be evaluated is reported at its line, in a message of limited length."""
    site = small_site(tmp_path)
    rules = site.own_rules(CEL | {"when": when})

    assert_refused(site, "--rules", rules, at=site.line("when:", "own.yaml"), says=says, mend=mend)


@pytest.mark.parametrize(
    ("when", "reason", "mend"),
    [
        ("found.alarm_high < 1.0 and true", "1:24: mismatched input 'and'", "and is &&"),
        ("found.alarm_high * 2 > 1.0", "Unsupported operation: float * int", "1.0, not 1"),
    ],
    ids=["a word for an operator", "a whole number"],
)
def test_the_parser_is_quoted_no_further_than_it_helps(
    tmp_path: Path, when: str, reason: str, mend: str
) -> None:
    """It goes on with all tokens that it would take, or with a sentence that the message has no room for."""
    site = small_site(tmp_path)
    rules = site.own_rules(CEL | {"when": when})

    problem = assert_refused(
        site, "--rules", rules, at=site.line("when:", "own.yaml"), says=reason, mend=mend
    )
    assert problem.partition("\n")[0].endswith(f": {reason}")


@pytest.mark.parametrize("key", ["title", "why", "remedy", "source", "level"])
def test_a_rule_without_its_reasons(tmp_path: Path, key: str) -> None:
    """Every rule says why it matters, what to do, and where it comes from."""
    site = small_site(tmp_path)
    rules = site.own_rules(EQUALS, **{key: None})

    assert_refused(site, "--rules", rules, at=site.line("- id: own-rule", "own.yaml"),
                   says=f"'{key}' is missing", mend="add it")  # fmt: skip


def test_site_rules_that_the_plan_names_but_that_are_missing(tmp_path: Path) -> None:
    """Missing site rules are reported at the line of the plan that names them."""
    site = small_site(tmp_path, plan_extra={"rules": ["own.yaml"]})

    assert_refused(site, at=site.line("rules: [own.yaml]"), says="'own.yaml'", mend="check the name")
