"""Slips in what a plan refers to: missing files, node tables, device types."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from xlsxwriter import Workbook

from tests.refusing import assert_refused
from tests.small_site import SETTINGS, small_site

LEADS_NOWHERE = [
    pytest.param("nod.yaml", "'nod.yaml'", "check the name", id="missing"),
    pytest.param(
        "../node.yaml",
        "'../node.yaml' leads out of",
        "in its folder, or below it; plans that share files can lie side by side",
        id="above the plan",
    ),
    pytest.param("types/../../node.yaml", "leads out of", "in its folder", id="above the plan by a detour"),
    pytest.param("/etc/node.yaml", "'/etc/node.yaml' is not a relative path", "in its folder", id="absolute"),
    pytest.param("C:/types/node.yaml", "is not a relative path", "in its folder", id="with a drive"),
    pytest.param(r"types\node.yaml", "is not a relative path", "with / between names", id="backslash"),
]


@pytest.mark.parametrize(("reference", "says", "mend"), LEADS_NOWHERE)
def test_a_device_type_that_is_not_there(tmp_path: Path, reference: str, says: str, mend: str) -> None:
    """A device type that cannot be read is reported at the line of the plan that names it."""
    site = small_site(tmp_path).replace("node.yaml]", f"'{reference}']")

    assert_refused(site, at="plan.yaml:3", says=says, mend=mend)


@pytest.mark.parametrize(("reference", "says", "mend"), LEADS_NOWHERE)
def test_a_node_table_that_is_not_there(tmp_path: Path, reference: str, says: str, mend: str) -> None:
    """A node table that cannot be read is reported at the line of the plan that names it."""
    site = small_site(tmp_path, network_extra={"node_tables": [{"file": reference}]})

    assert_refused(site, at=site.line("- {file:"), says=says, mend=mend)


@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    """A name inside the folder that links to a file outside it is refused too."""
    site = small_site(tmp_path / "site")
    outside = site.write("../outside.yaml", (site.folder / "node.yaml").read_bytes())
    (site.folder / "node.yaml").unlink()
    (site.folder / "node.yaml").symlink_to(outside)

    assert_refused(site, at="plan.yaml:3", says="'node.yaml' leads out of", mend="in its folder")


# Node tables and device types

ROWS = "tag,type,serial,address\nN-1,node,100001,11\n"

TABLE_SLIPS = [
    pytest.param("tag,type,serial,adress\nN-1,node,1,11\n", "1:D", "unknown column 'adress'", "address",
                 id="unknown column"),
    pytest.param("type,address\nnode,11\n", "", "no column says which device a row is", "tag",
                 id="no column of tags"),
    pytest.param(ROWS + ",node,100002,12\n", "3:A", "has no tag", "give it one", id="no tag"),
    pytest.param(ROWS + '"N-2\nN-3",node,100002,12\n', "3:A", "is on several lines", "a row of its own",
                 id="two nodes in a cell"),
    pytest.param(ROWS + ",,,13\n", "3:A", "has no tag", "under `leave_out`", id="a spare"),
    pytest.param(ROWS + "N-2,nod,100002,12\n", "3:B", "unknown device type 'nod'", "node",
                 id="unknown device type"),
    pytest.param(ROWS + "N-2,press.,100002,12\nN-3,press.,100003,13\nN-4,press.,100004,14\n", "3:B",
                 "unknown device type 'press.'; 2 more rows like it", "`values: {type: {press.: …}}`",
                 id="a word for a device type in many rows"),
    pytest.param(ROWS + '"N-2","pump: old, small",100002,12\n', "3:B", "type 'pump: old, small'",
                 '`values: {type: {"pump: old, small": …}}`', id="a word with marks of YAML"),
    pytest.param(ROWS + "N-2,do.,100002,12\nN-3,do.,100003,13\n", "3:B",
                 "do. is a ditto mark, not a device type; 1 more row like it", "in every row", id="ditto"),
    pytest.param(ROWS + "GW-1,gateway,900001,\n", "3:B", "device type 'gateway' is that of a gateway",
                 "`leave_out`", id="a gateway among the nodes"),
    pytest.param(ROWS + "N-2,node,100002,twelve\n", "3:D", "'twelve' is not a number", "a whole number",
                 id="word for a number"),
    pytest.param('tag,type,range_high\nN-1,node,"12,5"\n', "2:C", "has a comma",
                 "write 12.5; or state `decimal: ','` in a mapping, named in the plan: `mapping:`",
                 id="decimal comma"),
    pytest.param(ROWS + "N-2,node,100002,99999999999999999999\n", "3:D",
                 "'99999999999999999999' is beyond", "a whole number", id="beyond 64 bits"),
    pytest.param("tag,type,instaled_on\nN-1,node,2026-03-31\n", "1:C", "unknown column 'instaled_on'",
                 "nearest: installed_on", id="misspelt field that only plans have"),
    pytest.param("tag,type,installed_on\nN-1,node,2026-03-31T09:15\n", "2:C", "is not a date or time",
                 "2026-03-31", id="a time where a day belongs"),
    pytest.param("tag,type,installed_on\nN-1,node,31.03.2026\n", "2:C", "'31.03.2026' is not a date",
                 "2026-03-31", id="date in another form"),
    pytest.param("tag,type,x_m,y_m\nN-1,node,far,0\n", "2:C", "'far' is not a number", "1250", id="position"),
    pytest.param("tag,type,x_m,y_m,height_m\nN-1,node,1,0,mast\n", "2:E", "'mast' is not a number", "1250",
                 id="height"),
    pytest.param("tag,type,latitude,longitude\nN-1,node,95,7\n", "2:C", "'95' is not a latitude",
                 "at most 90", id="beyond the pole"),
    pytest.param("tag,type,response_time_s\nN-1,node,0\n", "2:C", "'0' is impossible as a response time",
                 "above 0", id="response time of zero"),
    pytest.param("tag,type,x_m,y_m\nN-1,node,1_0,0\n", "2:C", "'1_0' is not a number", "1250",
                 id="a number as only Python reads it"),
]  # fmt: skip


@pytest.mark.parametrize(("content", "place", "says", "mend"), TABLE_SLIPS)
def test_slips_in_a_node_table(tmp_path: Path, content: str, place: str, says: str, mend: str) -> None:
    """A slip in a table of nodes is reported with row and column."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", content)

    assert_refused(site, at=f"nodes.csv:{place}".rstrip(":"), says=says, mend=mend)


