"""What a baseline holds of a readback, and what it never holds."""

from __future__ import annotations

import random
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.comparing import same
from audit.errors import InputProblems
from audit.model.device import Setting
from audit.model.table import Style
from audit.reading.baselines import read_baseline
from audit.reading.values import parse
from audit.texts import canonical_text
from tests.baselines import data_of, forged, key_files, seal, try_to_seal
from tests.refusing import refusal
from tests.small_site import ACCESS_CODE, SETTINGS, as_csv, as_planned, node, small_site


def device(path: Path, tag: str) -> dict[str, Any]:
    """Return a device of a baseline."""
    found: dict[str, Any] = data_of(path)["content"]["devices"]["Main"][tag]
    return found


def test_a_device_as_it_was_read(tmp_path: Path) -> None:
    """Values are in the setting's own unit and in one spelling, with who read them and when."""
    found = {"N-2": {"high_alarm": "7.80 bar", "address": "012", "read_at": "2026-03-30T09:15"}}
    site = small_site(tmp_path, found=found)

    assert device(seal(site, "b.json"), "N-2") == {
        "type": "node",
        "serial": "100002",
        "read_at": "2026-03-30T09:15",
        "read_by": "B. Example",
        "settings": {"address": "12", "channel": "7", "network_id": "A7", "range_low": "0",
                     "range_high": "1000", "high_alarm": "780"},
    }  # fmt: skip


def test_what_was_planned_stands_there_only_where_it_differs_or_was_not_read(tmp_path: Path) -> None:
    """A setting that differs keeps its planned value; so does one that was not read."""
    site = small_site(tmp_path, found={"N-1": {"high_alarm": "770"}, "N-2": {"high_alarm": ""}})

    path = seal(site, "b.json", "--even-failing")

    assert device(path, "N-1")["planned"] == {"high_alarm": "780"}
    assert device(path, "N-2")["planned"] == {"high_alarm": "780"}
    assert "high_alarm" not in device(path, "N-2")["settings"]
    assert "planned" not in device(path, "N-3")


def test_a_device_that_was_not_read_has_no_settings(tmp_path: Path) -> None:
    """The device is named all the same, with everything that was planned."""
    site = small_site(tmp_path, readback_rows=as_planned()[:-1])

    left = device(seal(site, "b.json", "--even-failing"), "N-3")

    assert left["planned"]["address"] == "13"
    assert left.keys() == {"planned", "serial", "type"}


def test_verdict_gate_findings_and_inputs(tmp_path: Path) -> None:
    """The baseline records the readback as it was when it was signed for, and the files it rests on."""
    site = small_site(tmp_path, found={"N-1": {"high_alarm": "770"}})

    content = data_of(seal(site, "b.json", "--even-failing"))["content"]

    assert (content["verdict"], content["gate"]["id"], content["signed_by"]) == (
        "fail",
        "handover",
        "R. Sample",
    )
    assert content["counts"]["errors"] == 1
    assert [(f["rule"], f["node"], f["since"]) for f in content["findings"]] == (
        [("alarm-off-plan", "N-1", "2026-03-31")]
    )
    assert {Path(file["file"]).name for file in content["inputs"]} == (
        {"plan.yaml", "node.yaml", "gateway.yaml", "found.csv"}
    )
    assert all(len(file["sha256"]) == 64 for file in content["inputs"])
    assert len(content["packs"]) >= 10


def test_a_finding_stands_open_since_the_first_baseline_that_has_it(tmp_path: Path) -> None:
    """The date is carried along the chain; a new finding begins on the date of its baseline."""
    site = small_site(tmp_path, found={"N-1": {"high_alarm": "770"}})
    first = seal(site, "1.json", "--even-failing", on="2025-03-31")
    site.read("found.csv", as_csv(as_planned(found={t: {"high_alarm": "770"} for t in ("N-1", "N-2")})))

    second = seal(site, "2.json", "--even-failing", "--previous", first)

    since = {f["node"]: f["since"] for f in data_of(second)["content"]["findings"]}
    assert since == {"N-1": "2025-03-31", "N-2": "2026-03-31"}


