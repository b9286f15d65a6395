"""identity: a device is the one that it is taken to be."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of

TWO = [{"serial": "S1"}, {"serial": "S2"}]
NETWORKS = ("East", "North")
PLACES = [
    {"serial": "S1", "address": 11, "range_high": 100, "alarm_high": 90},
    {"serial": "S2", "address": 12, "range_high": 250, "alarm_high": 200},
]
LONG = [{"serial": "402118300101"}, {"serial": "402118300102"}]
ROUNDED = [{"tag": None, "serial": text, "joined_gateway": "GW-North"} for text in ("4.02E+11", "88")]
"""A gateway's list that went through a spreadsheet."""
BOTH_ROUNDED = [{"tag": tag, "serial": "4.02E+11", "joined_gateway": "GW-North"} for tag in ("A", "B")]
TELLING = [{"address": 1, "report_interval": 30}, {"address": 2, "report_interval": 60}]
NUMBERED = {"serial": "410012"}
MISKEYED = {"serial": "4100l2", "read_at": "2026-04-01"}

LISTED: dict[str, list[dict[str, Any]]] = {
    "sheet.csv": [{"tag": "A", "channel": 7}, {"tag": "B", "channel": 7}]
}
"""Two nodes read at their displays."""


def listed(*tags: str, gateway: str = "GW-North", at: str = "") -> dict[str, list[dict[str, Any]]]:
    """Return the nodes as read, and a gateway's list with some of them."""
    rows: list[dict[str, Any]] = [{"tag": tag, "joined_gateway": gateway, "read_at": at} for tag in tags]
    return {**LISTED, "list.csv": rows}


def channels(tag: str, mended: str) -> list[dict[str, Any]]:
    """Return two readings of a device: on channel 8, then set to 7."""
    return [
        {"tag": tag, "channel": 8, "read_at": "2026-04-07"},
        {"tag": tag, "channel": 7, "read_at": mended},
    ]


LIST_MADE = "2026-04-08T09:00"


def swapped_back(way: str = "", then: str = "") -> list[dict[str, Any]]:
    """Return two units under each other's tag and, a day later, each under its own, both as read how."""
    one, other = PLACES
    return [
        *(
            {**row, "tag": tag, "read_at": "2026-04-07", "read_how": way}
            for row, tag in ((one, "B"), (other, "A"))
        ),
        *(
            {**row, "tag": tag, "read_at": "2026-04-08", "read_how": then}
            for row, tag in ((one, "A"), (other, "B"))
        ),
    ]


ZEROS = ["000123", "000124"]
AT_DISPLAYS = swapped_back("display", "display")

