"""Slips in the keys and values of a plan: reported with line, column, raw text and remedy."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from audit.run import run as check
from tests.refusing import assert_refused, refusal
from tests.site_builder import SiteOf
from tests.small_site import ACCESS_CODE, NAME, NODES, SETTINGS, SmallSite, node, small_site

OLD = "range_low: 0, range_high: 1000"
"""A part of the plan's defaults, to put slips into."""

KEY_SLIPS = [
    pytest.param("node_type: node", "nodetype: node", "nodetype", "unknown key 'nodetype'", "node_type",
                 id="key"),
    pytest.param("node_type: node", "x" * 1000 + ": node", "xxx: node", "unknown key 'xxx", "node_type",
                 id="key of 1,000 letters"),
    pytest.param("{channel: 7,", "{chanel: 7,", "chanel", "unknown setting 'chanel'", "channel",
                 id="setting of a gateway"),
    pytest.param("{address: 11}", "{adress: 11}", "adress", "unknown setting 'adress'", "address",
                 id="setting of a node"),
    pytest.param(OLD, "range_lo: 0, range_high: 1000", "range_lo:", "unknown setting 'range_lo'", "range_low",
                 id="shared default"),
    pytest.param("{address: 11}", "{Address: 11}", "Address", "'Address'", "address",
                 id="setting in capitals"),
    pytest.param("networks:\n", "approved: [{setting: chanel, values: [1]}]\nnetworks:\n", "chanel",
                 "unknown setting 'chanel'", "channel", id="list of approved values"),
    pytest.param("node_type: node", "node_type: nodd", "nodd", "unknown device type 'nodd'", "node",
                 id="device type of the nodes"),
    pytest.param("type: gateway", "type: gatewy", "gatewy", "unknown device type 'gatewy'", "gateway",
                 id="device type of the gateway"),
    pytest.param("type: gateway", "type: node", "type: node\n    serial", "'node' is not a gateway",
                 "gateway",
                 id="a node as gateway"),
    pytest.param("  node_type: node\n", "", "tag: N-1", "'N-1' has no device type", "node_type",
                 id="no device type"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "spot", "says", "mend"), KEY_SLIPS)
def test_misspelt_names(tmp_path: Path, old: str, new: str, spot: str, says: str, mend: str) -> None:
    """An unknown name is quoted at its place, and the nearest known one is named."""
    site = small_site(tmp_path, nodes=[node(1)]).replace(old, new)

    assert_refused(site, at=site.line(spot), says=says, mend=mend)


@pytest.mark.parametrize(
    ("old", "new", "spot"),
    [
        ("node_type: node", "nodetype: node", "nodetype"),
        ("{channel: 7,", "{chanel: 7,", "chanel"),
        ("{address: 11}", "{address: eleven}", "eleven"),
        ("node_type: node", "node_type: nodd", "nodd"),
    ],
    ids=["misspelt key", "misspelt setting", "value of a setting", "value of a key"],
)
def test_the_column_is_where_the_slip_begins(tmp_path: Path, old: str, new: str, spot: str) -> None:
    """The column reported is where the misspelt name, or the impossible value, begins."""
    site = small_site(tmp_path).replace(old, new)

    assert_refused(site, at=site.at(spot), says=f"'{spot}'", mend="")


@pytest.mark.parametrize(
    ("old", "new", "at"),
    [
        ("node_type: node", "node_type: gateway", "plan.yaml:11:14"),
        ("tag: N-1\n", "tag: N-1\n    type: gateway\n", "plan.yaml:15:11"),
    ],
    ids=["of all nodes", "of one node"],
)
def test_a_node_is_no_gateway(tmp_path: Path, old: str, new: str, at: str) -> None:
    """It was planned as one more gateway, whose settings nothing compared with those of the network."""
    (problem,) = refusal(small_site(tmp_path).replace(old, new)).problems

    assert f"{at}: device type 'gateway' is that of a gateway" in problem


