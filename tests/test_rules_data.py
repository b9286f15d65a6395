"""The rule packs as data: names, texts, references, and a firing and a silent case for every rule."""

from __future__ import annotations

import re
from importlib import import_module
from pathlib import Path
from typing import Any, get_args

import pytest

from audit.checks.registry import CHECKS
from audit.model.arguments import Check
from audit.model.role_names import role_arguments, roles_named
from audit.model.roles import ROLES
from audit.model.rule import Rule
from audit.reading.rules import read_rulebook
from tests.checks.cases import Fires, Silent
from tests.site_builder import SETTINGS, audit_of, result_of

BOOK = read_rulebook((), None, work=None)
RULES = {rule.id: rule for rule in BOOK.rules}
FOLDERS = ("checks", "folding")
MODULES = [
    *(
        f"tests.{folder}.{path.stem}"
        for folder in FOLDERS
        for path in sorted((Path(__file__).parent / folder).glob("test_*.py"))
    ),
    "tests.test_waiving",
    "tests.sampling.test_deciding",
]
NO_FINDING_OF_ITS_OWN = {"nodes-orphaned-by-gateway", "nodes-followed-gateway", "values-of-other-device",
                         "numbers-in-the-unit-selected"}  # fmt: skip
"""Rules that only put findings under one that exists already."""

READS_AGAIN = {
    "node-not-read": "Read it back",
    "gateway-not-read": "Read the gateway back",
    "setting-not-read": "Read it back",
    "critical-setting-not-read": "Read it back",
    "not-read-on-many-nodes": "read it back",
    "much-not-read": "Read the rest of it back",
    "reading-unclear": "Read it again where it is shown",
    "readings-without-device": "Read again only what is still missing then, and record",
    "row-names-no-device": "read the devices again",
    "unclear-alike": "read the devices again and record",
    "files-disagree": "read the devices back and record",
    "read-network-in-full": "Read the rest of the network, and record",
    "sample-open": "Read the nodes of the sample that were not read",
    "readings-disagree": "Read it once more and record",
    "deviation-in-doubt": "Read it once more and record",
    "read-before-installation": "Read it in place",
    "read-before-set": "read it back as it is now",
    "read-too-early-on-many-nodes": "read the devices back as they are now",
    "readback-looks-copied": "second person read",
    "self-checked": "second person read it back",
    "plan-revision-stale": "check those settings again",
    "reading-undated": "read the devices again and record",
    "serial-damaged": "Read the serial number off the label again",
    "matched-by-settings": "Read tag and serial number at the device and record",
    "value-outside-device": "read it again at the device",
    "default-code-accepted": "try the factory code again and record",
    "default-code-not-tried": "record yes or no",
    "baseline-setting-not-read": "Read it back",
    "node-gone": "read it back",
    "evidence-predates-change": "Read it back, after the change",
    "evidence-predates-baseline": "Read it back now",
    "read-at-the-same-times": "second person read some of the devices again",
}
"""Remedies that ask for a reading in words of their own."""
NOTHING_TO_READ = {
    "code-trivial": "no reading shows a code",
    "code-shared": "no reading shows a code",
    "code-shared-elsewhere": "no reading shows a code",
    "code-in-clear": "about a file",
    "plan-wrong-for-many": "no device is set before the plan is right",
    "plan-columns-swapped": "no device is set before the plan is right",
    "plan-filled-as-series": "no device is set before the plan is right",
    "row-without-reading": "perhaps no device was meant",
    "unplanned-node": "the device may be taken out",
    "nodes-orphaned-by-gateway": "the gateway's finding says what to do",
    "nodes-followed-gateway": "the gateway's finding says what to do",
    "numbers-in-the-unit-selected": "the unit's finding says what to do",
    "values-of-other-device": "the serial number's finding says what to do",
    "node-added": "the device may be taken out",
    "same-finding-on-many-nodes": "the findings under it say what to do",
    **dict.fromkeys((rule for rule in RULES if rule.startswith("waiver-")), "about a waiver"),
}
"""Remedies after which there is nothing to read at a planned device, and why."""


