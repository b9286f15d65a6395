"""Pairing: which found device is which planned one, and which is not planned."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.run import audited
from tests.site_builder import Row, SiteOf, audit_of, result_of

IDENTITY = (
    "units-swapped", "tag-serial-mismatch", "tag-respelled", "serial-damaged", "matched-by-settings",
    "unplanned-node", "node-not-read", "tag-duplicate", "serial-duplicate",
)  # fmt: skip
TWO = [{"serial": "S1", "channel": 1}, {"serial": "S2", "channel": 2}]
"""Two nodes with different channels."""


def said(folder: Path, rules: Sequence[str] = IDENTITY, **site: Any) -> list[tuple[str, str | None]]:
    """Return rule and node of the findings on identities."""
    return [(f.rule, f.node) for f in audit_of(folder, rules=rules, **site)]


def wrong_channels(folder: Path, **site: Any) -> list[tuple[str | None, str | None]]:
    """Return node and value of each channel that differs: it shows which node a row was taken for."""
    findings = audit_of(folder, rules=("radio-off-plan", "channel-differs"), **site)
    return [(f.node, f.found) for f in findings if f.found]


@pytest.mark.parametrize(
    ("name", "row"),
    [
        ("serial number", {"tag": None, "serial": "S2", "channel": 9}),
        ("tag", {"tag": "B", "channel": 9}),
        ("serial number, against its tag", {"tag": "X", "serial": "S2", "channel": 9}),
        ("tag, with a strange serial number", {"tag": "B", "serial": "S9", "channel": 9}),
        ("tag in another spelling", {"tag": " b ", "channel": 9}),
    ],
)
def test_a_row_is_paired_by(name: str, row: Row, tmp_path: Path) -> None:
    """A serial number takes precedence over a tag; both may be spelled in another way."""
    assert wrong_channels(tmp_path, planned=TWO, found=[TWO[0], row]) == [("B", "9")]


def test_a_row_without_tag_and_serial_is_paired_by_network_and_address(tmp_path: Path) -> None:
    """The address is unique in its network, so it shows which planned node the row is about."""
    planned = [{"address": 31, "channel": 1}, {"address": 32, "channel": 2}]
    found = [{"tag": "A"}, {"tag": None, "network": "North", "address": 32, "channel": 9}]

    assert wrong_channels(tmp_path, planned=planned, found=found) == [("B", "9")]


def test_the_same_address_in_two_networks_is_decided_by_the_network(tmp_path: Path) -> None:
    """Address 31 of South is another node than address 31 of North."""
    planned = [{"address": 31, "channel": 1}, {"address": 31, "channel": 1, "network": "South"}]
    found = [
        {"tag": None, "network": "South", "address": 31, "channel": 9},
        {"tag": None, "network": "North", "address": 31, "channel": 1},
    ]

    assert wrong_channels(tmp_path, planned=planned, found=found) == [("B", "9")]


@pytest.mark.parametrize(
    ("network", "expected"),
    [
        ("South", [("tag-respelled", "PT-1")]),
        ("", [("node-not-read", "PT-1"), ("unplanned-node", "pt 01")]),
    ],
)
def test_a_tag_in_two_networks_is_decided_by_the_network_in_another_spelling_too(
    network: str, expected: list[tuple[str, str]], tmp_path: Path
) -> None:
    """It is not a stranger if its network is named; if not, its tag does not say which one it is."""
    planned = [{"tag": "PT-1", "channel": 1}, {"tag": "PT-1", "channel": 2, "network": "South"}]
    found = [
        {"tag": "PT-1", "network": "North", "channel": 1},
        {"tag": "pt 01", "network": network, "channel": 2},
    ]
    rules = ("tag-respelled", "node-not-read", "unplanned-node")

    assert said(tmp_path, rules, planned=planned, found=found) == expected


def test_two_rows_a_device_are_one_where_both_give_the_address(tmp_path: Path) -> None:
    """B is set to an unplanned address; its second row is still below its first."""
    planned = [{"address": 31, "channel": 1}, {"address": 32, "channel": 2}]
    found = [
        {"tag": "A", "address": 31},
        {"tag": None, "address": 31, "channel": 1},
        {"tag": "B", "address": 31},
        {"tag": None, "address": 31, "channel": 9},
    ]

    assert wrong_channels(tmp_path, planned=planned, found=found) == [("B", "9")]


def test_an_address_alone_tells_a_device_where_the_site_has_it_once(tmp_path: Path) -> None:
    """Address 31 is planned in two networks; in a gateway's list 32 may be a device of that gateway."""
    planned = [
        {"address": 31, "channel": 1},
        {"address": 32, "channel": 2},
        {"address": 31, "channel": 1, "network": "South"},
    ]
    one = [{"tag": "A", "channel": 1}, {"tag": None, "address": 32, "channel": 9}]
    other = [{"tag": "A", "channel": 1}, {"tag": None, "address": 31, "channel": 9}]
    listed = [{"tag": "A", "channel": 1}, {"tag": None, "address": 32, "joined_gateway": "GW-South"}]

    assert wrong_channels(tmp_path / "one", planned=planned, found=one) == [("B", "9")]
    for folder, found, address in (("other", other, 31), ("list", listed, 32)):
        rules = ("unplanned-node", "joined-wrong-gateway")
        (finding,) = audit_of(tmp_path / folder, rules=rules, planned=planned, found=found)
        assert f"without tag or serial at address {address}, in " in finding.message
        assert finding.message.endswith("found.csv row 3")


