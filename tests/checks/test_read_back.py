"""read-back: devices and settings were read at all, and clearly."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent

BESIDE = {"display_note": "x"}
"""Something else that was read, so that the device was."""

FIRES = [
    fires("node-not-read", "no row", node="B", planned=[{}, {}], found=[{}],
          says="the node is planned, but is in no readback", at=[("North.csv", 3, "A")]),
    fires("node-not-read", "a row with its tag alone", planned=[{"channel": 7}, {"channel": 7}],
          found=[{"channel": ""}, {"channel": 7}], at=[("North.csv", 2, "A"), ("found.csv", 2, "A")],
          says="the node is in the readback, but with no setting filled in"),
    fires("node-not-read", "tag and planned serial number alone, with a reader's name",
          planned={"channel": 7, "serial": "S1"}, found={"serial": "S1", "read_by": "B. Example"}),
    fires("node-not-read", "a note beside its tag alone", planned=[{"channel": 7}, {"channel": 7}],
          found=[{"channel": "", "note": "pool flooded"}, {"channel": 7}], at=[("found.csv", 2, "C")],
          says="is in the readback, but with no setting filled in; its note says 'pool flooded'"),
    fires("node-not-read", "a note that may hold a code", planned=[{"channel": 7}, {"channel": 7}],
          found=[{"channel": "", "note": "PIN 4711"}, {"channel": 7}], says="its note says (not shown)"),
    fires("node-not-read", "a row in a gateway's list alone, with its address",
          planned={"channel": 7, "address": 1},
          found={"list.csv": [{"joined_gateway": "GW-North", "last_heard": 9, "address": 1}]},
          at=[("North.csv", 2, "A"), ("list.csv", 2, "A")],
          says="the node is only in a gateway's list: its settings were not read"),
    fires("node-not-read", "a row in a gateway's list, and a note beside its tag in a sheet",
          planned=[{"channel": 7, "serial": "S1"}, {"channel": 7}],
          found={"list.csv": [{"joined_gateway": "GW-North"}], "sheet.csv": [
              {"channel": "", "note": "pool flooded"}, {"channel": 7}]},
          says="in a gateway's list: its settings were not read; its note says 'pool flooded'"),
    fires("gateway-not-read", "a row with its tag alone", node="GW-North", gateway={"channel": 7},
          gateway_found={}, found={}, says="the gateway is in the readback, but with no setting filled in"),
    fires("gateway-not-read", "no row", node="GW-North", gateway_found=None, found={},
          says="the gateway is planned, but is in no readback"),
    fires("setting-not-read", "a blank cell", "channel", planned={"channel": 7},
          found={"channel": "", **BESIDE}, says="channel was not read back; planned 7"),
    fires("setting-not-read", "n/a", "channel", planned={"channel": 7},
          found={"channel": "n/a", **BESIDE}),
    fires("setting-not-read", "no column", "channel", planned={"channel": 7}, found={"address": 1}),
    fires("setting-not-read", "no column, where only one of two nodes is planned to have a value", "address",
          planned=[{"address": 1, "channel": 7}, {"channel": 7}], found=[{"channel": 7}, {"channel": 7}]),
    fires("setting-not-read", "at the gateway", "channel", node="GW-North",
          gateway={"channel": 7}, gateway_found={"channel": "?", **BESIDE}, found={"channel": 7}),
    fires("critical-setting-not-read", "a blank cell", "seal", planned={"seal": "S-1"},
          found={"seal": "-", **BESIDE},
          says="seal was not read back; planned S-1"),
    fires("critical-setting-not-read", "critical, though not required", "sticker",
          settings={"sticker": {"kind": "text", "required": False, "critical": True}},
          planned={"sticker": "x"}, found=BESIDE),
    fires("alarm-off-at-setpoint", "its word in place of the number", "alarm_high",
          planned={"alarm_high": 780}, found={"alarm_high": "OFF"},
          says="alarm_high is OFF, planned 780 kPa g"),
    fires("reading-unclear", "off in place of what is no alarm", "range_high", found={"range_high": "OFF"}),
    fires("node-not-read", "nothing but its tag, in another spelling", node="PT-07",
          planned={"tag": "PT-07", "channel": 7}, found={"tag": "pt 7"},
          says="is in the readback, but with no setting filled in"),
    fires("reading-unclear", "no number", "channel", planned={"channel": 7}, found={"channel": "7?"},
          says="'7?' is not a number"),
    fires("reading-unclear", "a comma where a point was declared", "range_high", found={"range_high": "10,5"},
          says="'10,5' has a comma where the decimal mark is declared as '.'"),
    fires("reading-unclear", "half a channel", "channel", found={"channel": "7.5"},
          says="is not a whole number"),
    fires("reading-unclear", "neither on nor off", "local_lock", found={"local_lock": "maybe"}),
    fires("reading-unclear", "a unit of another quantity", "range_high", found={"range_high": "10 m3"},
          says="cannot be converted to kPa g"),
    fires("reading-unclear", "absolute pressure is never turned into gauge", "range_high",
          found={"range_high": "1000 kPa abs"}, says="cannot be converted"),
]  # fmt: skip

SILENT = [
    silent("alarm-off-at-setpoint", "no setpoint is planned", planned={}, found={"alarm_high": "off"}),
    silent("reading-unclear", "an alarm that is off is another rule's matter",
           planned={"alarm_high": 780}, found={"alarm_high": "OFF"}),
    silent("node-not-read", "a row with nothing but its tag, where nothing is to be read", found={}),
    silent("node-not-read", "one setting of two", planned={"channel": 7, "address": 1},
           found={"address": 1}),
    silent("node-not-read", "no setting, but a serial number that is not the planned one",
           planned={"channel": 7, "serial": "S1"}, found={"serial": "S2"}),
    silent("node-not-read", "no setting, but a colon for a serial number",
           planned={"channel": 7, "serial": "S1"}, found={"serial": ":"}),
    silent("node-not-read", "a blank row behind one that was filled in", planned={"channel": 7},
           found={"a.csv": [{"channel": 7}], "b.csv": [{"channel": ""}]}),
    silent("node-not-read", "a row in a gateway's list beside a sheet", planned={"channel": 7},
           found={"a.csv": [{"channel": 7}], "list.csv": [{"joined_gateway": "GW-North"}]}),
    silent("node-not-read", "a row in a list, where nothing is planned but what a gateway knows",
           planned={"address": 1}, found={"list.csv": [{"joined_gateway": "GW-North", "address": 1}]}),
    silent("node-not-read", "the plan alone is being checked", idle=True, planned=[{}, {}]),
    silent("gateway-not-read", "a row", gateway_found={}, found={}),
    silent("setting-not-read", "a factory code that nobody tried is another rule's matter",
           planned={"default_refused": "yes", "channel": 7}, found={"default_refused": "", "channel": 7},
           gateway_found={"default_refused": "yes"}),
    silent("setting-not-read", "read, though wrong", planned={"channel": 7}, found={"channel": 8}),
    silent("setting-not-read", "not planned", idle=True, found={"channel": ""}),
    silent("setting-not-read", "unclear is another rule's matter", planned={"channel": 7},
           found={"channel": "7?"}),
    silent("setting-not-read", "a setting that need not be read", idle=True, planned={"sticker": "x"},
           found={}),
    silent("setting-not-read", "a node that was not read at all", planned=[{"channel": 7}, {"channel": 7}],
           found=[{"channel": 7}]),
    silent("critical-setting-not-read", "read", planned={"seal": "S-1"}, found={"seal": "S-1"}),
    silent("reading-unclear", "a blank", found={"channel": "n/a"}),
    silent("reading-unclear", "padded, hexadecimal, with its unit",
           found={"channel": "007", "address": "0x1F", "range_high": "10.0 kPa g"}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A device or planned setting that was not read, or not clearly, is reported with its plan."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What was read, is not planned or need not be read is not reported; what is missing is reported once."""
    case.check(tmp_path)