@pytest.mark.parametrize(("serial", "day"), [("100001", "2025-03-31"), ("555001", "2026-03-31")])
def test_a_new_tag_ends_no_open_finding(serial: str, day: str, tmp_path: Path) -> None:
    """The unit is known by its serial number; another unit under the new tag has a finding of its own."""
    first = seal(small_site(tmp_path / "a", found={"N-1": {"high_alarm": "770"}}), "1.json",
                 "--even-failing", on="2025-03-31")  # fmt: skip
    nodes = [node(1) | {"tag": "N-11", "serial": serial}, node(2), node(3)]
    rows = as_planned(nodes=nodes, found={"N-11": {"high_alarm": "770"}})
    renamed = small_site(tmp_path / "b", nodes=nodes, readback_rows=rows)

    second = seal(renamed, "2.json", "--even-failing", "--previous", first)

    since = {f["node"]: f["since"] for f in data_of(second)["content"]["findings"]}
    assert since == {"N-11": day}


@pytest.mark.parametrize(("read", "kept"), [("900001", ""), ("gw 1", ""), ("main", ""), ("South", "South")])
def test_a_network_that_is_called_by_its_gateway_was_read_as_planned(
    read: str, kept: str, tmp_path: Path
) -> None:
    """By the gateway's tag or serial number; another network is kept, so that it is not drift."""
    site = small_site(tmp_path, found={"N-1": {"network": read}})

    sealed = data_of(seal(site, "1.json", "--even-failing"))["content"]["devices"]["Main"]["N-1"]

    assert sealed.get("read_network", "") == kept


def test_a_number_that_stands_twice_tells_no_open_finding(tmp_path: Path) -> None:
    """Serial numbers are still TBC; N-1 has left the plan, and the findings on the new N-9 are its own."""
    first, second = (
        small_site(
            tmp_path / folder,
            nodes=[{**one, "serial": "TBC"} for one in nodes],
            readback_rows=[{**row, "serial": ""} for row in as_planned(nodes=nodes, found=found)],
        )
        for folder, nodes, found in (
            ("a", [node(1), node(2)], {"N-1": {"high_alarm": "770"}}),
            ("b", [node(2), node(9)], {"N-9": {"high_alarm": "770"}}),
        )
    )
    before = seal(first, "1.json", "--even-failing", on="2025-03-31")

    after = seal(second, "2.json", "--even-failing", "--previous", before)

    findings = data_of(after)["content"]["findings"]
    assert {f["since"] for f in findings if f["node"] == "N-9"} == {"2026-03-31"}


def test_the_order_of_rows_does_not_matter(tmp_path: Path) -> None:
    """Rows and columns of plan and readback in any order give the same devices, byte for byte."""
    nodes = [node(n) for n in range(1, 9)]
    rows = as_planned(nodes)
    first = data_of(seal(small_site(tmp_path / "a", nodes=nodes, readback_rows=rows), "b.json"))
    at_random = random.Random(4)
    shuffled = [dict(at_random.sample(list(row.items()), len(row))) for row in rows]
    at_random.shuffle(shuffled)
    site = small_site(tmp_path / "b", nodes=at_random.sample(nodes, len(nodes)), readback_rows=shuffled)

    second = data_of(seal(site, "b.json"))

    assert first["content"]["devices"] == second["content"]["devices"]
    assert {k: v for k, v in first["parts"].items() if k != "/inputs"} == (
        {k: v for k, v in second["parts"].items() if k != "/inputs"}
    )


def test_one_setting_stands_on_each_line(tmp_path: Path) -> None:
    """A setting that changes alters one line of the devices, which is what version control shows."""
    site = small_site(tmp_path)
    before = seal(site, "1.json").read_text(encoding="utf-8").splitlines()
    site.read("found.csv", as_csv(as_planned(found={"N-2": {"high_alarm": "781"}})))

    after = seal(site, "2.json", "--even-failing").read_text(encoding="utf-8").splitlines()

    changed = [line for line in after if line not in before and '"high_alarm":' in line]
    assert '"high_alarm":"781",' in changed
    assert '"high_alarm":"780"' in changed  # what was planned
    assert before.count('"high_alarm":"780",') == 3


