"""A filled-in sheet is checked as it is, and exactly the seeded faults are found."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from audit.model.site import Block
from audit.pairing.planning import planned_blocks
from audit.reading.inputs import Inputs
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.plan import read_plan
from audit.run import Order, run
from audit.sheets.making import book_of
from tests.sheets.filling import SHOWN, blank, filled, rich_site, showing, to_csv
from tests.small_site import SmallSite
from tests.small_site import run as command
from tests.the_examples import EXAMPLES

each_form = pytest.mark.parametrize("name", ["sheets.xlsx", "sheets.csv"])


def checked(site: SmallSite, name: str, shown: Mapping[str, Mapping[str, str]]) -> list[dict[str, Any]]:
    """Return what is found if the devices show this."""
    sheet = blank(site, name)
    site.read(f"filled{sheet.suffix}", filled(sheet, shown))
    findings: list[dict[str, Any]] = site.result()["findings"]
    return findings


@each_form
def test_a_site_that_is_as_planned_passes(tmp_path: Path, name: str) -> None:
    """Nothing is found, every setting counts as read, and no mapping was needed."""
    site = rich_site(tmp_path)

    assert checked(site, name, SHOWN) == []
    assert site.check().code == 0
    counts = site.result()["counts"]
    assert (counts["devices_read"], counts["differing"], counts["not_read"]) == (4, 0, 0)


SEEDED = [
    pytest.param({"N1": {"CH": "8"}}, ("channel-differs", "N-1"), id="another channel"),
    pytest.param({"N2": {"URV [kPa]": "98,05"}}, ("range-differs", "N-2"), id="comma in another place"),
    pytest.param({"N2": {"URV [kPa]": "9.805 bar"}}, None, id="another unit, the same pressure"),
    pytest.param({"N3": {"serial": "0010-9"}}, ("tag-serial-mismatch", "N-3"), id="another device"),
    pytest.param({"N1": {"CHAM": "3-4"}}, ("setting-differs", "N-1"), id="another chamber"),
    pytest.param({"N1": {"default refused": "no"}}, ("default-code-accepted", "N-1"), id="default code"),
    pytest.param({"N1": {"ADDR": ""}}, ("setting-not-read", "N-1"), id="a blank"),
    pytest.param({"N1": {"LRV [kPa]": "abc"}}, ("reading-unclear", "N-1"), id="no number"),
    pytest.param({"N1": {"ENC": "off"}}, ("encryption-off", "N-1"), id="encryption off"),
    pytest.param({"GW1": {"JOIN": "open"}}, ("join-window-open", "GW-1"), id="gateway open"),
    pytest.param({"N1": {"NET ID": "A7"}}, ("network-id-differs", "N-1"), id="zeros lost"),
    pytest.param({"N1": {"configured by": "r sample"}}, ("self-checked", None), id="set by the reader"),
    pytest.param({"N1": {"configured by": "B. Other"}}, None, id="set by somebody else"),
    pytest.param({"N1": {"read at": "2026-03-30", "configured at": "2026-03-31"}},
                 ("read-before-set", "N-1"), id="set after it was read"),
]  # fmt: skip
"""What the devices show, and the one finding: rule and device."""


@each_form
@pytest.mark.parametrize(("changes", "expected"), SEEDED)
def test_exactly_what_was_seeded_is_found(
    tmp_path: Path, name: str, changes: dict[str, dict[str, str]], expected: tuple[str, str] | None
) -> None:
    """One seed is one finding, on the gateway's row too."""
    found = [(one["rule"], one["node"]) for one in checked(rich_site(tmp_path), name, showing(**changes))]

    assert found == ([expected] if expected else [])


@each_form
def test_the_raw_text_stands_as_evidence(tmp_path: Path, name: str) -> None:
    """A finding quotes the sheet's own cell, under the heading that the display shows."""
    (finding,) = checked(rich_site(tmp_path), name, showing(N2={"URV [kPa]": "98,05"}))
    place = finding["evidence"][0]

    assert (place["heading"], place["raw"]) == ("URV [kPa]", "98,05")
    assert place["sheet"] == ("Main" if name.endswith("xlsx") else None)


@each_form
def test_the_raw_text_of_a_serial_number_is_that_of_its_own_device(tmp_path: Path, name: str) -> None:
    """Also where another one is blank, and among rows of the sheet that are no readings."""
    shown = showing(N2={"serial": "0010-9"}, N3={"serial": ""})
    (finding,) = checked(rich_site(tmp_path), name, shown)
    quoted = [place["raw"] for place in finding["evidence"] if place["file"].endswith(Path(name).suffix)]

    assert (finding["node"], quoted) == ("N-2", ["0010-9"])