def cases(table: str) -> list[Any]:
    """Return the cases of one table of all test files of checks."""
    return [case for module in MODULES for case in getattr(import_module(module), table, ())]


def test_every_kind_of_check_has_a_file_of_tests() -> None:
    """With both tables, even where the rules of the kind have their cases elsewhere."""
    of_kinds = [f"tests.checks.test_{kind.replace('-', '_')}" for kind in CHECKS]
    without = [
        name for name in of_kinds
        if name not in MODULES or not {"FIRES", "SILENT"} <= vars(import_module(name)).keys()
    ]  # fmt: skip

    assert without == [], "add the file, with tables FIRES and SILENT"


@pytest.mark.parametrize("rule", sorted(RULES))
def test_every_rule_has_a_firing_and_a_silent_case(rule: str) -> None:
    """Each rule has a case in which it fires and one in which it is silent; without both it is not tested."""
    firing: list[Fires] = cases("FIRES")
    quiet: list[Silent] = cases("SILENT")
    kind = RULES[rule].check.kind
    file = f"tests/{'folding' if kind == 'fold' else 'checks'}/"
    assert rule in {case.rule for case in firing} | NO_FINDING_OF_ITS_OWN, f"add {rule} to FIRES in {file}"
    assert rule in {case.rule for case in quiet}, f"add {rule} to SILENT in {file}"


@pytest.mark.parametrize("table", ["FIRES", "SILENT"])
def test_every_case_is_about_a_rule_and_has_a_name_of_its_own(table: str) -> None:
    """A case of a rule that was renamed or removed is noticed, and no case is listed twice."""
    names = [str(case) for case in cases(table)]

    assert {case.rule for case in cases(table)} <= set(RULES)
    assert len(names) == len(set(names))


def test_ids_are_kebab_case_and_unique() -> None:
    """An id is a description in small letters, and belongs to one rule."""
    ids = [rule.id for rule in BOOK.rules]

    assert len(ids) == len(set(ids))
    assert [name for name in ids if not re.fullmatch(r"[a-z]+(-[a-z]+)+", name)] == []


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)
def test_rules_that_are_referred_to_exist(rule: Rule) -> None:
    """A rule yields to, and is a symptom of, other rules that exist; none refers to itself."""
    named = {*rule.yields_to, *rule.symptom_of}

    assert named <= set(RULES) - {rule.id}
    assert len(rule.symptom_of) == len(set(rule.symptom_of))
    assert rule.symptom_of or not rule.everywhere


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)
def test_roles_that_a_rule_names_exist(rule: Rule) -> None:
    """A role that no device type can have would make a rule look at nothing."""
    named = {name for _, name, _ in roles_named(rule.check)}
    named.update(*(getattr(rule.check, argument, ()) for argument in ("needs", "may_use")))

    assert named <= set(ROLES)


NO_ROLES = {"settings", "values", "when", "needs", "may_use", "message", "assume"}
"""Arguments of check kinds that hold text, or names of other things."""


def test_every_argument_of_text_is_marked_as_a_role_or_known_not_to_be_one() -> None:
    """A check kind with an unmarked argument would accept a misspelt role, and look at nothing."""
    for kind in get_args(get_args(Check)[0]):
        texts = {name for name, field in kind.model_fields.items()
                 if "str" in str(field.annotation) and "Literal" not in str(field.annotation)}  # fmt: skip

        assert texts - role_arguments(kind).keys() <= NO_ROLES