FIRES = [
    fires("units-swapped", "each under the other's tag", others=["B"], planned=TWO,
          found=[{"serial": "S2"}, {"serial": "S1"}],
          says="A and B were found under each other's tag, and no setting shows whether the units, "
               "the tags or only the records were swapped",
          at=[("found.csv", 3, "A"), ("North.csv", 2, "B")], shown=("tag A, serial S1", "tag B, serial S1")),
    fires("units-swapped", "the addresses went along, the ranges are the places'", others=["B"],
          planned=PLACES, found=[PLACES[0] | {"serial": "S2", "address": 12},
                                 PLACES[1] | {"serial": "S1", "address": 11}]),
    fires("units-swapped", "each set for its serial number", others=["B"], planned=PLACES,
          found=[PLACES[0] | {"tag": "B"}, PLACES[1] | {"tag": "A"}],
          says="the units of A and B have been swapped: each was found under the other's tag"),
    fires("units-swapped", "on the labels, and not in a later export", others=["B"], planned=PLACES,
          found=swapped_back("label", "export")),
    fires("units-swapped", "nothing says which tags are the later ones", others=["B"], planned=PLACES,
          found=[row | {"read_at": ""} for row in swapped_back()]),
    fires("serials-swapped", "a gateway and a node, which have no setting in common that tells",
          node="GW-North", others=["A"], planned={"serial": "S1", "channel": 7, "address": 5},
          gateway={"serial": "G1", "channel": 7}, hub_settings={"address": None},
          found={"serial": "G1", "channel": 7, "address": 5}, gateway_found={"serial": "S1", "channel": 7},
          says="the serial numbers of GW-North and A are swapped, and each device is set as planned for its "
               "tag (address)"),
    fires("serials-swapped", "two of one tag", others=["A"], network="East",
          planned=[row | {"tag": "A", "network": name} for row, name in zip(PLACES, NETWORKS, strict=True)],
          found=[PLACES[0] | {"tag": "A", "network": "East", "serial": "S2"},
                 PLACES[1] | {"tag": "A", "network": "North", "serial": "S1"}],
          says="the serial numbers of A (East) and A (North) are swapped"),
    fires("serials-swapped", "each set for its place", others=["B"], planned=PLACES,
          found=[PLACES[0] | {"serial": "S2"}, PLACES[1] | {"serial": "S1"}],
          says="each device is set as planned for its tag (address, range_high, alarm_high)",
          at=[("found.csv", 2, "B"), ("North.csv", 2, "B")], shown=("tag A, serial S1", "tag A, serial S2")),
    fires("tag-serial-mismatch", "another serial number", planned={"serial": "S1"}, found={"serial": "S9"},
          says="A is planned with serial S1 and was found with S9",
          at=[("found.csv", 2, "B"), ("North.csv", 2, "B")]),
    fires("tag-serial-mismatch", "another tag", planned={"serial": "S1"}, found={"tag": "X", "serial": "S1"},
          says="serial S1 is planned as A and was found as X", at=[("found.csv", 2, "A")]),
    fires("tag-serial-mismatch", "a ring of three is no swap", count=3, planned=[*TWO, {"serial": "S3"}],
          found=[{"serial": "S2"}, {"serial": "S3"}, {"serial": "S1"}]),
    fires("tag-serial-mismatch", "a strange tag at a planned address",
          planned={"address": 31}, found={"tag": "X", "network": "North", "address": 31},
          says="the device at the network and address of A was found with tag X"),
    fires("tag-serial-mismatch", "a strange device at a planned address",
          planned={"serial": "S1", "address": 31},
          found={"tag": "X", "serial": "S9", "network": "North", "address": 31},
          says="a device with tag X and serial S9 was found at the network and address of A, planned with "
          "serial S1"),
    fires("tag-became-date", "a tag with its serial number", node="3-4",
          planned={"tag": "3-4", "serial": "S1"}, found={"tag": "2026-04-03", "serial": "S1"},
          says="tag 3-4 was found as 2026-04-03, the date that a spreadsheet turns it into; paired by serial",
          at=[("found.csv", 2, "A"), ("North.csv", 2, "B")],
          shown=("tag 3-4, serial S1", "tag 2026-04-03, serial S1")),
    fires("tag-became-date", "a tag alone", node="3-4", planned=[{"tag": "3-4"}, {}],
          found=[{"tag": "04-Mar"}, {"tag": "B"}], says="paired by that date alone"),
    fires("tag-became-date", "a day serial", node="3-4", planned=[{"tag": "3-4"}, {}],
          found=[{"tag": "46115"}, {"tag": "B"}], says="was found as 46115"),
    fires("tag-became-date", "a serial number", planned={"serial": "12-05"}, found={"serial": "2026-05-12"},
          says="serial 12-05 was found as 2026-05-12"),
    fires("tag-respelled", "a tag in small letters", planned={"tag": "PT-07"}, found={"tag": "pt 7"},
          node="PT-07",
          says="spelled differently from the plan: pt 7 for PT-07", at=[("found.csv", 2, "A")]),
    fires("tag-respelled", "a whole number out of a program of decimals", planned={"serial": "510011"},
          found={"serial": "510011.0"}, says="510011.0 for 510011"),
    fires("tag-respelled", "a serial number that lost its zeros", planned={"serial": "000123"},
          found={"serial": "123"},
          says="spelled differently from the plan: 123 for 000123"),
    fires("serial-damaged", "rounded by a spreadsheet", planned=LONG, found=[{"serial": "4.02E+11"}, LONG[1]],
          says="serial 4.02E+11 has lost its digits in a spreadsheet", at=[("found.csv", 2, "B")]),
    fires("serial-damaged", "zeros behind fifteen digits", planned={"serial": "40211830010112345"},
          found={"serial": "40211830010112300"}),
    fires("serial-corrected", "mis-keyed in the sheet, and read again off the label", planned=NUMBERED,
          found={"sheet.csv": [MISKEYED], "again.csv": [NUMBERED | {"read_at": "2026-04-02"}]},
          says="serial 4100l2 was read first, and 410012, as planned, later", at=[("sheet.csv", 2, "B")]),
    fires("serial-corrected", "two units under each other's tag, and each under its own later", count=2,
          planned=PLACES, found=swapped_back(),
          says="tag B was read first, and A, as planned, later: taken to be one device",
          at=[("found.csv", 2, "A")]),
    fires("serial-corrected", "the same, with serial numbers that lost their zeros", count=2,
          planned=[row | {"serial": serial} for row, serial in zip(PLACES, ZEROS, strict=True)],
          found=[row | {"serial": serial.lstrip("0")}
                 for row, serial in zip(swapped_back(), [*ZEROS, *ZEROS], strict=True)],
          says="tag B was read first, and A, as planned, later: taken to be one device",
          at=[("found.csv", 2, "A")]),
    fires("tag-serial-mismatch", "the mis-keyed one is the later one", planned=NUMBERED,
          found={"sheet.csv": [MISKEYED], "before.csv": [NUMBERED | {"read_at": "2026-03-01"}]},
          says="A is planned with serial 410012 and was found with 4100l2", at=[("sheet.csv", 2, "B")]),
    fires("serial-corrected", "mis-keyed under its tag in another spelling", node="PT-07",
          planned=NUMBERED | {"tag": "PT-07"},
          found={"sheet.csv": [MISKEYED | {"tag": "pt 7"}],
                 "again.csv": [NUMBERED | {"tag": "PT-07", "read_at": "2026-04-02"}]},
          says="serial 4100l2 was read first, and 410012, as planned, later", at=[("sheet.csv", 2, "B")]),
    fires("serial-corrected", "another one's in a sheet that had slipped, and read right later",
          planned=[NUMBERED, {"serial": "410013"}],
          found={"sheet.csv": [NUMBERED | {"serial": "410013", "read_at": "2026-04-01"}],
                 "again.csv": [NUMBERED | {"read_at": "2026-04-02"}, {"serial": "410013"}]},
          says="serial 410013 was read first, and 410012, as planned, later", at=[("sheet.csv", 2, "B")]),
    fires("tag-serial-mismatch", "mis-keyed, right, and mis-keyed again", planned=NUMBERED,
          found={"sheet.csv": [MISKEYED], "again.csv": [NUMBERED | {"read_at": "2026-04-02"}],
                 "last.csv": [MISKEYED | {"read_at": "2026-04-03"}]},
          says="A is planned with serial 410012 and was found with 4100l2", at=[("sheet.csv", 2, "B")]),
    fires("matched-by-settings", "a row without names", node="B",
          planned=[TELLING[0] | {"range_high": 10}, TELLING[1] | {"range_high": 20}],
          found=[TELLING[0] | {"range_high": 10},
                 {"tag": None, "network": "North", "address": "n/a", "report_interval": 60,
                  "range_high": 20}],
          says="this row has no planned tag or serial number; by its settings it is B"),
    fires("matched-by-settings", "the tag of a device whose serial number stands in another row", node="B",
          planned=[{**row, "serial": f"S{n}"} for n, row in enumerate(TELLING)],
          found=[{**TELLING[0], "tag": "B", "serial": "S0"}, {**TELLING[1], "tag": "A"}],
          says="another row has the serial number of A, and this row has its tag and no serial number; by "
               "its settings"),
    fires("node-planned-twice", "a row that was copied", side="planned",
          planned=[NUMBERED, NUMBERED | {"tag": "A"}],
          says="A, serial 410012, is planned twice, with the same entries wherever both are filled in",
          at=[("North.csv", 3, "A")]),
    fires("device-type-differs", "another type", planned={"type": "probe"}, found={"type": "meter"},
          says="the device found is a 'meter'; a 'probe' is planned", shown=("probe", "meter"),
          at=[("found.csv", 2, "B"), ("North.csv", 2, "B")]),
    fires("unplanned-node", "a tag that nobody planned", node="Z", network=None,
          found=[{}, {"tag": "Z", "serial": "S9"}],
          says="a device was found that is not in the plan: tag Z serial S9", at=[("found.csv", 3, "A")]),
    fires("unplanned-node", "a serial number alone", node="S9", network=None,
          found=[{}, {"tag": None, "serial": "S9"}], says="not in the plan: serial S9"),
    fires("unplanned-node", "no name, at the address of a node that was read", node=None, network=None,
          planned=[{"address": 11}, {"address": 51, "network": "South"}],
          found=[{"tag": "A", "address": 11}, {"tag": "B", "address": 51}, {"tag": None, "address": 11}],
          says="a row is about a device that cannot be identified: without tag or serial at address 11, in"),
    fires("unplanned-node", "the serial number of another node under a tag that was read",
          node="B", network=None,
          planned=[{"serial": "S1", "address": 11}, {"serial": "S2", "address": 12}],
          found=[{"tag": "A", "serial": "", "address": 11}, {"tag": "B", "serial": "S2", "address": 12},
                 {"tag": "B", "serial": "S1", "address": 12}],
          says="a row is about a device that cannot be identified: tag B serial S1, the serial of A"),
    fires("unplanned-node", "one device in two files is one finding", node="Z", network=None,
          found={"one.csv": [{}, {"tag": "Z"}], "two.csv": [{"tag": "Z"}]}),
    fires("joined-wrong-gateway", "a neighbour's", "joined_gateway", planned=[{}, {"network": "South"}],
          found=[{"joined_gateway": "GW-South"}, {"joined_gateway": "GW-South"}],
          says="the node has joined GW-South, the gateway of South; it is planned in North"),
    fires("joined-wrong-gateway", "one that is not in the plan", "joined_gateway",
          found={"joined_gateway": "GW-99"},
          says="a gateway that is not in the plan"),
    fires("not-joined", "in no list", "joined_gateway", node="B", planned=[{}, {}], found=listed("A"),
          says="is not in its gateway's list", at=[("list.csv", 2, "B"), ("North.csv", 3, "A")]),
    fires("not-joined", "a rounded serial number in the list is another's", "joined_gateway", node="B",
          planned=[LONG[0], {"serial": "77"}, {"serial": "88"}],
          found={"sheet.csv": [row | {"channel": 7} for row in (LONG[0], {"serial": "77"}, {"serial": "88"})],
                 "list.csv": ROUNDED}),
    fires("not-joined", "rounded serial numbers there are of others, by tag", "joined_gateway", node="C",
          planned=[*LONG, {"serial": "402118300103"}],
          found={"sheet.csv": [row | {"channel": 7} for row in (*LONG, {"serial": "402118300103"})],
                 "list.csv": BOTH_ROUNDED}, says="is not in its gateway's list"),
    fires("not-joined", "fewer rounded serial numbers than missing nodes", "joined_gateway",
          planned=[*LONG, {"serial": "88"}],
          found={"sheet.csv": [row | {"channel": 7} for row in (*LONG, {"serial": "88"})],
                 "list.csv": ROUNDED},
          says="unless the rounded number there is its serial number; it may be that of 2 nodes", count=2),
    fires("not-joined", "in a list of last week only", "joined_gateway", node="B", planned=[{}, {}],
          found={"old.csv": [{"tag": t, "joined_gateway": "GW-North", "read_at": "2026-04-01"} for t in "AB"],
                 "new.csv": [{"tag": "A", "joined_gateway": "GW-North", "read_at": "2026-04-08"}]}),
    fires("not-joined", "its channel was put right before the list was made", "joined_gateway", node="B",
          planned=[{}, {"channel": 7}], at=[("list.csv", 2, "C")],
          found=listed("A", at=LIST_MADE) | {"sheet.csv": channels("B", "2026-04-08T08:00")}),
    fires("not-joined", "in no list, where lists have addresses too", "joined_gateway", node="B",
          planned=[{"address": 1}, {"address": 2}],
          found={"list.csv": [{"tag": "A", "joined_gateway": "GW-North", "address": 1}],
                 "sheet.csv": [{"tag": "B", "address": 2, "channel": 7}]}),
]  # fmt: skip

