"""Plans: defaults, inheritance from the gateway, node tables, and problems with their places."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml

from audit.errors import InputProblems, Problem
from audit.model.base import Position
from audit.model.plan import NodePlan
from audit.model.site import Block
from audit.pairing.planning import planned_blocks
from audit.reading.inputs import Inputs
from audit.reading.meanings import Meanings
from audit.reading.plan import NODE_FIELDS, read_plan

GATEWAY = """asfound: device-type/1
name: gw
device: gateway
settings:
  - {name: channel, kind: integer, role: channel, low: 1, high: 40}
"""
NODE = """asfound: device-type/1
name: node
settings:
  - {name: channel, kind: integer, role: channel, low: 1, high: 40}
  - {name: address, kind: integer, role: address}
  - {name: interval, kind: integer, unit: s, role: report_interval}
  - {name: urv, kind: decimal, step: 1, unit: kPa, role: range_high}
"""
PLAN = """asfound: plan/1
site: {name: S}
device_types: [gw.yaml, node.yaml]
defaults: {interval: 300}
networks:
  - name: N
    gateway: {tag: G, type: gw, settings: {channel: 016}}
    node_type: node
    defaults: {urv: 1000}
    nodes:
      - {tag: A, settings: {address: 007}}
      - {tag: B, settings: {address: 8, channel: 9, interval: 5 min, urv: 2.5 bar}}
"""


def write(folder: Path, **files: str) -> Path:
    """Write a plan with its device types; `plan`, `gw`, `node` replace the usual texts."""
    for name, text in ({"plan": PLAN, "gw": GATEWAY, "node": NODE} | files).items():
        suffix = "" if "." in name else ".yaml"
        (folder / f"{name}{suffix}").write_text(text, encoding="utf-8")
    return folder / "plan.yaml"


def nodes(path: Path) -> Block:
    """Return the block of nodes of a plan."""
    return planned_blocks(read_plan(path, Inputs()), Meanings())[1]


def contents(block: Block, name: str) -> list[object]:
    """Return the planned contents of a setting."""
    return [value.content for value in block.planned[name]]


def problems(path: Path) -> list[Problem]:
    """Return the problems of a plan."""
    with pytest.raises(InputProblems) as error:
        nodes(path)
    return list(error.value.problems)


def test_the_nearest_value_counts(tmp_path: Path) -> None:
    """A node's own value comes before its network's, the site's, and what it takes from its gateway."""
    block = nodes(write(tmp_path))

    assert contents(block, "channel") == [16, 9]
    assert contents(block, "interval") == [300, 300]
    assert contents(block, "urv") == [1000, 250]
    assert contents(block, "address") == [7, 8]


def test_places_of_planned_values(tmp_path: Path) -> None:
    """Each planned value knows its line and column, whether own, default or the gateway's."""
    block = nodes(write(tmp_path))

    assert (block.planned_place(0, "address").row, block.planned_place(0, "address").raw) == (11, "007")
    assert block.planned_place(0, "urv").row == 9
    assert block.planned_place(0, "interval").row == 4
    assert block.planned_place(0, "channel").row == 7
    assert {block.planned_place(0, name).sheet for name in ("address", "urv", "channel")} == {""}


def test_in_a_json_plan_that_is_no_yaml_the_key_tells_the_place(tmp_path: Path) -> None:
    """Letters beyond 16 bits are two escapes in JSON, which YAML refuses: no lines or columns are known."""
    path = write(tmp_path).with_suffix(".json")
    path.write_text(json.dumps(yaml.safe_load(PLAN) | {"site": {"name": "S \U0001f3ed"}}), encoding="utf-8")

    place = nodes(path).planned_place(0, "urv")

    assert (Path(place.file).name, place.row, place.column, place.raw) == ("plan.json", 1, "urv", "1000")


def test_a_node_table_fills_blanks_from_defaults_and_keeps_dashes(tmp_path: Path) -> None:
    """In a node table an empty cell takes the default, and a dash means that nothing is planned."""
    plan = PLAN[: PLAN.index("    nodes:")] + "    node_tables: [{file: t.csv}]\n"
    table = "tag;address;urv [bar]\nA;007;\nB;8;-\nC;9;2.5\n"
    block = nodes(write(tmp_path, plan=plan, **{"t.csv": table}))

    assert contents(block, "urv") == [1000, None, 250]
    assert (block.planned_place(2, "urv").row, block.planned_place(2, "urv").column) == (4, "C")