def test_the_gateway_whose_list_an_address_is_in_shows_the_network(tmp_path: Path) -> None:
    """Two networks have the same addresses, and neither row names its network."""
    planned = [{"address": 31}, {"address": 31, "network": "South"}]
    rows = [
        {"tag": None, "address": 31, "joined_gateway": "GW-South", "rssi": -70},
        {"tag": None, "address": 31, "joined_gateway": "GW-North", "rssi": -80},
    ]
    found = {"sheet.csv": [{"tag": "A", "address": 31}, {"tag": "B", "address": 31}], "list.csv": rows}

    assert audit_of(
        tmp_path, rules=("unplanned-node", "not-joined", "joined-wrong-gateway", "address-duplicate"),
        planned=planned, found=found,
    ) == []  # fmt: skip


def test_the_gateway_of_a_network_with_a_new_name_shows_which_one_it_is(tmp_path: Path) -> None:
    """A spare with a new tag, in the network that the plan does not yet call by its new name."""
    planned = [{"serial": "S1", "address": 31}, {"serial": "S2", "address": 32}]
    found = [{"tag": "A", "serial": "S1", "network": "North Bank", "address": 31},
             {"tag": "B-2", "serial": "S9", "network": "North Bank", "address": 32}]  # fmt: skip
    gateway = {"tag": "GW-North", "network": "North Bank"}

    assert said(tmp_path, planned=planned, found=found, gateway_found=gateway) == [
        ("tag-serial-mismatch", "B")
    ]


@pytest.mark.parametrize(
    ("listed", "more"),
    [(["S1", "S9"], []), (["S1", "S2", "S9"], [("serial-duplicate", "B"), ("unplanned-node", "S9")])],
)
def test_a_serial_number_that_was_read_under_a_tag_is_that_device_in_a_list_without_tags(
    listed: list[str], more: list[tuple[str, str]], tmp_path: Path
) -> None:
    """A spare is mounted at B, and its gateway hears it; if it hears B's own unit too, it is undecided."""
    sheet = [
        {"tag": tag, "serial": serial, "read_at": "2026-06-04"} for tag, serial in (("A", "S1"), ("B", "S9"))
    ]
    rows = [
        {"tag": None, "serial": serial, "joined_gateway": "GW-North", "read_at": "2026-06-03"}
        for serial in listed
    ]
    rules = ("tag-serial-mismatch", "unplanned-node", "serial-duplicate", "not-joined", "node-not-read")
    found = {"sheet.csv": sheet, "list.csv": rows}

    assert said(tmp_path, rules=rules, planned=TWO, found=found) == [("tag-serial-mismatch", "B"), *more]


