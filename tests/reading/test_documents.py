"""What is said of YAML and JSON files that their models reject: where, in words, without access codes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from xlsxwriter import Workbook

from audit.errors import InputProblems
from audit.model.mapping import MappingFile
from audit.model.plan import PlanFile
from audit.model.rule import SiteRuleFile
from audit.model.waiver import WaiverFile
from audit.reading.documents import ZIP, build, parse_json, read_document, read_model, with_marks
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from tests.reading.made import file


def told(text: str, model: Any, schema: str, name: str = "x.yaml") -> str:
    """Return what is said of a file that is wrong."""
    with pytest.raises(InputProblems) as error:
        build(with_marks(read_document(file(name, text))), model, schema)
    return str(error.value)


RULE = ("asfound: site-rules/1\ntitle: t\nversion: '1'\nrules:\n"
        "  - {id: a-b, title: t, level: error, why: w, remedy: r, source: s, check: %s}\n")  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "asfound: mapping/1\nmappings:\n- values: {access_code: {4711: 1234}}\n",
        "asfound: mapping/1\nmappings:\n- values: {access_code: {4711: '1234', 4711: '4712'}}\n",
    ],
    ids=["no text", "twice"],
)
def test_a_code_that_a_mapping_translates_is_not_shown(text: str) -> None:
    """Keys under `values` are texts as found: under a setting of codes they are codes."""
    assert "4711" not in told(text, MappingFile, "mapping")


def test_a_plan_in_the_place_of_a_mapping_is_told_what_to_give_instead() -> None:
    """Where to put the plan is told only where a readback is expected."""
    said = told("asfound: plan/1\n", MappingFile, "mapping")

    assert "is a plan ('plan/1'), but a mapping was expected\n    fix: give the mapping" in said


def test_a_code_where_a_list_belongs_is_not_shown() -> None:
    """Neither in the message nor in the advice."""
    plan = ("asfound: plan/1\nsite: {name: X}\ndevice_types: [a.yaml]\n"
            "approved: [{setting: access_code, values: '4711'}]\n"
            "networks: [{name: N, gateway: {tag: G, type: g}}]\n")  # fmt: skip
    assert "4711" not in told(plan, PlanFile, "plan")


def test_a_missing_blank_in_a_check_is_told() -> None:
    """`field:serial` is a key without a value, and the rule would look at something else."""
    check = "{kind: unique, role: address, within: network, field:serial}"
    assert "write field: serial, with a blank after the colon" in told(
        RULE % check, SiteRuleFile, "site-rules"
    )


@pytest.mark.parametrize("kind", ["[unique]", "{a: b}"])
def test_a_kind_that_is_no_word_is_told(kind: str) -> None:
    """A list or a mapping is not a kind."""
    assert "unknown kind" in told(RULE % f"{{kind: {kind}}}", SiteRuleFile, "site-rules")


def test_a_strange_word_of_json_is_told_with_its_line() -> None:
    """The word may also be in a text further up."""
    with pytest.raises(InputProblems, match=r"x.json:3: NaN is not JSON"):
        parse_json('{"note": "NaN",\n"x":\nNaN}', "x.json")


def test_a_workbook_in_the_place_of_the_plan_is_told_as_one(tmp_path: Path) -> None:
    """Plan and readback were given in the wrong order: the name of the workbook ends as it should."""
    path = tmp_path / "found.xlsx"
    with Workbook(path) as book:
        book.add_worksheet().write_row(0, 0, ["tag", "channel"])

    with pytest.raises(InputProblems, match="is a workbook, but YAML or JSON is read here") as caught:
        read_plan(path, Inputs())

    assert caught.value.problems[0].mend.endswith("if it is what was read, name the plan before it")


@pytest.mark.parametrize("name", ["list.xlsx", "list.yaml"])
def test_only_in_the_place_of_the_plan_may_it_be_what_was_read(tmp_path: Path, name: str) -> None:
    """A list of waivers that is no mapping comes after the plan anyway."""
    path = tmp_path / name
    path.write_bytes(ZIP if name.endswith("xlsx") else b"- channel")

    with pytest.raises(InputProblems) as caught:
        read_model(path, WaiverFile, "waivers")

    assert "name the plan before it" not in caught.value.problems[0].mend