def test_no_access_code_gets_into_a_baseline(tmp_path: Path) -> None:
    """Neither the code found, nor the factory code, nor the digest of a file that holds one."""
    site = small_site(tmp_path, settings=[*SETTINGS, ACCESS_CODE], found={"N-1": {"access_code": "73915"}})

    path = seal(site, "b.json", "--even-failing")
    text, content = path.read_text(encoding="utf-8"), data_of(path)["content"]

    assert "73915" not in text
    assert '"1234"' not in text
    assert "access_code" not in device(path, "N-1")["settings"]
    (carrier,) = (file for file in content["inputs"] if file["file"].endswith("found.csv"))
    assert "sha256" not in carrier


def test_waivers_are_kept(tmp_path: Path) -> None:
    """A waiver in use is recorded in the baseline, and its finding names it."""
    site = small_site(tmp_path, found={"N-1": {"high_alarm": "770"}})
    waivers = site.write("waivers.yaml", {"asfound": "waivers/1", "waivers": [
        {"id": "W-1", "rule": "alarm-off-plan", "node": "N-1", "setting": "high_alarm", "value": "770",
         "reason": "Trial.", "owner": "A", "approver": "B", "issued": "2026-03-01", "expires": "2026-12-01"},
    ]})  # fmt: skip

    content = data_of(seal(site, "b.json", "--waivers", waivers))["content"]

    assert [(w["id"], w["setting"], w["state"]) for w in content["waivers"]] == [
        ("W-1", "high_alarm", "in use")
    ]
    assert [f["waived"] for f in content["findings"]] == ["W-1"]


def test_factory_settings_are_kept_and_factory_codes_are_not(tmp_path: Path) -> None:
    """A baseline is copied to more people than ever see a device type."""
    address = {**SETTINGS[2], "default": 247}
    site = small_site(tmp_path, settings=[*SETTINGS[:2], address, *SETTINGS[3:], ACCESS_CODE])

    types = data_of(seal(site, "b.json"))["content"]["device_types"]

    (node_type,) = [kind for kind in types if kind["name"] == "node"]
    assert {its["name"]: its["default"] for its in node_type["settings"] if "default" in its} == {
        "address": "247"
    }


def test_where_a_device_is_stays_with_it(tmp_path: Path) -> None:
    """Next year the list of what to correct says where to go."""
    nodes = [{**node(1), "location": "Pump house (invented)"}, node(2)]

    devices = data_of(seal(small_site(tmp_path, nodes=nodes), "b.json"))["content"]["devices"]["Main"]

    assert [devices[tag].get("location") for tag in ("N-1", "N-2")] == ["Pump house (invented)", None]


def test_a_type_that_was_read_is_kept_only_where_it_is_another(tmp_path: Path) -> None:
    """As names are: what was read as planned stands in the baseline once."""
    site = small_site(tmp_path, found={"N-1": {"type": "Node"}, "N-2": {"type": "meter"}})

    devices = data_of(seal(site, "b.json", "--even-failing"))["content"]["devices"]["Main"]

    assert {tag: its.get("read_type") for tag, its in devices.items()} == {
        "GW-1": None, "N-1": None, "N-2": "meter", "N-3": None,
    }  # fmt: skip


def test_a_row_with_a_tag_alone_says_nothing_about_the_tag_of_the_unit(tmp_path: Path) -> None:
    """A host's list was matched by the tag that it gives; what counts was read together with the number."""
    by_host = {"tag": "N-1", "channel": "7"}
    rows = as_planned(found={"N-1": {"tag": "N-9"}})

    site = small_site(tmp_path, readback_rows=[*rows, by_host])

    assert device(seal(site, "b.json", "--even-failing"), "N-1")["read_tag"] == "N-9"


def test_two_nodes_of_one_name_cannot_be_sealed(tmp_path: Path) -> None:
    """A record in which a tag means two devices would say nothing about either."""
    site = small_site(tmp_path, nodes=[node(1), {**node(2), "tag": "N-1"}])

    outcome = try_to_seal(site, "b.json", "--even-failing")

    assert outcome.code == 2
    assert "the tag 'N-1' is in 'Main' twice" in outcome.stderr
    assert not (tmp_path / "b.json").exists()