def test_the_own_unit_in_an_older_list_is_the_one_that_was_exchanged(tmp_path: Path) -> None:
    """Last month's list had it, the present one has the spare."""
    found = {
        "may.csv": [{"tag": None, "serial": "S2", "joined_gateway": "GW-North", "read_at": "2026-05-03"}],
        "sheet.csv": [{"tag": "B", "serial": "S9", "read_at": "2026-06-01"}],
        "june.csv": [{"tag": None, "serial": "S9", "joined_gateway": "GW-North", "read_at": "2026-06-03"}],
    }
    rules = ("tag-serial-mismatch", "unplanned-node", "not-joined")

    assert ("tag-serial-mismatch", "B") in said(tmp_path, rules=rules, planned=TWO, found=found)
    assert "unplanned-node" not in dict(said(tmp_path / "again", rules=rules, planned=TWO, found=found))


def test_an_address_that_another_row_claims_too_pairs_nobody(tmp_path: Path) -> None:
    """Two rows without names at one address are two strangers, not one node."""
    row = {"tag": None, "network": "North", "address": 31}

    found = said(tmp_path, planned=[{"address": 31}, {"address": 32}], found=[row, row])

    assert found.count(("unplanned-node", None)) == 2
    assert ("node-not-read", "A") in found


def test_swapped_units_are_paired_by_serial_number(tmp_path: Path) -> None:
    """Each unit is compared with the plan of its own serial number, and the exchange is one finding."""
    found = [{"tag": "A", "serial": "S2", "channel": 2}, {"tag": "B", "serial": "S1", "channel": 1}]

    assert [rule for rule, _ in said(tmp_path, planned=TWO, found=found)] == ["units-swapped"]
    assert wrong_channels(tmp_path, planned=TWO, found=found) == []


def test_swapped_units_in_two_networks_are_found_too(tmp_path: Path) -> None:
    """A box can be carried to another network; the exchange is still one finding."""
    planned = [{"serial": "S1"}, {"serial": "S2", "network": "South"}]
    found = [{"tag": "A", "serial": "S2"}, {"tag": "B", "serial": "S1"}]

    assert [rule for rule, _ in said(tmp_path, planned=planned, found=found)] == ["units-swapped"]


def test_a_tag_that_the_plan_has_twice_pairs_by_serial_number(tmp_path: Path) -> None:
    """A duplicate tag identifies no device; the serial number still does."""
    planned = [{"serial": "S1", "channel": 1}, {"tag": "A", "serial": "S2", "channel": 2}]
    found = [{"tag": "A", "serial": "S1", "channel": 1}, {"tag": "A", "serial": "S2", "channel": 9}]

    assert wrong_channels(tmp_path, planned=planned, found=found) == [("A", "9")]
    assert said(tmp_path, planned=planned, found=found) == [("tag-duplicate", "A")]


def test_a_tag_that_the_plan_has_in_two_networks_pairs_by_the_network(tmp_path: Path) -> None:
    """If both networks have a PT-1, the row's network says which is meant."""
    planned = [{"tag": "PT-1", "channel": 1}, {"tag": "PT-1", "channel": 2, "network": "South"}]
    found = [
        {"tag": "PT-1", "network": "South", "channel": 9},
        {"tag": "PT-1", "network": "North", "channel": 1},
    ]

    findings = audit_of(tmp_path, rules="radio-off-plan", planned=planned, found=found)

    assert [(f.network, f.found) for f in findings] == [("South", "9")]


def test_a_serial_number_that_the_plan_has_twice_pairs_by_tag(tmp_path: Path) -> None:
    """A duplicate serial number identifies no device; the tag still does."""
    planned = [{"serial": "S1", "channel": 1}, {"serial": "S1", "channel": 2}]
    found = [{"serial": "S1", "channel": 1}, {"serial": "S1", "channel": 9}]

    assert wrong_channels(tmp_path, planned=planned, found=found) == [("B", "9")]


def test_one_serial_number_beside_two_tags_pairs_by_tag(tmp_path: Path) -> None:
    """A serial number that was filled down is worth nothing; each row is the node of its tag."""
    found = [{"serial": "S1", "channel": 1}, {"serial": "S1", "channel": 9}]

    assert wrong_channels(tmp_path, planned=TWO, found=found) == [("B", "9")]
    assert ("serial-duplicate", "B") in said(tmp_path, planned=TWO, found=found)


