"""Who read the devices, when and how: what a result rests on, beside the counts."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.exported_codes import DIGITS, WORD, codes_in, everything, site_with_codes
from tests.small_site import SETTINGS, as_csv, as_planned, node, small_site

ON = ("--on", "2026-04-01", "--width", "200")


def rows(times: dict[str, str], **more: str) -> list[dict[str, str]]:
    """Return a readback as planned, with the time at which each device was read."""
    return [{**row, "read_at": times.get(row["tag"], ""), **more} for row in as_planned()]


DAY = "2026-03-30"
TIMES = {"GW-1": f"{DAY}T08:00", "N-1": f"{DAY}T08:10:30", "N-2": f"{DAY}T08:25", "N-3": f"{DAY}T09:05"}
LATER = f"{DAY}T10:00"
TOLD: list[Any] = [
    pytest.param(rows(TIMES), ["read by B. Example: 4 devices, 2026-03-30 08:00 to 09:05"], id="a round"),
    pytest.param(rows(TIMES | {"N-3": "2026-03-31T07:50"}),
                 ["read by B. Example: 4 devices, 2026-03-30 08:00 to 2026-03-31 07:50"], id="two days"),
    pytest.param(rows(dict.fromkeys(TIMES, f"{DAY}T08:00")),
                 ["read by B. Example: 4 devices, 2026-03-30 08:00"], id="all in one minute"),
    pytest.param(rows(dict.fromkeys(TIMES, DAY)), ["read by B. Example: 4 devices, 2026-03-30"],
                 id="a day alone"),
    pytest.param(rows(dict.fromkeys(TIMES, "0026-03-30T08:00")),
                 ["read by B. Example: 4 devices, 0026-03-30 08:00"], id="a year that was typed short"),
    pytest.param(rows({}), ["read by B. Example: 4 devices, no date"], id="no date"),
    pytest.param(rows(TIMES | {"N-3": ""}),
                 ["read by B. Example: 4 devices, 2026-03-30 08:00 to 08:25, 1 without a date"],
                 id="one undated"),
    pytest.param(rows(TIMES, read_by=""), ["read by nobody named: 4 devices, 2026-03-30 08:00 to 09:05"],
                 id="nobody named"),
    pytest.param(rows(TIMES, read_how="export"),
                 ["read by B. Example: 4 devices, 2026-03-30 08:00 to 09:05; export (4)"], id="how"),
    pytest.param([{**row, "read_by": name} for row, name in
                  zip(rows(TIMES), ("Example, B.", "B. Example (works)", "A. Muster", "b example"),
                      strict=True)],
                 ["read by Example, B.: 3 devices, 2026-03-30 08:00 to 09:05",
                  "read by A. Muster: 1 device, 2026-03-30 08:25"], id="one person in several spellings"),
    pytest.param([*rows(TIMES), {"tag": "N-1", "channel": "7", "read_by": "b example", "read_at": LATER}],
                 ["read by B. Example: 4 devices, 2026-03-30 08:00 to 10:00"],
                 id="a device read twice by one person in two spellings"),
    pytest.param([{**row, "read_how": f"photo {n}"} for n, row in enumerate(rows(TIMES), 1)],
                 ["read by B. Example: 4 devices, 2026-03-30 08:00 to 09:05; "
                  "photo 1 (1), photo 2 (1), photo 3 (1) and 1 more"], id="a remark for each device"),
]  # fmt: skip


@pytest.mark.parametrize(("readback", "told"), TOLD)
def test_the_report_says_who_read_how_many_devices_and_when(
    tmp_path: Path, readback: list[dict[str, str]], told: list[str]
) -> None:
    """A reader of the report sees what the verdict rests on, without the readback at hand."""
    outcome = small_site(tmp_path).read("found.csv", as_csv(readback)).check(*ON)

    assert [line.strip() for line in outcome.stdout.splitlines() if "read by" in line] == told


def test_what_a_gateway_lists_has_no_reader(tmp_path: Path) -> None:
    """Neither a signal strength nor the address beside it was read at the device, whatever is planned."""
    rssi = {"name": "rssi", "kind": "integer", "role": "rssi", "unit": "dBm", "required": False}
    site = small_site(tmp_path, settings=[*SETTINGS, rssi]).read("found.csv", as_csv(rows(TIMES)))
    site.readbacks.append(site.write("list.csv", "address,rssi,read_at\n11,-70,2026-03-31T16:00\n"))

    (one,) = site.result(*ON)["read_by"]

    assert (one["name"], one["devices"], one["last"]) == ("B. Example", 4, f"{DAY}T09:05")


def test_whoever_noted_nothing_but_the_battery_did_not_read_the_device(tmp_path: Path) -> None:
    """The verdict rests on settings; volts change from day to day."""
    volts = {"name": "volts", "kind": "decimal", "role": "battery_volts", "unit": "V", "step": 0.1,
             "required": False}  # fmt: skip
    noted = {"volts": "3.4", "channel": "", "address": ""}
    by_another = [{**noted, **row, "read_by": "A. Muster"} for row in ({"tag": "N-1", "read_at": LATER},)]
    site = small_site(tmp_path, settings=[*SETTINGS, volts]).read("found.csv", as_csv(rows(TIMES)))
    site.readbacks.append(site.write("volts.csv", as_csv(by_another)))

    assert [one["name"] for one in site.result(*ON)["read_by"]] == ["B. Example"]


def test_a_reading_that_was_replaced_does_not_count(tmp_path: Path) -> None:
    """The sheet of the first visit is still given, but the verdict rests on the second."""
    site = small_site(tmp_path).read("found.csv", as_csv(rows(TIMES)))
    again = [{**row, "read_by": "A. Muster"} for row in rows(dict.fromkeys(TIMES, "2026-03-31"))]
    site.readbacks.append(site.write("again.csv", as_csv(again)))

    assert [one["name"] for one in site.result(*ON)["read_by"]] == ["A. Muster"]


@pytest.mark.parametrize(("last", "rest"), [(8, "and 4 others: 4 devices"), (5, "and 1 other: 1 device")])
def test_of_many_readers_those_who_read_most_are_named(tmp_path: Path, last: int, rest: str) -> None:
    """The rest are counted."""
    nodes = [node(n) for n in range(1, last + 1)]
    readback = [{**row, "read_by": f"Reader {n}"} for n, row in enumerate(as_planned(nodes=nodes))]

    outcome = small_site(tmp_path, nodes=nodes).read("found.csv", as_csv(readback)).check(*ON)

    assert rest in outcome.stdout


def test_that_nothing_is_said_of_readers_is_said(tmp_path: Path) -> None:
    """No file has a column for who read the devices, or when."""
    rows = [{name: row[name] for name in row if not name.startswith("read_")} for row in as_planned()]
    outcome = small_site(tmp_path).read("found.csv", as_csv(rows)).check(*ON)

    assert "nothing says who read the devices, or when" in outcome.stdout


def test_the_plan_alone_has_no_reader(tmp_path: Path) -> None:
    """Nothing is said of readers where nothing was read."""
    site = small_site(tmp_path)
    site.readbacks.clear()

    assert site.result()["read_by"] == []


def test_somebody_may_be_called_key(tmp_path: Path) -> None:
    """A name is no access code unless there is a number in it."""
    outcome = small_site(tmp_path).read("found.csv", as_csv(rows(TIMES, read_by="A. Key"))).check(*ON)

    assert "read by A. Key: 4 devices" in outcome.stdout


def test_no_access_code_is_told_of_how_it_was_read(tmp_path: Path) -> None:
    """Neither beside a name nor among the words for how it was read; a long text is cut."""
    readback = rows(TIMES, read_by=f"B. Example, code {DIGITS}", read_how=f"menu with the access code {WORD}")
    readback[0]["read_how"] = "at the display, " * 9
    site = site_with_codes(tmp_path).read("found.csv", as_csv(readback))

    written = everything(site, "--on", "2026-04-01")

    assert codes_in(written) == []
    assert "read by (not shown): 4 devices" in written
    assert f"{'at the display, ' * 3}at the disp… (1)" in " ".join(written.split())
