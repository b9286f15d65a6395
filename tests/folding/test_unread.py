"""Folding of what was not read, on many devices or much of one."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.run import audited
from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET, causes, nodes
from tests.site_builder import SiteOf, audit_of, result_of
from tests.small_site import small_site


def test_a_column_that_nobody_read_is_one_cause(tmp_path: Path) -> None:
    """A sheet without a column for the address leaves out one thing, not one for every node."""
    found = causes(tmp_path, planned=nodes(12, address=list(range(1, 13))), found=nodes(12, display_note="x"))

    assert [(f.rule, f.setting, len(f.dependents)) for f in found] == [
        ("not-read-on-many-nodes", "address", 12)
    ]
    assert "address was not read on 12 devices" in found[0].message
    assert found[0].level == "error"


@pytest.mark.parametrize(("address", "planned"), [([1, 2, 3, 4], None), ([9, 9, 9, 9], "9")])
def test_the_planned_value_of_many_is_shown_where_it_is_the_same(
    address: list[int], planned: str | None, tmp_path: Path
) -> None:
    """The value planned for the first device is not shown as planned for all."""
    found = causes(tmp_path, planned=nodes(4, address=address), found=nodes(4, display_note="x"))

    assert [f.planned for f in found if f.rule == "not-read-on-many-nodes"] == [planned]


def test_nodes_that_were_begun_and_not_finished_are_one_cause(tmp_path: Path) -> None:
    """Three were typed in as far as the channel: what is missing is the same on each."""
    planned = nodes(5, channel=7, address=[1, 2, 3, 4, 5], range_high=100)
    begun = [{"tag": row["tag"], "channel": 7} for row in planned[:3]]
    (cause,) = causes(tmp_path, planned=planned, found=[*begun, *planned[3:]])

    assert cause.message == "2 settings were not read on 3 devices: address, range_high"
    assert (len(cause.dependents), cause.others) == (6, ["N01", "N02", "N03"])


def test_nodes_that_nobody_read_are_one_cause(tmp_path: Path) -> None:
    """A network with only its gateway read is one gap."""
    found = causes(tmp_path, planned=nodes(4), found=[])

    assert [(f.rule, f.others) for f in found] == [("not-read-on-many-nodes", ["N01", "N02", "N03", "N04"])]
    assert found[0].message == "nothing at all was read on 4 devices"


def test_a_sheet_of_tags_alone_is_one_cause(tmp_path: Path) -> None:
    """A blank sheet that was sent back is not a readback; no setting of any device is listed."""
    serials = ["1", "2", "3", "4"]
    result = result_of(
        tmp_path,
        planned=nodes(4, serial=serials, channel=7, address=[1, 2, 3, 4]),
        found=nodes(4, serial=serials, channel=None),
        **QUIET,
    )

    roots = [f for f in result.findings if f.caused_by is None]
    assert [(f.rule, f.message) for f in roots] == [
        ("not-read-on-many-nodes", "nothing at all was read on 4 devices")
    ]
    assert {f.rule for f in result.findings if f.caused_by} == {"node-not-read"}
    assert (result.counts.devices_read, result.counts.not_read) == (1, 8)


def test_devices_that_were_read_in_part_are_in_the_order_of_the_plan(tmp_path: Path) -> None:
    """Readers go through the sheet in the plan's order, whatever the tags."""
    planned = [{"tag": tag, "address": n + 1} for n, tag in enumerate("BA")]

    found = causes(
        tmp_path, planned=planned, gateway={"channel": 7, "air_rate": 50},
        found=[{"tag": "A", "display_note": "x"}, {"tag": "B", "display_note": "x"}],
    )  # fmt: skip

    assert [f.node for f in found if f.rule == "much-not-read"] == ["B", "A"]


def test_where_one_row_lacks_much_it_is_quoted_once(tmp_path: Path) -> None:
    """A long table has no cells for what was not read; the device's last row is quoted."""
    rows = "".join(
        f"N-1,{name},7\n" for name in ("channel", "address", "range_low", "range_high", "high_alarm")
    )
    site = small_site(tmp_path).read("found.csv", f"tag,setting,value\n{rows}N-2,channel,7\n")

    (much,) = [f for f in site.result()["findings"] if f["rule"] == "much-not-read" and f["node"] == "N-2"]

    assert len(much["settings"]) > 3
    assert len([place for place in much["evidence"] if place["file"].endswith("found.csv")]) == 1


@pytest.mark.parametrize("text", ["", "n/a", "not tried"])
def test_a_default_code_that_nobody_tried_is_one_gap(text: str, tmp_path: Path) -> None:
    """Forty times 'not tried' is one gap in the work, whether written out or left blank."""
    findings = audit_of(tmp_path, planned=nodes(4), gateway_found={"default_refused": "yes"},
                        found=nodes(4, default_refused=text))  # fmt: skip

    assert len([f for f in findings if f.caused_by is None]) == 1


FIRES: list[Fires] = [
    fires("not-read-on-many-nodes", "three nodes", "channel", node=None, others=["N01", "N02", "N03"],
          **QUIET, planned=nodes(3, channel=7), found=nodes(3, address=1),
          says="channel was not read on 3 devices"),
    fires("much-not-read", "three settings of a node", "channel", "air_rate", "address", node="A",
          gateway={"channel": 7, "air_rate": 50}, planned={"address": 1}, found={"default_refused": "yes"},
          says="3 settings were not read: channel, air_rate, address"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("not-read-on-many-nodes", "two nodes", gateway_found={"default_refused": "yes"},
           planned=nodes(2, address=[1, 2]), found=nodes(2, default_refused="yes")),
    silent("much-not-read", "two settings", gateway_found={"default_refused": "yes"},
           planned={"address": 1, "firmware": "1"}, found={"default_refused": "yes"}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the network, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)


def test_what_a_sheet_lacks_is_reported_with_the_sheet_and_not_with_a_newer_list(tmp_path: Path) -> None:
    """Whoever looks for the column has to look in the file that holds the other settings."""
    sheet = nodes(3, address=[1, 2, 3], report_interval=30)
    listed = nodes(3, rssi=-70, read_at="2026-04-02")
    site = SiteOf(planned=nodes(3, channel=7), found={"sheet.csv": sheet, "list.csv": listed})

    blocks = audited(site.write(tmp_path)).site.blocks
    (block,) = (one for one in blocks if "N01" in one.tags)

    assert Path(block.found_place(0, "channel").file).name == "sheet.csv"
    assert Path(block.found_place(0, "rssi").file).name == "list.csv"