def test_damaged_serial_numbers_pair_by_tag(tmp_path: Path) -> None:
    """Serial numbers rounded by a spreadsheet are neither other devices nor duplicates of each other."""
    planned = [{"serial": "402118300101"}, {"serial": "402118300102"}, {"serial": "402118300103"}]
    found = [{"serial": "4.02E+11"}, {"serial": "4.02E+11"}, {"serial": "402118300103"}]

    assert said(tmp_path, planned=planned, found=found) == [("serial-damaged", "A"), ("serial-damaged", "B")]


def test_a_damaged_serial_number_beside_a_good_one_is_no_second_device(tmp_path: Path) -> None:
    """The export rounded the number that the sheet gives in full; both rows are the node with that tag."""
    found = {
        "sheet.csv": [{"serial": "402118300101", "channel": 7}],
        "export.csv": [{"serial": "4.02E+11", "address": 3}],
    }

    findings = said(tmp_path, planned={"serial": "402118300101"}, found=found)

    assert [rule for rule, _ in findings] == ["serial-damaged"]


def test_a_stranger_takes_nothing_from_the_planned(tmp_path: Path) -> None:
    """A device that matches nothing is reported as not in the plan, and not taken for any node."""
    found = [*TWO, {"tag": "Z", "serial": "S9", "channel": 9}]

    assert said(tmp_path, planned=TWO, found=found) == [("unplanned-node", "Z")]
    assert wrong_channels(tmp_path, planned=TWO, found=found) == []


def test_a_stranger_is_in_the_network_of_the_gateway_that_lists_it(tmp_path: Path) -> None:
    """Only there can it hold a node's address."""
    planned = [{"address": 1}, {"address": 1, "network": "South"}]
    found = [*({"address": 1}, {"address": 1}), {"tag": "Z", "joined_gateway": "GW-South", "address": 1}]

    (finding,) = audit_of(tmp_path, rules=("address-duplicate",), planned=planned, found=found)

    assert (finding.network, finding.node) == ("South", "Z")


@pytest.mark.parametrize(
    ("rows", "strangers"),
    [
        ([{"tag": "Z", "serial": "S9"}], ["Z"]),
        ([{"tag": "Z"}, {"tag": "Z", "serial": "S9"}], ["Z"]),
        ([{"tag": "Z", "serial": "S9"}, {"tag": "Y", "serial": "S9"}], ["S9", "Y", "Z"]),
        ([{"tag": "Z", "serial": "S8"}], ["S9", "Z"]),
        ([{"tag": "Z"}], ["S9", "Z"]),
    ],
    ids=["one device", "one device in two sheets", "two tags", "another serial number", "no serial number"],
)
def test_a_stranger_in_a_sheet_and_in_a_list_is_one_device(
    rows: Sequence[Row], strangers: Sequence[str], tmp_path: Path
) -> None:
    """A serial number in a list names the device that a sheet gives with a tag, unless several have it."""
    sheet = [*TWO, *({**row, "channel": 9} for row in rows)]
    found = {"sheet.csv": sheet, "list.csv": [{"tag": None, "serial": "S9", "joined_gateway": "GW-North"}]}

    findings = audit_of(tmp_path, rules=IDENTITY, planned=TWO, found=found)

    assert sorted(str(f.node) for f in findings if f.rule == "unplanned-node") == strangers
    assert any(f.rule == "serial-duplicate" for f in findings) == (len(rows) == 2 and len(strangers) == 3)


@pytest.mark.parametrize(("network", "strangers"), [("South", ["Z", "Z"]), ("NORTH", ["Z"]), (None, ["Z"])])
def test_a_tag_in_another_network_is_another_stranger(
    network: str | None, strangers: list[str], tmp_path: Path
) -> None:
    """There may be a TEST-1 in two networks, and the serial number of one of them was not read."""
    known = {"tag": "Z", "serial": "S9", "network": "North", "channel": 9}
    planned = [*TWO, {"tag": "C", "network": "South"}]
    found = [*TWO, {"tag": "C", "network": "South"}, known, {"tag": "Z", "network": network, "channel": 9}]

    findings = audit_of(tmp_path, rules="unplanned-node", planned=planned, found=found)

    assert [f.node for f in findings] == strangers


