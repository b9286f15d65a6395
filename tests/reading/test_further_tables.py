"""A second table about the same devices, such as a register of alarms, adds to what the plan says of them."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path, PurePosixPath
from typing import Any

import pytest

from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from audit.sampling.by_chance import Unit
from audit.sampling.nodes import duties_of
from tests.exported_codes import DIGITS
from tests.refusing import assert_refused, refusal
from tests.small_site import ACCESS_CODE, SETTINGS, SmallSite, as_xlsx, run, small_site
from tests.the_examples import EXAMPLES

INDEX = """tag,serial,address,range_low,range_high
N-1,100001,11,0,1000
N-2,100002,12,0,1000
N-3,,13,,
"""
ALARMS = """Loop,Alarm,Setpoint,Unit
N-1,H,7.8,bar
N-2,H,780,kPa
N-2,LRV,0,kPa
"""
LONG: dict[str, Any] = {
    "form": "long",
    "columns": {"Loop": "tag"},
    "long": {"setting": "Alarm", "value": "Setpoint", "unit": "Unit"},
}
SOUTH = "- {name: South, node_type: node, gateway: {tag: GW-2, type: gateway}, nodes: [{tag: N-3}]}\n"


def with_further(folder: Path, text: str | bytes, name: str = "alarms.csv", **more: Any) -> SmallSite:
    """Return a site with an index of nodes and a further table; nothing was read yet."""
    site = small_site(folder, nodes=[], defaults={}, settings=[*SETTINGS, ACCESS_CODE], network_extra={
        "node_tables": [{"file": "index.csv"}], "further_tables": [{"file": name, **more}]})  # fmt: skip
    site.write("index.csv", INDEX)
    site.write(name, text)
    site.readbacks.clear()
    return site


def quoted(finding: dict[str, Any]) -> list[tuple[str, str]]:
    """Return file and text of the evidence of a finding."""
    return [(PurePosixPath(one["file"]).name, one["raw"]) for one in finding["evidence"]]


def planned(site: SmallSite) -> dict[str, dict[str, str]]:
    """Return what is planned for each node, without radio and address."""
    return {
        device["tag"]: {
            one["name"]: one["planned"] for one in device["settings"]
            if one["planned"] and one["name"] not in ("channel", "network_id", "address")
        }
        for device in site.result("--detail")["devices"] if device["tag"].startswith("N")
    }  # fmt: skip


def test_a_register_with_a_row_for_each_alarm(tmp_path: Path) -> None:
    """Each setpoint is planned for its node, in its own unit; what both tables say alike is no fault."""
    site = with_further(tmp_path, ALARMS, mapping="long.yaml")
    site.write("long.yaml", {"asfound": "mapping/1", "mappings": [LONG]})

    assert planned(site) == {
        "N-1": {"range_low": "0 kPa", "range_high": "1000 kPa", "high_alarm": "7.8 bar = 780 kPa"},
        "N-2": {"range_low": "0 kPa", "range_high": "1000 kPa", "high_alarm": "780 kPa"},
        "N-3": {},
    }
    assert site.result()["findings"] == []


def test_a_difference_quotes_the_table_that_plans_the_value(tmp_path: Path) -> None:
    """Whoever corrects the setpoint finds where it was agreed."""
    site = with_further(tmp_path, "tag,high_alarm\nN-1,780\n")
    site.read("found.csv", "tag,high_alarm\nN-1,700\n")

    finding = next(f for f in site.result()["findings"] if f["rule"] == "alarm-off-plan")

    assert quoted(finding) == [("found.csv", "700"), ("alarms.csv", "780")]


def test_fields_and_what_the_index_leaves_blank_come_from_it_too(tmp_path: Path) -> None:
    """A list of deliveries has the serial number; a default counts only where neither table says anything."""
    site = with_further(tmp_path, "tag,serial,range_high,location\nN-3,100003,9 bar,Kiln Lane 5\n")
    site.replace("defaults: {}", "defaults: {range_high: 500}")

    devices = {one["tag"]: one for one in site.result("--detail")["devices"]}

    assert (devices["N-3"]["serial"], devices["N-3"]["location"]) == ("100003", "Kiln Lane 5")
    assert planned(site)["N-3"] == {"range_high": "9 bar = 900 kPa"}
    assert planned(site)["N-1"]["range_high"] == "1000 kPa"


def test_sheets_and_samples_have_what_it_says(tmp_path: Path) -> None:
    """Whoever goes out finds the node, and nodes of a duty are not left to chance."""
    site = with_further(tmp_path, "tag,location,duties\nN-3,Kiln Lane 5,billing\n")

    sheet = run("sheet", site.plan, "--out", "-", "--format", "csv").stdout

    assert "N-3,Kiln Lane 5" in sheet
    assert duties_of(read_plan(site.plan, Inputs())) == {Unit("Main", "N-3"): ["billing"]}


def test_a_row_is_found_by_its_serial_number(tmp_path: Path) -> None:
    """Where the table has no tags."""
    assert (
        planned(with_further(tmp_path, "serial,high_alarm\n100002,700\n"))["N-2"]["high_alarm"] == "700 kPa"
    )


def test_two_rows_about_one_node_add_up(tmp_path: Path) -> None:
    """A register may have a row for each limit, each in a column of its own."""
    site = with_further(tmp_path, "tag,high_alarm,range_high\nN-3,700,\nN-3,,900\n")

    assert planned(site)["N-3"] == {"high_alarm": "700 kPa", "range_high": "900 kPa"}


def test_a_gateway_may_have_its_radio_settings_there(tmp_path: Path) -> None:
    """Nodes take them over as if they stood in the plan."""
    site = with_further(tmp_path, "tag,channel,network_id\nGW-1,9,B2\n", "radio.csv")
    site.replace("    settings: {channel: 7, network_id: A7}\n", "")
    site.read("found.csv", "tag,channel\nGW-1,9\nN-1,7\n")

    finding = next(f for f in site.result()["findings"] if f["rule"] == "channel-differs")

    assert finding["message"] == "channel is 7, the gateway has 9"
    assert ("radio.csv", "9") in quoted(finding)


def test_different_values_are_a_finding_and_the_first_counts(tmp_path: Path) -> None:
    """The index and the register cannot both hold."""
    site = with_further(tmp_path, "tag,range_high,location,note\nN-1,9 bar,,see index\nN-2,10 bar,Well 4,\n")

    (finding,) = site.result()["findings"]

    assert (finding["rule"], finding["node"]) == ("node-planned-twice", "N-1")
    assert finding["message"].endswith("with different entries for range_high; the first counts")
    assert quoted(finding) == [
        ("index.csv", "N-1"), ("alarms.csv", "N-1"), ("index.csv", "1000"), ("alarms.csv", "9 bar")
    ]  # fmt: skip
    assert planned(site)["N-1"]["range_high"] == "1000 kPa"


def test_a_dash_plans_nothing_and_contradicts_a_value(tmp_path: Path) -> None:
    """An empty cell says nothing; a dash says that there is no alarm."""
    site = with_further(tmp_path, "tag,range_high,high_alarm\nN-1,-,-\n")

    (finding,) = site.result()["findings"]

    assert finding["message"].endswith("with different entries for range_high; the first counts")
    assert "high_alarm" not in planned(site)["N-1"]


def test_access_codes_stay_unseen(tmp_path: Path) -> None:
    """Neither a report nor a message has them, and two are not compared."""
    site = with_further(tmp_path, f"tag,access_code\nN-1,{DIGITS}\n")
    site.read("found.csv", f"tag,access_code\nN-1,{DIGITS}\n")

    outcome = site.check("--all")

    assert DIGITS not in outcome.stdout + outcome.stderr
    assert "carries access codes in clear" in outcome.stdout

    site.write("alarms.csv", f"tag,access_code\nN-1,{DIGITS}\nN-1,{DIGITS[::-1]}\n")
    assert "node-planned-twice" not in {one["rule"] for one in site.result()["findings"]}


def test_inputs_say_what_a_further_table_adds(tmp_path: Path) -> None:
    """Whoever reads the report sees how many devices it is about, and that rows were passed over."""
    site = with_further(tmp_path, "tag,high_alarm\nN-1,780\nFT-9,3\nFT-10,3\n", other_devices=True)

    note = next(one["note"] for one in site.result()["inputs"] if one["file"].endswith("alarms.csv"))

    assert note == "more about 1 of 4 devices: high_alarm; 2 rows about other devices passed over"


def test_inputs_say_nothing_of_rows_passed_over_where_none_was(tmp_path: Path) -> None:
    """A row may name the network to which its table belongs, and the device type."""
    site = with_further(tmp_path, "tag,network,type,high_alarm\nN-1,Main,node,780\n")

    note = next(one["note"] for one in site.result()["inputs"] if one["file"].endswith("alarms.csv"))

    assert note == "more about 1 of 4 devices: high_alarm"


def test_sheets_of_a_workbook(tmp_path: Path) -> None:
    """All that have a column of tags."""
    sheets = {"H": [("tag", "H"), ("N-1", 780)], "Range": [("tag", "URV"), ("N-3", 900)]}
    site = with_further(tmp_path, as_xlsx(sheets), "alarms.xlsx")

    assert planned(site)["N-1"]["high_alarm"] == "780 kPa"
    assert planned(site)["N-3"]["range_high"] == "900 kPa"


@pytest.mark.parametrize("called", ["South", "GW-2"])
def test_a_further_table_of_the_whole_site(tmp_path: Path, called: str) -> None:
    """A tag that two networks have needs the network, or the tag of its gateway; others do not."""
    site = with_further(tmp_path, f"tag,network,high_alarm\nN-1,,780\nN-3,{called},700\n")
    site.replace("networks:\n", f"networks:\n{SOUTH}").replace(
        "  further_tables:\n  - {file: alarms.csv}\n", "further_tables:\n- {file: alarms.csv}\n"
    )

    alarms = {(one["network"], one["tag"]): setting["planned"]
              for one in site.result("--detail")["devices"] for setting in one["settings"]
              if setting["name"] == "high_alarm"}  # fmt: skip
    assert alarms == {("Main", "N-1"): "780 kPa", ("South", "N-3"): "700 kPa"}

    site.write("alarms.csv", "tag,high_alarm\nN-3,700\n")
    assert_refused(site, at="alarms.csv:2:A", says="'N-3' is in 2 networks: South, Main",
                   mend="add a column headed network")  # fmt: skip


@pytest.mark.parametrize(
    ("row", "at", "says", "mend"),
    [
        (
            "FT-9,,,5",
            "2:A",
            "'FT-9' is no device of network 'Main'",
            "`other_devices: true` beside its `file`",
        ),
        (",999,,5", "2:B", "'999' is no device of network 'Main'", "known: 100001"),
        ("FT-9,999,,5", "2:A", "'FT-9' is no device of network 'Main'", "known: "),
        ("n 1,,,5", "2:A", "'n 1' is written N-1 elsewhere in the plan", "`values: {tag: …}`"),
        (",,,5", "2", "the row has neither tag nor serial number", "`leave_out`"),
        (
            "N-1,,South,5",
            "2:A",
            "the row is of network 'South', but its table of 'Main'",
            "for the whole site",
        ),
        ("N-1,,,abc", "2:D", "high_alarm of N-1: 'abc' is not a number", "give a number, in kPa"),
    ],
)
def test_rows_that_cannot_be_used(row: str, at: str, says: str, mend: str, tmp_path: Path) -> None:
    """A setpoint that is lost would not be checked, and nobody would see it."""
    site = with_further(tmp_path, f"tag,serial,network,high_alarm\n{row}\n")

    assert_refused(site, at=f"alarms.csv:{at}", says=says, mend=mend)


def test_a_tag_written_otherwise_is_no_other_device(tmp_path: Path) -> None:
    """Even where a table is about others too."""
    site = with_further(tmp_path, "tag,high_alarm\nFT-9,5\nn-01,780\n", other_devices=True)

    assert_refused(site, at="alarms.csv:3:A", says="'n-01' is written N-1", mend="write it the same")


@pytest.mark.parametrize(
    ("row", "at", "says", "mend"),
    [
        ("XX-1,100001,,780", "B", "no 'XX-1', and the serial number is that of N-1", "correct the tag or"),
        ("N-1,,MAIN,780", "C", "network 'MAIN' is written Main elsewhere", "`values: {network: …}`"),
    ],
)
def test_a_row_that_may_be_about_a_device_is_not_passed_over(
    row: str, at: str, says: str, mend: str, tmp_path: Path
) -> None:
    """Its setpoint would not be checked, and it would count as one about another device."""
    site = with_further(tmp_path, f"tag,serial,network,high_alarm\n{row}\n", other_devices=True)
    named = "further_tables:\n  - {file: alarms.csv, other_devices: true}\n"
    site.replace(f"  {named}", named.replace("  -", "-"))

    assert_refused(
        site, at=f"alarms.csv:2:{at}", says=says, mend="rite it" if at == "C" else "correct the tag"
    )


def test_of_nodes_with_one_tag_the_serial_number_tells_which(tmp_path: Path) -> None:
    """Each has its own setpoint; that two have one tag is a finding in any case."""
    site = with_further(tmp_path, "tag,serial,high_alarm\nN-1,2,700\nN-1,1,780\n")
    site.write("index.csv", "tag,serial\nN-1,1\nN-1,2\n")

    result = site.result("--detail")

    assert [one["rule"] for one in result["findings"]] == ["tag-duplicate"]
    assert [setting["planned"] for device in result["devices"] for setting in device["settings"]
            if setting["name"] == "high_alarm"] == ["780 kPa", "700 kPa"]  # fmt: skip


def test_a_node_that_the_index_repeats_has_its_serial_number_from_there(tmp_path: Path) -> None:
    """It is one node, and its rows differ."""
    site = with_further(tmp_path, "tag,serial\nN-1,100001\n")
    site.write("index.csv", "tag,address\nN-1,11\nN-1,12\n")

    (finding,) = site.result()["findings"]

    assert finding["message"] == (
        "N-1, serial 100001, is planned twice, with different entries for address; the first counts"
    )


def test_a_gateway_of_which_it_says_otherwise_is_a_finding(tmp_path: Path) -> None:
    """Its nodes take the channel over, from whichever row counts."""
    site = with_further(tmp_path, "tag,channel\nGW-1,9\n")

    (finding,) = site.result()["findings"]

    assert finding["message"].startswith(
        "GW-1, serial 900001, is planned twice, with different entries for c"
    )


@pytest.mark.parametrize(
    ("name", "one", "other"), [("x_m,y_m", "1,2", "1.0,2.00"), ("response_time_s", "5", "5.0"),
                               ("duties", "fire; billing", "billing;fire")]
)  # fmt: skip
def test_fields_written_otherwise_do_not_differ(name: str, one: str, other: str, tmp_path: Path) -> None:
    """As 10 bar and 1000 kPa do not."""
    site = with_further(tmp_path, f"tag,{name}\nN-1,{other}\n")
    site.write("index.csv", f"tag,{name}\nN-1,{one}\n")

    assert site.result()["findings"] == []


def test_a_default_that_no_device_gets_is_not_read(tmp_path: Path) -> None:
    """As in a plan with a single table."""
    site = with_further(tmp_path, "tag,high_alarm\nN-1,780\nN-2,780\nN-3,700\n")
    site.replace("defaults: {}", "defaults: {high_alarm: none yet}")

    assert planned(site)["N-3"] == {"high_alarm": "700 kPa"}


def test_a_register_of_the_whole_works_is_one_message(tmp_path: Path) -> None:
    """Not one for each of its rows."""
    rows = "".join(f"FT-{n},5\n" for n in range(40))

    assert_refused(with_further(tmp_path, f"tag,high_alarm\n{rows}"), at="alarms.csv:2:A",
                   says="'FT-0' is no device of network 'Main'; 39 more rows like it",
                   mend="if it is about other devices too")  # fmt: skip


def test_another_device_type_than_in_the_index(tmp_path: Path) -> None:
    """One of the two tables is about another device."""
    site = with_further(tmp_path, "tag,type\nN-1,gateway\n")

    assert_refused(site, at="alarms.csv:2:B", mend="correct one of them",
                   says="device type 'gateway', but elsewhere in the plan it is 'node'")  # fmt: skip


def test_a_setting_that_the_device_does_not_have(tmp_path: Path) -> None:
    """A gateway has no alarm."""
    assert_refused(with_further(tmp_path, "tag,high_alarm\nGW-1,5\n"), at="alarms.csv:2:B",
                   says="type 'gateway' has no setting 'high_alarm'", mend="leave the cell")  # fmt: skip


def test_a_bad_date_and_half_a_position(tmp_path: Path) -> None:
    """What a node table may not have, a further table may not have either."""
    site = with_further(tmp_path, "tag,installed_on,x_m\nN-1,soon,\nN-2,,4\n")

    date, position = refusal(site).problems

    assert "alarms.csv:2:B: 'soon'" in date
    assert "alarms.csv:3:C: N-2: a position has x_m but no y_m" in position


def test_a_table_that_is_not_there(tmp_path: Path) -> None:
    """The line of the plan that names it is told."""
    site = with_further(tmp_path, "")
    site.replace("file: alarms.csv", "file: alarm.csv")

    assert_refused(
        site, at=site.line("file: alarm.csv"), says="there is no file 'alarm.csv'", mend="check the name"
    )


def test_a_node_that_the_index_repeats_is_one_node(tmp_path: Path) -> None:
    """Its row of the register belongs to the first of them."""
    site = with_further(tmp_path, "tag,high_alarm\nN-1,780\n")
    site.write("index.csv", INDEX + "N-1,100001,11,0,1000\n")
    site.read("found.csv", "tag,high_alarm\nN-1,780\n")

    assert planned(site)["N-1"]["high_alarm"] == "780 kPa"


@pytest.mark.parametrize("moved", [["low_alarm", "high_alarm"], ["serial", "location", "unit"], ["address"]])
def test_a_site_with_its_table_in_two_has_the_same_findings(moved: list[str], tmp_path: Path) -> None:
    """Whichever columns are in the second table, and in whatever order its rows are."""
    shutil.copytree(EXAMPLES / "merrow-vale", tmp_path, dirs_exist_ok=True)
    whole = findings(tmp_path)
    with (tmp_path / "nodes" / "upper.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    rest = [name for name in rows[0] if name not in moved]
    for name, columns, order in (("nodes/upper.csv", rest, rows), ("more.csv", ["tag", *moved], rows[::-1])):
        with (tmp_path / name).open("w", encoding="utf-8", newline="") as stream:
            writer = csv.DictWriter(stream, columns, extrasaction="ignore")
            writer.writeheader()
            writer.writerows(order)
    with (tmp_path / "plan.yaml").open("a", encoding="utf-8") as stream:
        stream.write("\nfurther_tables: [{file: more.csv}]\n")

    assert findings(tmp_path) == whole
    assert len(whole) > 10


def findings(folder: Path) -> list[tuple[str, str, str]]:
    """Return rule, node and message of all findings on the example in a folder."""
    out = folder / "result.json"
    assert (
        run("check", folder / "plan.yaml", folder / "as-found", "--on", "2026-04-17", "--out", out).code == 1
    )
    found = json.loads(out.read_text(encoding="utf-8"))["findings"]
    return [(one["rule"], one["node"], one["message"]) for one in found]