def test_a_chain_is_of_one_site_and_goes_forward(tmp_path: Path) -> None:
    """A baseline of another site, of a later day, or an altered one cannot be the one before."""
    site = small_site(tmp_path)
    first = seal(site, "1.json", on="2026-06-01")

    later = try_to_seal(site, "2.json", "--previous", first)
    assert later.code == 2
    assert "sealed on 2026-06-01, after 2026-03-31" in later.stderr

    data = data_of(first)
    data["content"]["site"]["name"] = "Elsewhere (invented)"
    other = forged(tmp_path / "other.json", data)
    assert "is a baseline of 'Elsewhere (invented)'" in (
        try_to_seal(site, "2.json", "--previous", other, on="2026-07-01").stderr
    )

    altered = tmp_path / "altered.json"
    altered.write_bytes(first.read_bytes().replace(b'"high_alarm":"780"', b'"high_alarm":"790"', 1))
    assert "was altered after it was sealed" in try_to_seal(site, "2.json", "--previous", altered).stderr
    assert not (tmp_path / "2.json").exists()


@pytest.mark.parametrize(
    ("where", "value", "says"),
    [
        (("networks", 0, "name"), "Elsewhere", "its list of networks and"),
        (("devices", "Main", "N-2", "type"), "valve", "it does not contain the type of one of its devices"),
        (("devices", "Main", "N-2", "read_at"), "last week", "the `read_at` of one of its devices"),
    ],
)
def test_a_forged_baseline_that_no_readback_was_is_refused(
    where: tuple[str | int, ...], value: str, says: str, tmp_path: Path
) -> None:
    """Its digests fit it, but nothing in it could be found again."""
    path = seal(small_site(tmp_path), "b.json")
    data = data_of(path)
    part = data["content"]
    for step in where[:-1]:
        part = part[step]
    part[where[-1]] = value
    with pytest.raises(InputProblems, match=says):
        read_baseline(forged(path, data))


@pytest.mark.parametrize(
    ("before", "after"),
    [(b'"signed_by"', b'"signd_by"'), (b'"verdict":"', b'"verdict":'), (b'"verdict":"', b'"verdict":"x')],
    ids=["a key", "no JSON", "a value"],
)
def test_nobody_is_told_to_mend_a_sealed_file(tmp_path: Path, before: bytes, after: bytes) -> None:
    """What is wrong in it is told as in any file."""
    path = seal(small_site(tmp_path), "b.json")
    path.write_bytes(path.read_bytes().replace(before, after))

    with pytest.raises(InputProblems) as caught:
        read_baseline(path)

    for problem in caught.value.problems:
        assert problem.mend.startswith("use the file that was sealed")


def test_the_command_that_shows_where_it_was_altered_can_be_pasted(tmp_path: Path) -> None:
    """A blank in the name of the file needs quotation marks."""
    path = seal(small_site(tmp_path), "b 1.json")
    path.write_bytes(path.read_bytes().replace(b"N-1", b"N-7"))

    with pytest.raises(InputProblems) as caught:
        read_baseline(path)

    assert f'`asfound seal --verify "{path.as_posix()}"` shows where' in caught.value.problems[0].mend


@pytest.mark.parametrize(
    ("read_at", "told"),
    [("2025-03-20T09:00", True), ("2024-01-01", True), ("2026-03-20T09:00", False), ("", False)],
    ids=["the same sheet", "an older one", "read this year", "nothing says when"],
)
def test_a_sheet_of_the_baseline_before_is_no_reading_of_this_year(
    read_at: str, told: bool, tmp_path: Path
) -> None:
    """It is sealed, since a plan may have got a new revision; but the person who signs is warned."""
    site = small_site(tmp_path, found={"N-1": {"read_at": "2025-03-20T09:00"}})
    first = seal(site, "1.json", on="2025-03-31")
    site.read("found.csv", as_csv(as_planned(found={"N-1": {"read_at": read_at}})))

    outcome = try_to_seal(site, "2.json", "--previous", first)

    assert outcome.code == 0
    assert ("the readings of 1 device are no newer than those of" in outcome.stderr) == told
    assert (f"Main N-1 was read on {read_at}" in outcome.stderr) == told