def test_of_a_stranger_in_a_list_too_the_cell_with_its_tag_is_quoted(tmp_path: Path) -> None:
    """Its newest row, in a gateway's list, has no tag to quote."""
    found = {
        "sheet.csv": [*TWO, {"tag": "Z", "serial": "S9", "channel": 9}],
        "list.csv": [{"tag": None, "serial": "S9", "joined_gateway": "GW-North", "read_at": "2026-04-01"}],
    }

    (finding,) = audit_of(tmp_path, rules="unplanned-node", planned=TWO, found=found)

    assert (finding.evidence[0].heading, finding.evidence[0].raw) == ("tag", "Z")


@pytest.mark.parametrize(("network", "node"), [("", "3-4"), ("North", "3-4"), ("South", None)])
def test_a_tag_that_became_a_date_is_found_in_its_own_network(
    network: str, node: str | None, tmp_path: Path
) -> None:
    """The tag 3-4 becomes 3 April, unless the row is from another network."""
    planned = [{"tag": "3-4"}, {"tag": "B", "network": "South"}]
    found = [{"tag": "2026-04-03", "network": network}, {"tag": "B"}]

    told = said(tmp_path, planned=planned, found=found)

    assert told == ([] if node else [("node-not-read", "3-4"), ("unplanned-node", "2026-04-03")])


def test_another_serial_number_is_reported_with_its_cell(tmp_path: Path) -> None:
    """The evidence is the serial number that was read: somebody has to go and look at it."""
    found = [{"tag": "A", "serial": "S1"}, {"tag": "B", "serial": "S9"}]

    (finding,) = audit_of(tmp_path, rules="tag-serial-mismatch", planned=TWO, found=found)

    assert (finding.node, finding.evidence[0].heading, finding.evidence[0].raw) == ("B", "serial", "S9")


def test_a_second_device_under_a_tag_is_a_stranger(tmp_path: Path) -> None:
    """Two serial numbers under one tag are two devices; the planned one is the node."""
    found = [*TWO, {"tag": "A", "serial": "S9", "channel": 9}]

    assert sorted(said(tmp_path, planned=TWO, found=found)) == [
        ("tag-duplicate", "A"),
        ("unplanned-node", "A"),
    ]
    assert wrong_channels(tmp_path, planned=TWO, found=found) == []


@pytest.mark.parametrize(
    ("serial", "tag", "rules"),
    [
        ("4100l2", "A", ["tag-serial-mismatch"]),
        ("410021", "A", ["tag-serial-mismatch"]),
        ("410011", "A", ["node-not-read", "unplanned-node"]),
        ("410021", "X", ["node-not-read", "unplanned-node"]),
    ],
)
def test_a_planned_serial_number_mis_keyed_in_another_row_is_no_second_device(
    serial: str, tag: str, rules: list[str], tmp_path: Path
) -> None:
    """Readings under the slip are the device's own; the next number in the series may be a spare."""
    found = {
        "sheet.csv": [{"tag": tag, "serial": serial, "channel": 7}],
        "label.csv": [{"tag": "A", "serial": "410012"}],
    }

    findings = said(tmp_path, planned={"serial": "410012", "channel": 7}, found=found)

    assert sorted(rule for rule, _ in findings) == rules


def test_the_serial_number_of_another_planned_device_is_never_taken_for_a_slip(tmp_path: Path) -> None:
    """Exchanged digits may give another device of the same plan."""
    planned = [{"serial": "410012", "channel": 7}, {"serial": "410021", "channel": 8}]
    found = [planned[0], planned[1], {"tag": "A", "serial": "410021", "channel": 8}]

    assert wrong_channels(tmp_path, planned=planned, found=found) == []


