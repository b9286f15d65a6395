"""Slips in the form of a YAML file: reported with line and column, before they can do harm."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.errors import InputProblems
from audit.reading.yaml_core import load
from tests.refusing import assert_refused, refusal
from tests.small_site import small_site

OLD = "range_low: 0, range_high: 1000"
"""A part of the plan's defaults, to put slips into."""

YAML_SLIPS = [
    pytest.param("name: Main", "name: !!python/name:os.system Main", "!!python", "is not understood",
                 "remove the tag", id="tag that would run code"),
    pytest.param("name: Main", "name: !mine Main", "!mine", "is not understood", "remove the tag",
                 id="own tag"),
    pytest.param(OLD, "range_low: 0, range_low: 5", "range_low: 5", "'range_low' is given twice",
                 "keep one of them", id="key given twice"),
    pytest.param("networks:\n", "---\nnetworks:\n", "---", "begins a second document",
                 "keep one document in each file", id="two documents"),
    pytest.param("  node_type: node", "\tnode_type: node", "\tnode_type", "tab", "blanks",
                 id="tab as indentation"),
    pytest.param("name: Main", "name: *Main", "*Main", "an alias refers to nothing", "&",
                 id="alias of nothing"),
    pytest.param(OLD, "<<: {range_low: 0}", "<<", "unknown key '<<' (in networks", "merge keys",
                 id="merge key"),
    pytest.param("name: Main", "? [a, b]\n  : 1\n  name: Main", "[a, b]", "cannot be a key", "plain word",
                 id="list as a key"),
    pytest.param("name: Main", "name: Ma\x07in", "name: Ma", "control character", "", id="control character"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "spot", "says", "mend"), YAML_SLIPS)
def test_yaml_slips(tmp_path: Path, old: str, new: str, spot: str, says: str, mend: str) -> None:
    """A slip in the form of the file is reported at its place."""
    site = small_site(tmp_path).replace(old, new)

    assert_refused(site, at=site.line(spot), says=says, mend=mend)


@pytest.mark.parametrize(
    ("old", "new", "opened"),
    [
        ("'900001'", "'900001", "serial: '900001"),
        ("{channel: 7, network_id: A7}", "{channel: 7, network_id: A7", "{channel: 7"),
        ("[gateway.yaml, node.yaml]", "[gateway.yaml, node.yaml", "[gateway.yaml"),
    ],
    ids=["quotation mark", "brace", "bracket"],
)
def test_something_opened_and_never_closed(tmp_path: Path, old: str, new: str, opened: str) -> None:
    """What was never closed is reported near where it was opened: at that line or a few lines below."""
    site = small_site(tmp_path).replace(old, new)

    (problem,) = refusal(site).problems

    line = int(problem.removeprefix(f"{site.plan.as_posix()}:").split(":")[0])
    begun = int(site.at(opened).split(":")[1])
    assert begun <= line <= begun + 10
    assert "is not YAML" in problem
    assert "quotes and brackets at and above this line" in problem


@pytest.mark.parametrize("depth", [100, 100_000])
def test_deep_nesting(tmp_path: Path, depth: int) -> None:
    """A file of brackets within brackets is refused, not followed until memory runs out."""
    site = small_site(tmp_path).replace("name: Main", "name: " + "[" * depth + "]" * depth)

    assert_refused(site, at="plan.yaml:5", says="nest", mend="")


def test_aliases_cannot_explode(tmp_path: Path) -> None:
    """Eight levels of ten aliases stand for a hundred million values; the file is refused."""
    levels = ["a: &a [x, x, x, x, x, x, x, x, x, x]"]
    levels += [f"{name}: &{name} [{', '.join([f'*{above}'] * 10)}]"
               for above, name in zip("abcdefg", "bcdefgh", strict=True)]  # fmt: skip
    site = small_site(tmp_path)
    site.write("plan.yaml", "\n".join(levels))

    assert_refused(site, at="plan.yaml:6", says="has more than 300,000 values", mend="do not nest aliases")


def test_a_control_character_is_reported_with_its_line() -> None:
    """The line is right even if letters before it take two bytes."""
    with pytest.raises(InputProblems, match=r"x.yaml:3: is not YAML"):
        load(f"a: {'ö' * 40}\nb: 1\nc: x\x07\nd: 2\n", "x.yaml")


ALSO = [
    pytest.param("unknown: 1", "unknown key 'unknown'", id="what the model refuses"),
    pytest.param("note:\nunknown:", "unknown key 'unknown'", id="a key without a value"),
    pytest.param("node_tables: [{file: none.csv}]", "no file 'none.csv'", id="another file"),
]


@pytest.mark.parametrize(("also", "says"), ALSO)
def test_a_key_given_twice_hides_nothing_else(tmp_path: Path, also: str, says: str) -> None:
    """All that is wrong with a plan is told at once."""
    site = small_site(tmp_path).replace(OLD, "range_low: 0, range_low: 5")
    site.plan.write_text(f"{site.plan.read_text()}{also}\n", encoding="utf-8")

    problems = refusal(site).problems

    assert any("the key 'range_low' is given twice (first at line" in one for one in problems)
    assert any(says in one for one in problems), problems


OTHER_FILES = [
    pytest.param("node.yaml", "asfound: device-type/1\nname: node\nname: n\nsetings: []\n", (), "'setings'",
                 id="device type"),
    pytest.param("m.yaml", "asfound: mapping/1\nmappings: [{decimal: ',', decimal: '.', form: x}]\n",
                 ("--mapping",), "'x' is not allowed", id="mapping"),
    pytest.param("w.yaml", "asfound: waivers/1\nwaivers: []\nwaivers: []\nid: W-1\n", ("--waivers",),
                 "unknown key 'id'", id="waivers"),
    pytest.param("r.yaml", "asfound: site-rules/1\ntitle: Ours\ntitle: Own\nrule: []\n", ("--rules",),
                 "unknown key 'rule'", id="site rules"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "text", "option", "says"), OTHER_FILES)
def test_in_other_files_too(tmp_path: Path, name: str, text: str, option: tuple[str, ...], says: str) -> None:
    """A key given twice is told with whatever else is wrong there."""
    site = small_site(tmp_path)
    file = site.write(name, text)

    problems = refusal(site, *option, *([file] if option else [])).problems

    assert sum("is given twice" in one for one in problems) == 1, problems
    assert any(says in one for one in problems), problems


@pytest.mark.parametrize(
    ("text", "mapping"),
    [
        ("- {tag: N-1, channel: 7, channel: 8}\n", {}),
        ("asfound: readback/1\nsite: Little Site\ndevices: [{tag: N-1, tag: N-2}]\n", {}),
        ("a: {n: [{tag: N-1, channel: 7, channel: 8}]}\n", {"records": "/*/n"}),
    ],
    ids=["records", "our own form", "nested records"],
)
def test_in_a_readback_too(tmp_path: Path, text: str, mapping: dict[str, str]) -> None:
    """Which of the two was read is not guessed, whichever way the records are found."""
    site = small_site(tmp_path).read("found.yaml", text)

    (problem,) = refusal(site, *(("--mapping", site.mapping(**mapping)) if mapping else ())).problems

    assert "is given twice" in problem