SILENT = [
    silent("not-joined", "its serial number may be one that a spreadsheet has rounded",
           planned=[LONG[0], {"serial": "88"}],
           found={"sheet.csv": [row | {"channel": 7} for row in (LONG[0], {"serial": "88"})],
                  "list.csv": ROUNDED},
           idle=None),
    silent("not-joined", "all in the list", planned=[{}, {}], found=listed("A", "B")),
    silent("not-joined", "in another list of that day, which in UTC would be of the day before",
           planned=[{}, {}],
           found={**listed("A", at="2026-04-08T11:00+10:00"),
                  "more.csv": [{"tag": "B", "joined_gateway": "GW-North",
                                "read_at": "2026-04-08T09:00+10:00"}]}),
    silent("not-joined", "in another gateway's list, which another rule tells",
           planned=[{}, {"network": "South"}],
           found={"list.csv": [{"tag": tag, "joined_gateway": "GW-North"} for tag in "AB"]}),
    silent("not-joined", "not read at all, which another rule tells", planned=[{}, {}],
           found={"list.csv": [{"tag": "A", "joined_gateway": "GW-North"}]}),
    silent("not-joined", "a sheet filled in at the devices is no list", idle=True, planned=[{}, {}],
           found={"sheet.csv": [{"tag": "A", "channel": 7, "joined_gateway": "GW-North"}],
                  "more.csv": [{"tag": "B", "channel": 7}]}),
    silent("not-joined", "its channel was put right after the list was made", planned=[{}, {"channel": 7}],
           found=listed("A", at=LIST_MADE) | {"sheet.csv": channels("B", "2026-04-08T10:00")}),
    silent("not-joined", "so was its gateway's", planned=[{}, {}], gateway={"channel": 7}, gateway_found=None,
           found=listed("A", at=LIST_MADE) | {"gateway.csv": channels("GW-North", "2026-04-08T10:00")}),
    silent("not-joined", "no list of its gateway", planned=[{}, {"network": "South"}], found=listed("A")),
    silent("units-swapped", "as planned", planned=TWO, found=TWO),
    silent("units-swapped", "swapped back, as later rows of the sheet show", planned=PLACES,
           found=swapped_back()),
    silent("units-swapped", "swapped back, as a later file shows that was read in the same way",
           planned=PLACES, found={"as-found.csv": [{**row, "channel": 7} for row in AT_DISPLAYS[:2]],
                                  "as-left.csv": AT_DISPLAYS[2:]}),
    silent("units-swapped", "swapped back, as a later sheet with one column more shows", planned=PLACES,
           found={"as-found.csv": swapped_back()[:2],
                  "as-left.csv": [row | {"channel": 7} for row in swapped_back()[2:]]}),
    silent("tag-serial-mismatch", "another tag, and later the planned one", planned={"serial": "S1"},
           found=[{"serial": "S1", "tag": "Z", "read_at": "2026-04-07"},
                  {"serial": "S1", "tag": "A", "read_at": "2026-04-08"}]),
    silent("units-swapped", "one of them only", planned=TWO, found=[{"serial": "S9"}, {"serial": "S2"}]),
    silent("units-swapped", "a gateway and a node, of which no setting tells", planned={"serial": "S1"},
           gateway={"serial": "G1"}, found={"serial": "G1"}, gateway_found={"serial": "S1"}),
    silent("units-swapped", "each set for its place", planned=PLACES,
           found=[PLACES[0] | {"serial": "S2"}, PLACES[1] | {"serial": "S1"}]),
    silent("serials-swapped", "as planned", planned=PLACES, found=PLACES),
    silent("serials-swapped", "each set for its serial number", planned=PLACES,
           found=[PLACES[0] | {"tag": "B"}, PLACES[1] | {"tag": "A"}]),
    silent("serials-swapped", "no setting tells", planned=TWO, found=[{"serial": "S2"}, {"serial": "S1"}]),
    silent("tag-became-date", "a date that is not made of the tag", planned={"tag": "3-4", "serial": "S1"},
           found={"tag": "2026-05-03", "serial": "S1"}),
    silent("tag-became-date", "a date that two tags may have become", idle=None,
           planned=[{"tag": "3-4"}, {"tag": "4-3"}, {}],
           found=[{"tag": "2026-04-03"}, {"tag": "2026-03-04"}, {"tag": "C"}]),
    silent("tag-became-date", "the tag was read besides", planned=[{"tag": "3-4"}, {}],
           found=[{"tag": "3-4"}, {"tag": "2026-04-03"}]),
    silent("tag-serial-mismatch", "a whole number out of a program of decimals",
           planned={"serial": "510011"}, found={"serial": "510011,0"}),
    silent("tag-serial-mismatch", "a tag that became a date is another rule's matter",
           planned={"tag": "3-4", "serial": "S1"}, found={"tag": "2026-04-03", "serial": "S1"}),
    silent("tag-serial-mismatch", "a swap is another rule's matter", planned=TWO,
           found=[{"serial": "S2"}, {"serial": "S1"}]),
    silent("tag-serial-mismatch", "one of both is not given", planned=[{}, {"serial": "S2"}],
           found=[{"serial": "S1"}, {"serial": ""}]),
    silent("tag-serial-mismatch", "spelled otherwise", planned={"serial": "000123"}, found={"serial": "123"}),
    silent("tag-serial-mismatch", "damaged by a spreadsheet", planned=LONG[:1], found={"serial": "4.02E+11"}),
    silent("tag-respelled", "as planned", planned={"tag": "PT-07", "serial": "S1"},
           found={"tag": "PT-07", "serial": "S1"}),
    silent("tag-respelled", "blanks around it", planned={"tag": "PT-07"}, found={"tag": " PT-07 "}),
    silent("tag-respelled", "a point between numbers is no spelling",
           planned=[{"tag": "PT-1.01"}, {"tag": "PT-101"}],
           found=[{"tag": "PT-1.01"}, {"tag": "PT-101"}]),
    silent("serial-corrected", "of two rows without a date nobody knows which is the later", planned=NUMBERED,
           found={"sheet.csv": [{"serial": "4100l2"}], "again.csv": [NUMBERED]}),
    silent("serial-corrected", "the next one out of the box may be another device", planned=NUMBERED,
           found={"sheet.csv": [MISKEYED | {"serial": "410013"}],
                  "again.csv": [NUMBERED | {"read_at": "2026-04-02"}]}),
    silent("serial-damaged", "a long number in full", planned={"serial": "40211830010112345"},
           found={"serial": "40211830010112345"}),
    silent("serial-damaged", "twelve digits that end in zeros", planned={"serial": "402100000000"},
           found={"serial": "402100000000"}),
    silent("matched-by-settings", "by its address", planned=TELLING,
           found=[TELLING[0], {"tag": None, "network": "North", "address": 2}]),
    silent("node-planned-twice", "two nodes", planned=TWO),
    silent("device-type-differs", "in capitals", planned={"type": "probe"}, found={"type": " PROBE"}),
    silent("device-type-differs", "not said", idle=True, planned={"type": "probe"}, found={"type": ""}),
    silent("unplanned-node", "all are planned", planned=TWO, found=TWO),
    silent("unplanned-node", "a gateway that is planned", gateway_found={}, found={}),
    silent("joined-wrong-gateway", "by its tag or its network", planned=[{}, {}],
           found=[{"joined_gateway": "GW-North"}, {"joined_gateway": "North"}]),
    silent("joined-wrong-gateway", "spelled otherwise", found={"joined_gateway": "gw north"}),
    silent("joined-wrong-gateway", "in no list", idle=True, found={"joined_gateway": "-"}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A doubt about who a device is, is reported with the tag and serial number planned and found."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Names that agree, or that nobody gave, leave no doubt."""
    case.check(tmp_path)


@pytest.mark.parametrize(
    ("rule", "found"),
    [
        ("tag-serial-mismatch", {"tag": "A", "serial": "S9"}),
        ("tag-respelled", {"tag": "a", "serial": "S1"}),
        ("serial-damaged", {"tag": "A", "serial": "4.02E+11"}),
    ],
)
def test_a_doubt_that_two_files_raise_is_one_finding(
    rule: str, found: dict[str, str], tmp_path: Path
) -> None:
    """The sheet and the gateway's list both say so, but it is only one thing to look at."""
    findings = audit_of(
        tmp_path,
        rules=rule,
        planned={"serial": "S1"},
        found={"sheet.csv": [found | {"channel": 7}], "list.csv": [found | {"last_heard": 9}]},
    )

    assert [f.node for f in findings] == ["A"]


def test_a_type_that_only_one_of_two_files_gives_is_looked_at(tmp_path: Path) -> None:
    """A later file without a column for the type does not hide what the earlier one says."""
    findings = audit_of(
        tmp_path,
        rules="device-type-differs",
        found={"sheet.csv": [{"type": "meter"}], "list.csv": [{"last_heard": 9}]},
    )

    assert [(f.node, f.found) for f in findings] == [("A", "meter")]


def test_the_list_that_a_node_is_missing_in_is_quoted_where_it_names_the_gateway(tmp_path: Path) -> None:
    """One file may list several gateways, and another gateway's row says nothing about this one."""
    planned = [{"tag": tag, "channel": 7, "network": "South" if tag == "S" else "North"} for tag in "SAB"]
    listed = [{"tag": "S", "joined_gateway": "GW-South"}, {"tag": "B", "joined_gateway": "GW-North"}]
    found = {"sheet.csv": planned, "list.csv": listed}
    (finding,) = audit_of(tmp_path, rules="not-joined", planned=planned, found=found)

    assert finding.node == "A"
    assert ("list.csv", 3) in [(Path(place.file).name, place.row) for place in finding.evidence]


@pytest.mark.parametrize(("read", "older"), [("2026-04-08T10:10", True), ("2026-04-08T08:10", False)])
def test_a_list_that_is_older_than_the_reading_of_its_node_is_reported(
    tmp_path: Path, read: str, older: bool
) -> None:
    """B was set at ten past ten, and the list was made at nine."""
    found = listed("A", at=LIST_MADE) | {"sheet.csv": [{"tag": "B", "channel": 7, "read_at": read}]}
    (finding,) = audit_of(tmp_path, rules="not-joined", planned=[{}, {}], found=found)

    assert finding.message.endswith("; the list is older than that reading: get a new list first") == older