def test_all_problems_of_a_plan_are_told_at_once(tmp_path: Path) -> None:
    """Misspelt settings, unknown types and unreadable values are reported together, each with its line."""
    plan = PLAN.replace("{interval: 300}", "{intervall: 300}").replace("address: 8", "adress: 8")
    found = problems(write(tmp_path, plan=plan.replace("tag: A,", "tag: A, type: nod,")))

    assert [(p.line, p.message.split(" of device")[0]) for p in found] == [
        (4, "unknown setting 'intervall'"),
        (11, "unknown device type 'nod'"),
        (12, "unknown setting 'adress'"),
    ]
    assert all(p.mend for p in found)


def test_faults_of_form_do_not_hide_misspelt_settings(tmp_path: Path) -> None:
    """Text for a number, an unknown key and an invalid device type are told with what else is wrong."""
    plan = PLAN.replace("address: 8", "adress: 8").replace("node_type: node", "nodes_type: node")
    found = problems(write(tmp_path, plan=plan))
    assert [(p.line, p.message.split(" (in")[0]) for p in found] == [(8, "unknown key 'nodes_type'")], (
        "without its type, a node would seem to have no settings at all"
    )

    plan = PLAN.replace("address: 8", "adress: 8").replace("node_type: node", "capacity: {nodes: many}")
    plan = plan.replace("tag: A,", "tag: A, type: node, installed: no,")
    plan = plan.replace("tag: B,", "tag: B, type: node,")
    found = problems(write(tmp_path, plan=plan))
    assert [(p.line, p.message.split(" (in")[0].split(" of device")[0]) for p in found] == [
        (8, "found 'many'"),
        (11, "unknown key 'installed'"),
        (12, "unknown setting 'adress'"),
    ]

    found = problems(write(tmp_path, plan=plan, node=NODE.replace("role: address", "role: adress")))
    assert [p.file.rpartition("/")[2] for p in found] == ["plan.yaml", "plan.yaml", "node.yaml"]


def test_a_misspelt_first_key_is_left_out_without_what_it_is_in(tmp_path: Path) -> None:
    """Both begin at one place; without the whole network there would be no plan to read on with."""
    plan = PLAN.replace("  - name: N", "  - nam: M\n    name: N").replace("address: 8", "adress: 8")
    found = problems(write(tmp_path, plan=plan))

    assert [p.message.split(" of device")[0] for p in found] == [
        "unknown key 'nam' (in networks > entry 1)", "unknown setting 'adress'",
    ]  # fmt: skip


def test_what_a_fault_of_form_leaves_without_its_other_half_is_not_told_as_another(tmp_path: Path) -> None:
    """A misspelt coordinate does not leave a position of one; a wrong entry of a list stays in its place."""
    half = PLAN.replace("tag: A,", "tag: A, position: {xm: 1, y_m: 2},").replace("address: 8", "adress: 8")
    assert [p.message.split(" (in")[0] for p in problems(write(tmp_path, plan=half))] == ["unknown key 'xm'"]

    half = half.replace("xm: 1", "east: 1")
    assert [p.message.split(" (in")[0] for p in problems(write(tmp_path, plan=half))] == [
        "unknown key 'east'"
    ]

    entry = PLAN.replace("node.yaml]", "[node.yaml]]").replace("address: 8", "adress: 8")
    assert [p.line for p in problems(write(tmp_path, plan=entry))] == [3]


@pytest.mark.parametrize("slip", ["maping: m.yaml", "columns: m.yaml", "mapping: [m.yaml]"])
def test_a_node_table_whose_mapping_is_misspelt_is_not_read_without_it(slip: str, tmp_path: Path) -> None:
    """All that the mapping explains would seem wrong with the table."""
    plan = PLAN.rstrip() + f"\n    node_tables:\n      - {{file: more.csv, {slip}}}\n"
    (tmp_path / "more.csv").write_text("Kanal;tag\n7;C\n")
    assert [p.file.rpartition("/")[2] for p in problems(write(tmp_path, plan=plan))] == ["plan.yaml"]