@pytest.mark.parametrize("order", [("old.csv", "new.csv"), ("new.csv", "old.csv")], ids=" then ".join)
def test_of_two_devices_under_a_tag_without_serial_number_the_one_read_last_counts(
    order: tuple[str, str], tmp_path: Path
) -> None:
    """The plan names no serial number, so the newer reading is the node, whichever file is given first."""
    files = {
        "old.csv": [{"serial": "S8", "channel": 8, "read_at": "2026-04-01"}],
        "new.csv": [{"serial": "S9", "channel": 9, "read_at": "2026-04-02"}],
    }

    found = {name: files[name] for name in order}

    assert wrong_channels(tmp_path, planned={"channel": 1}, found=found) == [("A", "9")]


def test_a_gateway_is_paired_as_a_node_is(tmp_path: Path) -> None:
    """A gateway's row is found by its serial number, in whatever file it stands."""
    findings = audit_of(
        tmp_path,
        rules="gateway-off-plan",
        gateway={"serial": "G1", "channel": 7},
        gateway_found=None,
        found=[{}, {"tag": None, "serial": "G1", "channel": 8}],
    )

    assert [(f.node, f.found) for f in findings] == [("GW-North", "8")]


def test_a_readback_of_which_nothing_is_planned_is_another_site(tmp_path: Path) -> None:
    """Where no device read is in the plan, the run stops instead of reporting every node as missing."""
    with pytest.raises(InputProblems, match="none of the 2 devices read is known at 'Testwick"):
        result_of(tmp_path, planned=TWO, gateway_found=None, found=[{"tag": "X"}, {"tag": "Y"}])
    with pytest.raises(InputProblems, match="the device read is not known at 'Testwick"):
        result_of(tmp_path / "one", planned=TWO, gateway_found=None, found=[{"tag": "X"}])


@pytest.mark.parametrize(
    "second",
    [{"tag": "a", "last_heard": 9}, {"tag": None, "network": "North", "address": 31, "last_heard": 9}],
    ids=["by a tag in small letters", "by its address"],
)
def test_a_second_file_may_name_a_device_in_another_way_than_the_first(second: Row, tmp_path: Path) -> None:
    """A node that the sheet names by its tag is the same node in a list that gives its address."""
    result = result_of(
        tmp_path,
        planned={"address": 31, "last_heard": ""},
        found={"sheet.csv": [{"address": 31}], "list.csv": [second]},
    )

    assert "unplanned-node" not in {f.rule for f in result.findings}


def test_one_device_is_not_both_a_node_and_a_stranger(tmp_path: Path) -> None:
    """An unknown tag that holds a planned address in a list is that node in the sheet too."""
    found = {
        "sheet.csv": [{"tag": "Z", "serial": "S8", "channel": 7}],
        "list.csv": [{"tag": "Z", "serial": "S8", "network": "North", "address": 31}],
    }

    findings = said(tmp_path, planned={"serial": "S1", "address": 31, "channel": 7}, found=found)

    assert [rule for rule, _ in findings] == ["tag-serial-mismatch"]


def test_every_row_is_a_node_or_a_stranger(tmp_path: Path) -> None:
    """No row of a readback is lost: nodes read and strangers add up to the devices found."""
    found = [
        {"tag": None, "serial": "S2", "channel": 2},
        {"tag": "B", "channel": 2},
        {"tag": "Z", "network": "North"},
        {"tag": None, "serial": "S7007"},
        {"tag": None, "network": "North", "address": 9},
    ]

    result = result_of(tmp_path, planned=[*TWO, {"address": 9}], gateway_found=None, found=found)

    strangers = [f.node for f in result.findings if f.rule == "unplanned-node"]
    assert result.counts.devices_read == 2
    assert sorted(map(str, strangers)) == ["S7007", "Z"]