@pytest.mark.parametrize(
    ("old", "new", "mend"),
    [
        (
            "  node_type: node\n",
            "  node_type: node\n  node_tables: n.csv\n",
            "node_tables: [{...}], a list of mappings",
        ),
        ("{name: Little Site, revision: A}", "Little Site", "write site: {name: Little Site}, a mapping"),
        ("  nodes:\n", "  nodes:\n  - N-9\n", "write {tag: N-9}, a mapping of keys"),
        ("  nodes:\n", "  nodes:\n  - N-9, spare\n", 'write {tag: "N-9, spare"}, a mapping of keys'),
        ("  nodes:\n", "  nodes:\n  -\n", "write {tag: ...}, a mapping of keys"),
        (
            "  node_type: node\n",
            "  node_type: node\n  addresses: 1-9\n",
            "{first: ..., last: ...}, a mapping",
        ),
        ("networks:\n- name", "networks:\n  name", "put a dash before its first key"),
    ],
    ids=["list of files", "name alone", "tag alone", "tag with a comma", "dash alone", "span", "no dash"],
)
def test_a_value_of_another_form_is_told_in_the_form_it_needs(
    tmp_path: Path, old: str, new: str, mend: str
) -> None:
    """What is advised is not refused in its turn."""
    problems = refusal(small_site(tmp_path).replace(old, new)).problems

    assert any(mend in problem.partition("fix: ")[2] for problem in problems)


@pytest.mark.parametrize(
    ("old", "new", "mend"),
    [
        ("node_type: node", "node_type: gatewy", "known: node"),
        ("type: gateway", "type: nod", "known: gateway"),
    ],
    ids=["of the nodes", "of the gateway"],
)
def test_only_types_that_fit_are_named(tmp_path: Path, old: str, new: str, mend: str) -> None:
    """A node with the type of a gateway, or the other way round, would be the next problem."""
    (problem,) = refusal(small_site(tmp_path).replace(old, new)).problems

    assert problem.endswith(f"fix: {mend}")


@pytest.mark.parametrize(
    ("name", "says", "mend"),
    [("node.yaml", "node.yaml: the plan names it twice", "name it once"),
     ("again.yaml", "again.yaml: the device type 'node' is already in", "rename one of them")],
)  # fmt: skip
def test_a_device_type_that_is_there_twice(tmp_path: Path, name: str, says: str, mend: str) -> None:
    """The other file is named; the same file twice has nothing to rename."""
    site = small_site(tmp_path)
    site.write("again.yaml", (tmp_path / "node.yaml").read_text(encoding="utf-8"))
    site.replace("node.yaml]", f"node.yaml, {name}]")
    (problem,) = refusal(site).problems

    assert says in problem
    assert problem.endswith(f"fix: {mend}")


@pytest.mark.parametrize(
    ("old", "new", "spot", "mend"),
    [
        ("{name: Little Site,", "{name: Little Site, pump station, east,", "pump station",
         'write name: "Little Site, pump station, east", with quotes around a text that contains a comma'),
        ("{address: 11}", "{address: 11, range_low: 0,05}", "05", "write range_low with a point"),
        ("{address: 11}", "{access_code: 12 a, 34 b}", "34 b",
         "put the whole text after access_code in quotes"),
    ],
    ids=["text", "number", "what may be an access code is not shown"],
)  # fmt: skip
def test_a_comma_without_quotes(tmp_path: Path, old: str, new: str, spot: str, mend: str) -> None:
    """What follows the comma is not a misspelt key; several such parts are one problem."""
    site = small_site(tmp_path, settings=[*SETTINGS, ACCESS_CODE]).replace(old, new)

    problem = assert_refused(site, at=site.at(spot), says=f"'{spot}' follows a comma", mend=mend)
    assert "12 a" not in problem