COMMAS = 'tag,type,range_high,address\nN-1,node,"12,5",11\nN-2,node,"12,5",12\nN-3,node,"16,0",13\n'


def test_a_table_with_another_decimal_mark(tmp_path: Path) -> None:
    """Many numbers with the other decimal mark are one problem, which says where to state the mark."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", COMMAS)

    assert_refused(site, at="nodes.csv:2:C", says="'12,5' has a comma where the decimal mark is declared as "
                   "'.'; 2 more are like it", mend="state `decimal: ','` in a mapping, named in the plan: "
                   "`mapping:` beside `file:`; or write them as 12.5")  # fmt: skip


def test_a_table_with_another_decimal_mark_than_its_mapping_says(tmp_path: Path) -> None:
    """If a mapping is named, the message says where it is."""
    tables = [{"file": "nodes.csv", "mapping": "map.yaml"}]
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": tables})
    site.write("nodes.csv", COMMAS)
    mapping = site.write("map.yaml", {"asfound": "mapping/1", "mappings": [{"ignore": ["remark"]}]})

    assert_refused(site, at="nodes.csv:2:C", says="2 more are like it",
                   mend=f"state `decimal: ','` in its mapping, {mapping.as_posix()}:3; or")  # fmt: skip


def test_a_sheet_of_a_workbook_that_is_read_with_several_mappings(tmp_path: Path) -> None:
    """The mapping named is that of the sheet, not that of another sheet of the file."""
    tables = [{"file": "nodes.xlsx", "mapping": f"{name}.yaml"} for name in ("One", "Two")]
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": tables})
    book = Workbook(tmp_path / "nodes.xlsx")
    for n, (name, text) in enumerate((("One", "12,5"), ("Two", "12.5")), 1):
        sheet = book.add_worksheet(name)
        sheet.write_row(0, 0, ["tag", "range_high", "address"])
        sheet.write_row(1, 0, [f"N-{n}", text, n])
        site.write(f"{name}.yaml", {"asfound": "mapping/1", "mappings": [{"sheet": name}]})
    book.close()

    assert_refused(site, at="nodes.xlsx [One]:2:B", says="'12,5' has a comma",
                   mend=f"state `decimal: ','` in its mapping, {tmp_path.as_posix()}/One.yaml:3")  # fmt: skip


def test_a_word_of_another_language_all_down_a_table(tmp_path: Path) -> None:
    """A mapping translates it in one line; one message for each row would hide that."""
    tables = {"node_tables": [{"file": "nodes.csv"}]}
    settings = [*SETTINGS, {"name": "lock", "kind": "flag"}]
    site = small_site(tmp_path, nodes=[], settings=settings, network_extra=tables)
    site.write("nodes.csv", "tag,address,lock\nN-1,1,ein\nN-2,2,ein\nN-3,3,ein\n")

    assert_refused(site, at="nodes.csv:2:C",
                   says="'ein' is neither on nor off, yes nor no; 2 more are like it",
                   mend="give on or off, yes or no; or say what it means, "
                   "`values: {lock: {ein: …}}` "
                   "in a mapping, named in the plan: `mapping:` beside `file:`")  # fmt: skip


def test_marks_between_thousands_all_down_a_table(tmp_path: Path) -> None:
    """To say what each number means, as for a word, would be wrong."""
    tables = {"node_tables": [{"file": "nodes.csv"}]}
    site = small_site(tmp_path, nodes=[], network_extra=tables)
    site.write("nodes.csv", 'tag,address,range_high\nN-1,1,"1,000.5"\nN-2,2,1 600\nN-3,3,"1,250.5"\n')

    assert_refused(site, at="nodes.csv:2:C", says="'1,000.5' is not a number; 2 more are like it",
                   mend="if it separates thousands, state `grouping`")  # fmt: skip


def test_a_table_that_is_named_twice(tmp_path: Path) -> None:
    """Each of its nodes would be planned twice, with findings on its tag and its serial number."""
    tables = [{"file": "nodes.csv"}, {"file": "./nodes.csv"}]
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": tables})
    site.write("nodes.csv", "tag,address\nN-1,1\n")

    assert_refused(site, at="nodes.csv", says="more than once, and it would be read each time",
                   mend="name it once, under `node_tables` of the whole plan and with a column")  # fmt: skip


def test_a_workbook_with_a_sheet_for_each_network(tmp_path: Path) -> None:
    """All its sheets are read each time it is named, unless a mapping states one."""
    tables = {"node_tables": [{"file": "nodes.xlsx"}]}
    site = small_site(tmp_path, nodes=[], network_extra=tables)
    book = Workbook(tmp_path / "nodes.xlsx")
    for n, name in enumerate(("Main", "Other"), 1):
        book.add_worksheet(name).write_column(0, 0, ["tag", f"N-{n}"])
    book.close()
    other = {"name": "Other", "node_type": "node", "gateway": {"tag": "GW-2", "type": "gateway"}, **tables}
    site.replace("networks:\n", f"networks:\n- {json.dumps(other)}\n")

    assert_refused(site, at="nodes.xlsx", says="and its sheets 'Main', 'Other' would be read each time",
                   mend="with its own mapping file, which states the network's `sheet`")  # fmt: skip


def test_a_row_of_another_network(tmp_path: Path) -> None:
    """The table of a network holds its own nodes only."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.replace(
        "networks:\n", "networks:\n- {name: Other, node_type: node, gateway: {tag: GW-2, type: gateway}}\n"
    )
    site.write("nodes.csv", "tag,network\nN-1,Main\nN-2,Other\n")

    assert_refused(site, at="nodes.csv:3:B", says="belongs to network 'Other', but its table to 'Main'",
                   mend="move the row")  # fmt: skip