def test_a_sheet_from_before_it_asked_who_set_a_device(tmp_path: Path) -> None:
    """Sheets filled in without these columns are read as they were."""
    site = rich_site(tmp_path)
    table = list(csv.reader(io.StringIO(filled(blank(site, "sheets.csv")).decode("utf-8-sig"))))
    at = table[0].index("configured by")
    site.read("older.csv", to_csv([row[:at] + row[at + 2 :] for row in table]))

    assert (site.result()["findings"], site.check().code) == ([], 0)


@each_form
def test_an_untouched_sheet_is_a_sheet_not_read(tmp_path: Path, name: str) -> None:
    """No device was read; the verdict is FAIL, and nothing crashes."""
    site = rich_site(tmp_path)
    found = [(one["rule"], one["node"]) for one in checked(site, name, {}) if one["node"]]

    assert found == [("gateway-not-read", "GW-1"), *(("node-not-read", f"N-{n}") for n in (1, 2, 3))]
    outcome = site.check()
    assert outcome.code == 1
    assert "the readback is blank: 4 planned devices, none read back" in outcome.stdout


@each_form
def test_a_row_with_a_name_alone_is_no_reading(tmp_path: Path, name: str) -> None:
    """Names filled down their columns, or a note, are no reading; others count. The note is reported."""
    names = {"read by": "R. Sample", "configured by": "B. Other"}
    shown = {**SHOWN, "N-2": {**names, "note": "gate locked"}}

    (one,) = checked(rich_site(tmp_path), name, shown)
    assert (one["rule"], one["node"]) == ("node-not-read", "N-2")
    assert one["message"].endswith("; its note says 'gate locked'")


@each_form
def test_a_serial_number_alone_is_a_reading(tmp_path: Path, name: str) -> None:
    """The device was found; its settings were not read."""
    shown = {**SHOWN, "N-2": {"serial": "0010-2"}}
    rules = {one["rule"] for one in checked(rich_site(tmp_path), name, shown)}

    assert "node-not-read" not in rules
    assert "setting-not-read" in rules


def test_a_sheet_with_planned_values_reads_none_of_them(tmp_path: Path) -> None:
    """Planned values on a blank sheet are not readings, in any form, however little is left of the sheet."""
    site = rich_site(tmp_path)
    for name in ("sheets.xlsx", "sheets.csv"):
        site.readbacks[:] = [blank(site, name, "--with-plan")]
        assert site.result()["counts"]["devices_read"] == 0
    rows = (site.folder / "sheets.csv").read_text(encoding="utf-8-sig").splitlines()
    bare = [",".join(row.split(",")[:-5]) for row in (rows[0], *rows[2:])]
    site.read("bare.csv", "\n".join(bare))

    assert site.result()["counts"]["devices_read"] == 0  # not even if nothing says that it is our sheet


def test_what_was_read_with_the_plan_at_hand_says_so(tmp_path: Path) -> None:
    """The rows of such a sheet carry how they were read, for whoever weighs them as evidence."""
    sheet = blank(rich_site(tmp_path), "sheets.csv", "--with-plan")

    assert sheet.read_text(encoding="utf-8-sig").count("with the planned values at hand") == 4


# The examples


def texts_as_planned(plan: LoadedPlan) -> dict[str, dict[str, str]]:
    """Return tag → heading → what a device shows that is as planned, and was read by somebody."""
    serials: dict[str, str] = {}
    for group in (*plan.gateways, *plan.nodes):
        serials |= dict(zip(group.table.texts("tag"), group.table.texts("serial"), strict=True))
    book = book_of(plan, with_plan=True)
    shown = {}
    for sheet in book.sheets:
        for _, device in sheet.devices:
            asked = [(column, column.of(device)) for column in sheet.columns]
            shown[device.tag] = {
                column.heading: device.planned.get(setting.name, "") for column, setting in asked if setting
            } | {"default refused": "yes", "serial": serials[device.tag], "read by": "R. Sample"}
    return shown


def planned(plan: LoadedPlan) -> list[Block]:
    """Return what is planned, in columns."""
    return planned_blocks(plan, Meanings())


@each_form
@pytest.mark.parametrize("example", ["merrow-vale", "tarnbeck", "ostervik"])
def test_the_examples_filled_in_as_planned(tmp_path: Path, example: str, name: str) -> None:
    """Whole sites of several device types and units read back through their sheets without a difference."""
    plan = EXAMPLES / example / "plan.yaml"
    loaded = read_plan(plan, Inputs())
    site = SmallSite(tmp_path)
    command("sheet", plan, "--out", tmp_path / name)
    site.read(f"filled{Path(name).suffix}", filled(tmp_path / name, texts_as_planned(loaded)))
    result = run(Order(plan, site.readbacks, run_on="2026-03-31"))

    assert result.counts.devices_read == sum(map(len, planned(loaded)))
    assert (result.counts.differing, result.counts.not_read) == (0, 0)
    assert result.counts.verified > 100
    unread = {"reading-unclear", "unplanned-node", "setting-not-read", "node-not-read", "gateway-not-read"}
    assert not unread & {finding.rule for finding in result.findings}
