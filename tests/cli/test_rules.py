"""asfound rules: the list, each rule explained, the roles."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from audit.model.roles import ROLES
from audit.reading.bands import bands_file
from audit.reading.rules import read_rulebook
from audit.slips.priors import slip_file
from tests.small_site import run, small_site

BOOK = read_rulebook([], None)


def test_every_rule_is_listed() -> None:
    """The list has an entry for every rule, with its level and title, which may take two lines."""
    outcome = run("rules")

    listed = " ".join(outcome.stdout.split())
    assert (outcome.code, outcome.stderr) == (0, "")
    assert [rule.id for rule in BOOK.rules if f"{rule.id} {rule.level} {rule.title}" not in listed] == []


@pytest.mark.parametrize("arguments", [[], ["--roles"]], ids=["rules", "roles"])
def test_lists_fit_80_columns(arguments: list[str]) -> None:
    """The lists can be read on any terminal."""
    assert [line for line in run("rules", *arguments).stdout.splitlines() if len(line) > 80] == []


@pytest.mark.parametrize("rule", BOOK.rules, ids=lambda rule: str(rule.id))
def test_every_rule_is_explained(rule: object) -> None:
    """Each rule says why it matters, what to do, and where it comes from."""
    outcome = run("rules", rule.id)  # type: ignore[attr-defined]

    text = " ".join(outcome.stdout.split())
    assert outcome.code == 0
    assert "all_but_roles:\n" not in outcome.stdout  # it says that there are none
    for part in ("why", "remedy", "source"):
        assert f"{part}: {getattr(rule, part)}" in text


def test_what_a_figure_suggests_is_listed_with_its_span() -> None:
    """Each explanation of an odd figure says from which value to which it is given."""
    text = " ".join(run("rules", "path-loss-odd").stdout.split())

    assert "from 15 to below 30: foliage" in text
    assert "from 50 upwards: no antenna at all" in text


def test_what_a_figure_suggests_is_listed_in_rising_order(tmp_path: Path) -> None:
    """Whatever the order in a site's rule: the highest value that a figure reaches is the one that counts."""
    suspects = [{"above": 30, "words": "b"}, {"above": 15, "words": "a"}]
    assume = {"beyond_free_space_db": 25, "beyond_path_db": 15, "two_rays_db": 6}
    check = {"kind": "figure", "figure": "missing-signal", "assume": assume, "suspects": suspects}
    rules = small_site(tmp_path).own_rules(check)
    text = " ".join(run("rules", "own-rule", "--rules", rules).stdout.split())

    assert "from 15 to below 30: a; from 30 upwards: b" in text


@pytest.mark.parametrize(
    ("rule", "says"),
    [
        ("much-not-read", "level: warning; in a report, that of the worst finding under it\n"),
        ("matched-by-settings", "level: warning; error where it is the cause of one\n"),
        ("address-differs", "level: error\n"),
    ],
    ids=["stands for others", "cause of worse", "as bad as any"],
)
def test_where_a_finding_has_another_level_than_its_rule(rule: str, says: str) -> None:
    """A gate raises `setting-not-read`, and with it the finding that stands for several of these."""
    assert says in run("rules", rule).stdout


def test_one_cause_or_several() -> None:
    """A rule that is listed under a single cause does not speak of one of them."""
    assert (
        "listed under: joined-wrong-gateway, where that is the cause"
        in run("rules", "channel-differs").stdout
    )
    listed = " ".join(run("rules", "tag-duplicate").stdout.split())
    assert "tag-serial-mismatch, matched-by-settings, where one of them is the cause" in listed


def test_an_unknown_rule() -> None:
    """A misspelt rule is quoted, and the nearest are named."""
    outcome = run("rules", "chanel-differs")

    assert (outcome.code, outcome.stdout) == (2, "")
    assert outcome.problems[0].startswith(
        "there is no rule 'chanel-differs'\n    fix: nearest: channel-differs"
    )


def test_every_role_is_listed() -> None:
    """The list has each role with its meaning, and says how a site makes its own."""
    text = " ".join(run("rules", "--roles").stdout.split())

    assert [role for role, meaning in ROLES.items() if f"{role}: {meaning}" not in text] == []
    assert "x_" in text


def test_every_slip_is_listed() -> None:
    """Whoever wonders about `(99 %)` finds what each slip means, its points, and that they are judgement."""
    text = " ".join(run("rules", "--slips").stdout.split())

    assert "Judgement from the trade." in text
    for slip in slip_file().slips:
        assert f"{slip.id}: {slip.title} ({slip.prior:g} of 100) {slip.means} {slip.advice}" in text
    assert "Likely: 60 % or more, and 2 times the next." in text


def test_every_band_is_listed() -> None:
    """Whoever names a band in a plan finds its limits, each with its clause and how it was checked."""
    text = " ".join(run("rules", "--bands").stdout.split())

    for band in bands_file().bands:
        assert f"{band.id}: {band.title}" in text
        assert all(f"({limit.clause}; {limit.basis}" in text for limit in band.limits)
    assert "check with the authority" in text


def test_rules_of_the_site(tmp_path: Path) -> None:
    """Site rules are listed and explained with ours."""
    rules = small_site(tmp_path).own_rules({"kind": "equals-plan", "roles": ["channel"]})

    assert "own-rule" in run("rules", "--rules", rules).stdout
    assert "why: It matters here." in run("rules", "own-rule", "--rules", rules).stdout


def test_the_rule_that_a_report_names_next_can_be_looked_up(tmp_path: Path) -> None:
    """A site's own rule is found only together with its file, which stands in the plan here."""
    site = small_site(tmp_path, plan_extra={"rules": ["own.yaml"]})
    site.own_rules({"kind": "expression", "when": "found.channel > 0", "needs": ["channel"]})
    last = site.check().stdout.splitlines()[-1].removeprefix("  or: ")

    words = shlex.split(last)
    assert words[:4] == ["asfound", "rules", "own-rule", "--rules"]
    assert "why: It matters here." in run(*words[1:]).stdout


def test_a_rule_and_a_list_are_not_asked_for_at_once() -> None:
    """The rule would be left out without a word."""
    outcome = run("rules", "channel-differs", "--roles")

    assert (outcome.code, outcome.stdout) == (2, "")
    assert "a list is asked for, and rule 'channel-differs' too" in outcome.stderr


def test_a_level_of_the_site_is_marked_in_the_list(tmp_path: Path) -> None:
    """The list shows the rule's own level, and that another holds at this site."""
    site = small_site(tmp_path)
    levels = {"channel-differs": "note"}
    rules = site.write(
        "own.yaml", {"asfound": "site-rules/1", "title": "T", "version": "1", "levels": levels}
    )

    listed = " ".join(run("rules", "--rules", rules).stdout.split())
    assert "channel-differs error Channel differs from the gateway's (note at this site)" in listed
    assert listed.count("at this site") == 1


def test_bad_rules_of_the_site(tmp_path: Path) -> None:
    """Site rules with a mistake are refused here as in a check, so that a pipeline can test them."""
    rules = small_site(tmp_path).own_rules({"kind": "equals-plan", "roles": ["chanel"]})

    outcome = run("rules", "--rules", rules)

    assert outcome.code == 2
    assert "unknown role 'chanel'" in outcome.stderr