def test_an_unknown_network_in_many_rows_is_one_problem(tmp_path: Path) -> None:
    """It is one slip, such as a heading over the wrong column."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", "tag,type,network\nN-1,node,Shed\nN-2,node,Shed\nN-3,node,Shed\n")

    assert_refused(site, at="nodes.csv:2:C", says="unknown network 'Shed'; 2 more rows like it",
                   mend="fix: known: Main")  # fmt: skip


def test_a_table_of_the_whole_plan_may_name_networks_by_their_gateways(tmp_path: Path) -> None:
    """Registers have a column for the gateway; the node is then in the gateway's network."""
    site = small_site(tmp_path, nodes=[], plan_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", "tag,type,network,address\nN-1,node,GW-1,11\nN-2,node,Main,12\n")

    devices = site.result("--detail")["devices"]

    assert [(one["tag"], one["network"]) for one in devices][1:] == [("N-1", "Main"), ("N-2", "Main")]


def test_a_table_of_nodes_without_a_device_type(tmp_path: Path) -> None:
    """A node is reported at its row if neither the row nor the network gives a device type."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.replace("  node_type: node\n", "")
    site.write("nodes.csv", "tag\nN-1\n")

    mend = "in a column type, or as the network's `node_type`, or under `constants` in a mapping; known: node"
    problem = assert_refused(site, at="nodes.csv:2", says="the node has no device type", mend=mend)
    assert "or say what it means" not in problem  # nothing cannot mean a type


def test_a_table_of_the_whole_plan_in_which_a_node_has_no_network(tmp_path: Path) -> None:
    """A blank has to be filled in, and means none of the networks."""
    site = small_site(tmp_path, nodes=[], plan_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", "tag,type,network\nN-1,node,Main\nN-2,node,\n")

    assert_refused(site, at="nodes.csv:3:C", says="'N-2' has no network", mend="fix: name it; known: Main")


def test_a_total_below_the_nodes(tmp_path: Path) -> None:
    """The row of a total is almost empty: it is hardly a node whose type was misspelt."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", ROWS + "Total,24,,\n")

    assert_refused(
        site, at="nodes.csv:3:B", says="unknown device type '24'", mend="remove the row if it is not a"
    )