def test_a_node_table_whose_mapping_is_for_other_files_is_not_read_without_it(tmp_path: Path) -> None:
    """A decimal comma or a date would be read otherwise than the plan says, and only perhaps be noticed."""
    plan = PLAN.rstrip() + "\n    node_tables:\n      - {file: more.csv, mapping: m.yaml}\n"
    (tmp_path / "more.csv").write_text("Kanal;tag\n7;C\n")
    mapping = "asfound: mapping/1\nmappings:\n  - {files: [mroe.csv], delimiter: ';'}\n"
    (tmp_path / "m.yaml").write_text(mapping)
    (found,) = problems(write(tmp_path, plan=plan))

    assert found.message == "no mapping here is for 'more.csv', for which the plan names this file"
    assert (found.file.rpartition("/")[2], found.line) == ("m.yaml", 3)


def test_a_planned_value_has_to_be_clear(tmp_path: Path) -> None:
    """A planned text that is not a value of its setting stops the run, and says what was expected."""
    found = problems(
        write(tmp_path, plan=PLAN.replace("address: 8", "address: 8x").replace("2.5 bar", "2.5 m"))
    )

    assert [p.line for p in found] == [12, 12]
    assert "a whole number" in found[0].mend


def test_shared_settings_are_put_before_a_types_own(tmp_path: Path) -> None:
    """A device type takes the settings of the files that it includes, and may replace them."""
    shared = (
        "asfound: device-settings/1\nsettings:\n  - {name: channel, kind: integer, role: channel, low: 5}\n"
    )
    node = NODE.replace("settings:\n  - {name: channel, kind: integer, role: channel, low: 1, high: 40}\n",
                        "include: [common.yaml]\nsettings:\n")  # fmt: skip
    block = nodes(write(tmp_path, node=node, common=shared))

    assert [s.name for s in block.type.settings] == ["channel", "address", "interval", "urv"]
    assert block.type.settings[0].low == 5


def test_a_table_that_leads_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    """A plan refers to files in its own folder or below."""
    plan = PLAN + "    node_tables: [{file: ../../etc/t.csv}, {file: /t.csv}, {file: 'C:\\t.csv'}]\n"
    found = problems(write(tmp_path, plan=plan))

    assert len(found) == 3
    assert all("plan" in p.mend for p in found)


def test_a_setting_of_another_type_is_a_problem(tmp_path: Path) -> None:
    """A cell for a setting that the row's device type does not have is reported, not ignored."""
    other = NODE.replace("name: node", "name: other").replace("name: urv", "name: weight")
    plan = PLAN.replace("node.yaml]", "node.yaml, other.yaml]") + "    node_tables: [{file: t.csv}]\n"
    found = problems(
        write(tmp_path, plan=plan, other=other, **{"t.csv": "tag,type,weight\nC,other,5\nD,node,5\n"})
    )

    assert [(p.file.split("/")[-1], p.line, p.column) for p in found] == [("t.csv", 3, "C")]


def test_a_plan_may_be_json(tmp_path: Path) -> None:
    """A plan in JSON is read like one in YAML, numbers as written, and its problems have lines too."""
    import json

    write(tmp_path)
    plan = {
        "asfound": "plan/1", "site": {"name": "S"}, "device_types": ["gw.yaml", "node.yaml"],
        "networks": [{"name": "N", "gateway": {"tag": "G", "type": "gw", "settings": {"channel": 16}},
                      "node_type": "node", "nodes": [{"tag": "A", "settings": {"address": 7}}]}],
    }  # fmt: skip
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(plan, indent=1), encoding="utf-8")

    assert contents(nodes(path), "channel") == [16]
    path.write_text(json.dumps(plan, indent=1).replace('"tag": "A"', '"tga": "A"'), encoding="utf-8")
    assert {p.line for p in problems(path)} == {22, 23}


def test_one_table_may_hold_the_nodes_of_all_networks(tmp_path: Path) -> None:
    """A node table of the whole site names each node's network, and takes that network's defaults."""
    plan = PLAN[: PLAN.index("    nodes:")] + (
        "  - name: M\n    gateway: {tag: H, type: gw, settings: {channel: 20}}\n    node_type: node\n"
        "node_tables: [{file: t.csv}]\n"
    )
    block = nodes(write(tmp_path, plan=plan, **{"t.csv": "network,tag,address\nN,A,7\nM,B,8\nM,C,9\n"}))

    assert block.networks == ["N", "M", "M"]
    assert contents(block, "channel") == [16, 20, 20]
    assert contents(block, "urv") == [1000, None, None]