def test_symptoms_form_no_ring() -> None:
    """No rule is, by way of others, a symptom of itself."""
    for start, rule in RULES.items():
        seen: set[str] = set()
        todo = list(rule.symptom_of)
        while todo:
            name = todo.pop()
            assert name != start
            if name not in seen:
                seen.add(name)
                todo.extend(RULES[name].symptom_of)


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)
def test_texts_promise_nothing_and_are_whole_sentences(rule: Rule) -> None:
    """No text says that something is safe or compliant; why and remedy are sentences, a title is not."""
    in_plan = rule.remedy_in_plan or rule.remedy
    texts = (rule.title, rule.why, rule.remedy, in_plan, rule.source, getattr(rule.check, "message", ""))

    assert not re.search(r"\b(un)?safe(ly|ty)?\b|\b(non-?)?complian(t|ce)\b", " ".join(texts), re.IGNORECASE)
    for sentence in (rule.why, rule.remedy, in_plan):
        assert sentence.endswith(".")
        assert sentence[0].isupper()
    assert not rule.title.endswith(".")
    assert "  " not in " ".join(texts)


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)
def test_a_remedy_ends_by_asking_for_a_reading(rule: Rule) -> None:
    """What was corrected is read again and recorded, unless the remedy itself is a reading."""
    if rule.id in READS_AGAIN:
        assert READS_AGAIN[rule.id] in rule.remedy
    elif rule.id not in NOTHING_TO_READ:
        remedies = filter(None, (rule.remedy, rule.remedy_in_plan))
        end_so = all(re.search(r"\b[Rr]e-read and record\.$", remedy) for remedy in remedies)
        assert end_so, "end it with 'Re-read and record.', or list it in READS_AGAIN or NOTHING_TO_READ"


@pytest.mark.parametrize(
    "rule", [rule for rule in RULES.values() if rule.remedy_in_plan], ids=lambda rule: rule.id
)
def test_a_remedy_in_the_plan_begins_there(rule: Rule) -> None:
    """It is only for rules that look at the plan, and sends nobody to a device before the plan is right."""
    assert "planned" in rule.sides
    assert "plan" in (rule.remedy_in_plan or "").casefold().split(".")[0]


def values(role: str) -> tuple[str, str]:
    """Return two values that a setting of a role can have: the planned one and another."""
    setting = SETTINGS[role]
    if setting["kind"] == "option":
        return setting["options"][0], setting["options"][1]
    return {"flag": ("on", "off"), "text": ("x1", "x2")}.get(setting["kind"], ("10", "20"))


OPEN_ROLES = [role for role in ROLES if SETTINGS[role]["kind"] != "secret"]
NOT_OF = {"node": {"join_window"}, "gateway": {"joined_gateway", "last_heard"}}
"""Roles that mean nothing on a node, or on a gateway."""
WELL_PLANNED = {"default_refused": "yes", "joined_gateway": "GW-North", "offset": "0.0"}
"""Values to plan for roles whose value is prescribed by a rule, whatever the plan says."""


@pytest.mark.parametrize(
    ("device", "role"),
    [(device, role) for device, others in NOT_OF.items() for role in OPEN_ROLES if role not in others],
)
def test_every_setting_that_differs_is_reported(device: str, role: str, tmp_path: Path) -> None:
    """Whatever a setting means to the rules, one that is not as planned makes a finding on its device."""
    planned, found = values(role)
    node: dict[str, Any] = {"planned": {role: planned}, "found": {role: found}}
    gateway: dict[str, Any] = {"gateway": {role: planned}, "gateway_found": {role: found}, "found": {}}

    result = result_of(tmp_path, **(node if device == "node" else gateway))

    tag = "A" if device == "node" else "GW-North"
    assert [f for f in result.findings if f.node == tag and role in f.settings and f.found]


@pytest.mark.parametrize("role", OPEN_ROLES)
def test_nothing_is_reported_about_a_setting_found_as_planned(role: str, tmp_path: Path) -> None:
    """A value found as planned makes no finding about what was found."""
    planned = WELL_PLANNED.get(role, values(role)[0])

    findings = audit_of(tmp_path, planned={role: planned}, found={role: planned})

    assert [f.rule for f in findings if role in f.settings and f.found] == []


def test_rules_look_at_roles_and_not_at_names(tmp_path: Path) -> None:
    """A device type with other names for its settings gives the same findings, under those names."""
    planned = {role: values(role)[0] for role in OPEN_ROLES}
    found = {role: values(role)[1] for role in OPEN_ROLES}
    site: dict[str, Any] = {"planned": planned, "found": found, "gateway": {"channel": 7}}

    plain = audit_of(tmp_path / "plain", **site)
    renamed = audit_of(tmp_path / "renamed", prefix="own_", **site)

    assert [(f.rule, [s.removeprefix("own_") for s in f.settings]) for f in renamed] == (
        [(f.rule, f.settings) for f in plain]
    )