VALUE_SLIPS = [
    pytest.param("{address: 11}", "{address: eleven}", "address: eleven", "'eleven' is not a number",
                 "a whole number", id="word for a number"),
    pytest.param("{address: 11}", "{address: 1I}", "address: 1I", "'1I'", "a whole number",
                 id="letter I for a one"),
    pytest.param("{address: 11}", "{address: 11.5}", "address: 11.5", "is not a whole number",
                 "a whole number", id="fraction for a whole number"),
    pytest.param("{address: 11}", "{address: 99999999999999999999}", "address: 9999",
                 "'99999999999999999999' is beyond any whole number", "a whole number", id="beyond 64 bits"),
    pytest.param(OLD, "range_low: 0, range_high: '1000,5'", "range_high: '1000", "has a comma",
                 "write 1000.5", id="decimal comma"),
    pytest.param(OLD, "range_low: 0, range_high: '1,600'", "range_high: '1", "has a comma",
                 "write 1.600, or 1600 if the mark separates thousands", id="comma between thousands"),
    pytest.param(OLD, "range_low: 0 furlong, range_high: 1000", "range_low: 0 f", "'0 furlong'", "kPa",
                 id="unknown unit"),
    pytest.param("{address: 11}", "{address: .inf}", ".inf", "found inf", "a number", id="infinity"),
    pytest.param("{address: 11}", "{address: [11]}", "[11]", "found a list", "a single value",
                 id="list for a value"),
    pytest.param("{address: 11}", "{address: {first: 11}}", "{first: 11}", "found a mapping (in",
                 "a single value", id="mapping for a value"),
    pytest.param("'100001'", "100001", "100001", "found 100001", "quotes",
                 id="serial number without quotes"),
    pytest.param("'100001'", "0100001", "0100001", ": found 0100001", "quotes",
                 id="serial number with a leading zero, without quotes"),
    pytest.param("tag: N-1", "tag: 101", "101\n", "found 101", "quotes", id="tag that is a number"),
    pytest.param("{address: 11}", "{address: 11}\n    installed_on: 31.03.2026", "31.03.2026",
                 "'31.03.2026'", "2026-03-31", id="date in another form"),
    pytest.param("{name: Little Site, revision: A}", "{name: '', revision: A}", "'',", "name", "",
                 id="site without a name"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "spot", "says", "mend"), VALUE_SLIPS)
def test_bad_values(tmp_path: Path, old: str, new: str, spot: str, says: str, mend: str) -> None:
    """An impossible value is quoted at its place, with what was expected."""
    site = small_site(tmp_path, nodes=[node(1)]).replace(old, new)

    assert_refused(site, at=site.line(spot), says=says, mend=mend)


def test_a_missing_space_after_a_colon(tmp_path: Path) -> None:
    """To YAML, `range_high:1000` is a key without a value; the setting must not silently vanish."""
    site = small_site(tmp_path).replace("range_high: 1000", "range_high:1000")

    assert_refused(site, at=site.line("range_high:1000"), says="'range_high:1000'", mend="range_high")


def test_a_misspelt_key_without_a_value(tmp_path: Path) -> None:
    """An unknown key is a slip, whether or not a value follows it."""
    site = small_site(tmp_path).replace("node_type: node", "node_type: node\n  node_tabels:")

    assert_refused(site, at=site.line("node_tabels"), says="'node_tabels'", mend="node_tables")


def test_two_slips_are_reported_in_one_run(tmp_path: Path) -> None:
    """Everything that is wrong with a plan is reported at once, in the order of its lines."""
    site = (
        small_site(tmp_path).replace("{channel: 7,", "{chanel: 7,").replace("{address: 12}", "{adress: 12}")
    )

    problems = refusal(site).problems

    assert [problem.split(": ")[1] for problem in problems] == [
        "unknown setting 'chanel' of device type 'gateway'\n    fix",
        "unknown setting 'adress' of device type 'node'\n    fix",
    ]


def test_slips_of_every_kind_are_reported_in_one_run(tmp_path: Path) -> None:
    """A wrong form, a misspelt setting, and a text that is no value of its setting do not hide each other."""
    site = small_site(tmp_path)
    site = site.replace("{channel: 7,", "{chanel: 7,").replace("{address: 12}", "{address: twelve}")
    site = site.replace("'100002'", "2")

    problems = refusal(site).problems

    assert [problem.split(": ", 1)[1].split("\n")[0] for problem in problems] == [
        "unknown setting 'chanel' of device type 'gateway'",
        "found 2 (in networks > entry 1 > nodes > entry 2 > serial), but text was expected",
        "address of N-2: 'twelve' is not a number",
    ]