@pytest.mark.parametrize("times", [("2026-03-02", "2026-03-01"), ("2026-03-01", "2026-03-02"), ("", "")])
def test_rows_that_are_all_as_planned_are_paired_as_they_are_beside_others(
    times: tuple[str, str], tmp_path: Path
) -> None:
    """If every row gives a planned tag and its serial number, a shorter way leads to the same result."""
    again = [{**TWO[1], "tag": "B", "channel": 9, "read_at": times[0]},
             {**TWO[1], "tag": "B", "channel": 2, "read_at": times[1]}]  # fmt: skip
    found = [TWO[0], *again]
    stranger = {"tag": "X", "serial": "S9"}

    site: dict[str, Any] = {"planned": TWO, "gateway_found": None}

    alone = wrong_channels(tmp_path / "alone", **site, found=found)

    assert alone == ([("B", "9")] if times[0] > times[1] else [])
    assert alone == wrong_channels(tmp_path / "beside", **site, found=[*found, stranger])


def test_the_planned_serial_number_in_another_spelling_wins(tmp_path: Path) -> None:
    """Of two units under one tag, the one with the planned number is the device, however it is written."""
    site = SiteOf(
        planned={"serial": "AB12", "channel": 7},
        found={
            "old.csv": [{"serial": "ab 12", "channel": 7, "read_at": "2026-04-01"}],
            "new.csv": [{"serial": "999999", "channel": 9, "read_at": "2026-04-01"}],
        },
    )

    (stranger,) = audited(site.write(tmp_path)).site.strangers

    assert stranger.serial == "999999"


def test_tags_that_became_dates_are_each_found(tmp_path: Path) -> None:
    """Tags such as 12-2031, which a spreadsheet turned into Dec-2031, are paired one by one."""
    months = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    planned = [{"tag": f"{n % 12 + 1}-{2031 + n // 12}", "channel": 7} for n in range(36)]
    found = [{"tag": f"{months[n % 12]}-{2031 + n // 12}", "channel": 7} for n in range(36)]
    order = SiteOf(planned=[*planned, {"tag": "Z"}], found=[*found, {"tag": "Z"}]).write(tmp_path)

    site = audited(order).site

    assert not site.strangers
    assert {match.how for match in site.matches} == {"date"}


ABOVE = [{"serial": "S1", "address": 1, "channel": 7}, {"serial": "S2", "address": 1, "channel": 12}]
"""Two networks that use the same addresses."""


def test_a_row_without_names_below_one_with_the_same_address_may_be_another_networks(tmp_path: Path) -> None:
    """Its network and channel show it, whatever is in the row above."""
    planned = [ABOVE[0], ABOVE[1] | {"network": "South"}]
    found = [ABOVE[0] | {"network": "North"}, ABOVE[1] | {"tag": None, "serial": None, "network": "South"}]

    assert wrong_channels(tmp_path, planned=planned, found=found) == []
    assert "node-not-read" not in dict(said(tmp_path / "again", planned=planned, found=found))


def test_an_address_alone_does_not_take_a_device_that_was_read_by_its_name(tmp_path: Path) -> None:
    """The node without names was set to another's address; that other one was read, as planned."""
    planned = [
        {"serial": "S1", "address": 5, "channel": 7},
        {"serial": "S2", "address": 25, "channel": 12, "range_high": 300, "network": "South"},
    ]
    nameless = {"tag": None, "serial": None, "address": 5, "channel": 12, "range_high": 300}

    assert wrong_channels(tmp_path, planned=planned, found=[planned[0], nameless]) == []


def test_units_found_exchanged_after_a_reading_as_planned_are_reported_once(tmp_path: Path) -> None:
    """The second day's sheet counts, and no device is a stranger: the plan has both serial numbers."""
    planned = [{"serial": "S1", "channel": 7, "address": 1}, {"serial": "S2", "channel": 7, "address": 2}]
    first = [{**row, "read_at": "2026-04-01"} for row in planned]
    then = [{**planned[0], "tag": "A", "serial": "S2", "channel": 9, "read_at": "2026-04-03"},
            {**planned[1], "tag": "B", "serial": "S1", "read_at": "2026-04-03"}]  # fmt: skip
    found = {"a.csv": first, "b.csv": then}

    rules = (*IDENTITY, "serials-swapped")
    assert said(tmp_path, rules, planned=planned, found=found) == [("serials-swapped", "A")]
    assert wrong_channels(tmp_path, planned=planned, found=found) == [("A", "9")]