def test_a_value_that_is_not_yet_known(tmp_path: Path) -> None:
    """The remedy says how to write that nothing is planned."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", "tag,address\nN-1,TBC\n")

    assert_refused(site, at="nodes.csv:2:B", says="'TBC' is not a number", mend="or - if nothing is planned")


TYPE_SLIPS = [
    pytest.param("role: channel,", "role: chanel,", "chanel", "unknown role 'chanel'", "channel", id="role"),
    pytest.param("kind: text", "kind: txt", "txt", "'txt' is not allowed", "text", id="kind"),
    pytest.param("low: 1, high: 40", "lwo: 1, high: 40", "lwo", "unknown key 'lwo'", "low", id="key"),
    pytest.param("low: 1, high: 40", "low: one, high: 40", "one,", "found 'one'", "write a number",
                 id="word for a limit"),
    pytest.param("low: 1, high: 40", "low: 40, high: 1", "{name: channel", "low 40 is above high 1", "",
                 id="limits swapped"),
    pytest.param("kind: text", "kind: text, low: 1", "{name: network_id", "is of kind text",
                 "a kind of number", id="limit of a text"),
    pytest.param(", unit: kPa, step: 0.1}\n- {name: range_high", ", unit: kPa}\n- {name: range_high",
                 "{name: range_low", "needs its display resolution", "step: ", id="decimal without step"),
    pytest.param("low: 1, high: 40", "low: 1, high: 40, default: one", "one",
                 "the default of channel: 'one' is not", "correct it", id="default that is not a number"),
    pytest.param("kind: text, role: network_id", 'kind: option, options: ["9.6", "50"], default: "9,6"',
                 '"9,6"', "'9,6' has a comma where the decimal mark is declared as '.'", "correct it",
                 id="default that is not an option"),
    pytest.param("role: network_id", "role: local_lock", "{name: network_id", "which is on or off",
                 "kind: flag", id="a lock that is not a flag"),
    pytest.param("role: network_id", "role: alarm_low", "{name: network_id", "which is a number",
                 "kind: decimal", id="a setpoint that is a text"),
    pytest.param("kind: text, role: network_id", "kind: option, role: default_refused, options: [nein]",
                 "nein", "has the option 'nein', but rules know only", "one of these",
                 id="a trial with unknown options"),
    pytest.param("name: network_id", "name: channel", "{name: channel, label: NET",
                 "'channel' is given twice", "", id="setting given twice"),
    pytest.param("name: network_id", "name: type", "{name: type", "'type' is a column of readbacks", "",
                 id="setting named like a column of readbacks"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "spot", "says", "mend"), TYPE_SLIPS)
def test_slips_in_a_device_type(tmp_path: Path, old: str, new: str, spot: str, says: str, mend: str) -> None:
    """A slip in a device type is reported at its place, and never makes a setting meaningless."""
    site = small_site(tmp_path).replace(old, new, "node.yaml")

    assert_refused(site, at=site.line(spot, "node.yaml"), says=says, mend=mend)


def test_a_slip_in_shared_settings_is_reported_once(tmp_path: Path) -> None:
    """It is one problem, however many device types include the file."""
    site = small_site(tmp_path, plan_extra={"device_types": ["gateway.yaml", "node.yaml", "other.yaml"]})
    site.write(
        "other.yaml",
        {"asfound": "device-type/1", "name": "other", "include": ["shared.yaml"], "settings": []},
    )
    site.replace("name: node\n", "name: node\ninclude: [shared.yaml]\n", "node.yaml")
    site.write(
        "shared.yaml",
        "asfound: device-settings/1\nsettings:\n- {name: x, kind: text, where: on the box, at the left}\n",
    )

    assert_refused(
        site,
        at="shared.yaml:3",
        says="'at the left' follows a comma",
        mend='where: "on the box, at the left"',
    )


def test_a_forgotten_colon_is_reported_as_such(tmp_path: Path) -> None:
    """A key without its colon is not part of the text before it, to be put in quotes with that."""
    site = small_site(tmp_path).replace(
        "kind: text, role: network_id", "kind: text, role network_id", "node.yaml"
    )

    assert_refused(
        site,
        at=site.line("role network_id", "node.yaml"),
        says="there is no colon after role",
        mend="write `role: ` and then its value",
    )