@pytest.mark.parametrize("rows", ["tag,address\nA,7\n", "network,tag\nX,A\n", "network,tag\n,A\n"])
def test_a_site_wide_table_has_to_name_known_networks(tmp_path: Path, rows: str) -> None:
    """Without a network, or with an unknown one, it is not known where a node belongs."""
    plan = PLAN + "node_tables: [{file: t.csv}]\n"
    (problem,) = problems(write(tmp_path, plan=plan, **{"t.csv": rows}))

    assert problem.file.endswith("t.csv")
    assert "network" in problem.message


def test_a_title_among_the_nodes_of_all_networks_is_named(tmp_path: Path) -> None:
    """A register has the name of an area above its nodes; that is left out, not given a network."""
    rows = "network,tag,address\n,Hall A,\nN,A,7\n,Hall B,\n"
    path = write(tmp_path, plan=PLAN + "node_tables: [{file: t.csv}]\n", **{"t.csv": rows})
    (problem,) = problems(path)

    assert problem.message == "'Hall A' has no network; 1 more row like it"
    assert "leave the row out, with `leave_out` in a mapping" in problem.mend


@pytest.mark.parametrize("nothing", ["n/a", "'-'", "N/A"])
def test_a_plan_may_say_that_nothing_is_planned(tmp_path: Path, nothing: str) -> None:
    """Against a default of the site, at one node or as a network's own default."""
    at_node = PLAN.replace("{address: 007}", f"{{address: 007, interval: {nothing}}}")
    of_network = PLAN.replace("{urv: 1000}", f"{{urv: 1000, interval: {nothing}}}")

    assert contents(nodes(write(tmp_path, plan=at_node)), "interval") == [None, 300]
    assert contents(nodes(write(tmp_path, plan=of_network)), "interval") == [None, 300]


@pytest.mark.parametrize("nothing", ["n/a", "'-'", "–", "'—'", "'?'"])
def test_a_plan_may_say_that_a_serial_number_is_not_known_yet(tmp_path: Path, nothing: str) -> None:
    """Gateways and nodes whose serial numbers are not known do not share one."""
    plan = PLAN.replace("{tag: ", f"{{serial: {nothing}, tag: ")
    plan += "    node_tables: [{file: t.csv}]\n"
    path = write(tmp_path, plan=plan, **{"t.csv": "tag,serial\nC,-\n"})
    blocks = planned_blocks(read_plan(path, Inputs()), Meanings())

    assert [block.serials for block in blocks] == [[""], ["", "", ""]]


def test_an_unknown_name_is_told_even_where_nothing_is_planned(tmp_path: Path) -> None:
    """It may be misspelt; only a known setting of other types may be said to be none."""
    (problem,) = problems(write(tmp_path, plan=PLAN.replace("{address: 007}", "{adress: n/a, address: 7}")))

    assert problem.message == "unknown setting 'adress' of device type 'node'"


def test_nothing_may_be_planned_where_the_device_type_has_nothing(tmp_path: Path) -> None:
    """It is right to write n/a at each gateway for what only nodes have."""
    plan = write(tmp_path, plan=PLAN.replace("{channel: 016}", "{channel: 016, urv: n/a}"))

    assert contents(nodes(plan), "urv") == [1000, 250]


def test_a_setting_that_only_other_types_have_is_not_sent_to_a_neighbour(tmp_path: Path) -> None:
    """The nearest name would be another setting, which would then be there twice."""
    plan = write(tmp_path, plan=PLAN.replace("{channel: 016}", "{channel: 016, urv: 500}"))

    with pytest.raises(InputProblems) as error:
        read_plan(plan, Inputs())

    (problem,) = error.value.problems
    assert problem.message == "unknown setting 'urv' of device type 'gw'"
    assert problem.mend.startswith("leave it out")


def test_a_node_table_may_say_what_the_plan_may() -> None:
    """What a node can have in the plan's own list has a column in tables of nodes; lists do not fit there."""
    keys = {*NodePlan.model_fields, *Position.model_fields} - {"position", "settings", "obstacles"}

    assert sorted(keys - set(NODE_FIELDS)) == [], "name it in NODE_FIELDS of audit/reading/plan.py"


def test_settings_are_kept_in_tables_alone(tmp_path: Path) -> None:
    """Where access codes are replaced: the plan beside them has no settings, so that it holds no code."""
    plan = read_plan(write(tmp_path), Inputs()).file

    assert plan.defaults == {}
    assert [(one.defaults, one.gateway.settings, one.nodes) for one in plan.networks] == [({}, {}, ())]