def test_last_years_sheet_is_told_under_a_new_tag_too(tmp_path: Path) -> None:
    """The plan calls N-1 something else now; the reading of that unit is as old as before."""
    read = {"read_at": "2025-03-20T09:00"}
    first = seal(small_site(tmp_path / "a", found={"N-1": read}), "1.json", on="2025-03-31")
    nodes = [node(1) | {"tag": "N-11"}, node(2), node(3)]
    rows = as_planned(nodes=nodes, found={"N-11": read})

    site = small_site(tmp_path / "b", nodes=nodes, readback_rows=rows)

    outcome = try_to_seal(site, "2.json", "--previous", first)
    assert "no newer than those of" in outcome.stderr
    assert "Main N-11 was read on 2025-03-20T09:00" in outcome.stderr


def test_a_baseline_reads_back(tmp_path: Path) -> None:
    """What was written is what is read, signature and all."""
    key, _ = key_files(tmp_path)
    path = seal(small_site(tmp_path), "b.json", "--key", key)

    baseline = read_baseline(path).baseline

    assert baseline.content.devices["Main"]["N-1"].settings["channel"] == "7"
    assert baseline.signature is not None
    assert baseline.sha256 == data_of(path)["sha256"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"{}", "is not a baseline"),
        (b"asfound: plan/1\n", "is not a baseline"),
        (b"\xff\xfe\x00\x01", "is not a baseline"),
        (b"PK\x03\x04\x00", "NUL"),
    ],
    ids=["empty", "another object", "a plan", "junk", "archive"],
)
def test_files_that_are_no_baselines(tmp_path: Path, content: bytes, says: str) -> None:
    """They are refused in one line, with the file's name."""
    path = tmp_path / "x.json"
    path.write_bytes(content)

    outcome = try_to_seal(small_site(tmp_path), "b.json", "--previous", path)

    assert outcome.code == 2
    assert says in outcome.stderr
    assert path.as_posix() in outcome.stderr


NUMBERS = st.decimals(-(10**12), 10**12, places=6)


@given(NUMBERS, st.sampled_from(["0.001", "0.01", "1"]), st.sampled_from(["Pa", "kPa", "bar", ""]))
def test_a_sealed_number_means_what_was_read(number: Decimal, step: str, unit: str) -> None:
    """The text that is sealed gives the value that was read, including converted units."""
    setting = Setting(name="range", kind="decimal", unit="kPa", step=float(step))
    read = parse(f"{number:f}{unit and ' ' + unit}", setting, Style())

    again = parse(canonical_text(read, setting), setting, Style())

    assert read.read
    assert same(read, again, setting)


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=20))
def test_a_sealed_text_means_what_was_read(text: str) -> None:
    """Identifiers stay as they are: 007 is not 7."""
    setting = Setting(name="asset", kind="text")
    read = parse(text, setting, Style())

    if read.read:
        assert parse(canonical_text(read, setting), setting, Style()).content == read.content


@pytest.mark.parametrize(
    ("kind", "text", "sealed"),
    [
        ({"kind": "integer"}, "0x1F", "31"),
        ({"kind": "integer", "unit": "s"}, "0.1 h", "360"),
        ({"kind": "decimal", "step": 0.01}, "-0.00", "0"),
        ({"kind": "decimal", "step": 0.01}, "1e3", "1000"),
        ({"kind": "decimal", "step": 0.01}, "8.10", "8.1"),
        ({"kind": "flag"}, "Enabled", "on"),
        ({"kind": "flag"}, "0", "off"),
        ({"kind": "option", "options": ("4.8", "50"), "unit": "kbit/s"}, "50.0 kbit/s", "50"),
        ({"kind": "text"}, " 007 ", "007"),
    ],
)
def test_one_spelling_for_each_value(kind: dict[str, Any], text: str, sealed: str) -> None:
    """However a value is typed, it is sealed in one spelling."""
    setting = Setting(name="setting", **kind)

    assert canonical_text(parse(text, setting, Style()), setting) == sealed


def test_a_bad_readback_is_refused_as_by_check(tmp_path: Path) -> None:
    """Nothing from a file that cannot be read is sealed."""
    site = small_site(tmp_path).read("found.csv", "tag,chanel\nN-1,7\n")

    assert refusal(site).problems == try_to_seal(site, "b.json").problems