def test_slips_in_keys_and_in_values_are_reported_in_one_run(tmp_path: Path) -> None:
    """Missing, misspelt and mistyped keys of one file are reported together."""
    site = small_site(tmp_path).replace("    type: gateway\n", "    typ: gateway\n").replace("'100002'", "2")

    problems = refusal(site).problems

    assert len(problems) == 3
    assert [
        part for part, problem in zip(("'type' is missing", "unknown key 'typ'", "found 2 (in"), problems,
                                      strict=True) if part in problem
    ] == ["'type' is missing", "unknown key 'typ'", "found 2 (in"]  # fmt: skip


def test_slips_in_a_json_plan_have_lines_too(tmp_path: Path) -> None:
    """Problems of a plan in JSON have line and column like those of one in YAML."""
    site = small_site(tmp_path)
    gateway = {"tag": "GW-1", "type": "gateway", "settings": {"chanel": 7}}
    network = {"name": "Main", "node_type": "node", "nodes": list(NODES), "gateway": gateway}
    plan = {"asfound": "plan/1", "site": {"name": NAME}, "device_types": ["gateway.yaml", "node.yaml"],
            "networks": [network]}  # fmt: skip
    site.write("plan.yaml", json.dumps(plan, indent=1))
    (tmp_path / "plan.yaml").rename(tmp_path / "plan.json")
    json_site = _JsonSite(tmp_path, readbacks=site.readbacks)

    at = site.line("chanel", "plan.json")

    assert_refused(json_site, at=at, says="unknown setting 'chanel'", mend="channel")


class _JsonSite(SmallSite):
    """A small site whose plan is a JSON file."""

    @property
    def plan(self) -> Path:
        return self.folder / "plan.json"


@pytest.mark.parametrize(
    ("old", "new", "missing"),
    [
        ("asfound: plan/1\n", "", "'asfound'"),
        ("site: {name: Little Site, revision: A}\n", "", "'site'"),
        ("device_types: [gateway.yaml, node.yaml]\n", "", "'device_types'"),
        ("- name: Main\n  gateway:", "- gateway:", "'name'"),
        ("- tag: N-1\n    serial:", "- serial:", "'tag'"),
    ],
)
def test_missing_keys(tmp_path: Path, old: str, new: str, missing: str) -> None:
    """A missing key is named, at the place where it is missing."""
    site = small_site(tmp_path).replace(old, new)

    assert_refused(site, at="plan.yaml", says=f"{missing} is missing", mend="add it")


def test_a_plan_of_another_format(tmp_path: Path) -> None:
    """A plan in a format that this version does not know is refused, not read in part."""
    site = small_site(tmp_path).replace("plan/1", "plan/2")

    assert_refused(site, at="plan.yaml:1:10", says="is in the form 'plan/2'", mend="or write plan/1")


@pytest.mark.parametrize(
    "extra", [{}, {"node_tables": [{"file": "nodes.csv"}]}], ids=["no list", "empty table"]
)
def test_a_plan_without_nodes(tmp_path: Path, extra: dict[str, object]) -> None:
    """If no node is planned there is nothing to check, which is not a pass."""
    site = small_site(tmp_path, nodes=[], network_extra=extra)
    site.write("nodes.csv", "tag,address\n")

    (problem,) = refusal(site).problems

    assert "no nodes" in problem or "no rows" in problem


def test_a_dash_of_any_kind_plans_nothing(tmp_path: Path) -> None:
    """Word processors lengthen a dash; with either, the row's device type need not have the setting."""
    planned = [{"foo": "–", "channel": 7}, {"type": "meter", "foo": "5", "channel": 7}]

    check(SiteOf(planned=planned, meter_settings={"foo": {"kind": "integer"}}).write(tmp_path))
