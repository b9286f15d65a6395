"""Rows with the tag of one planned device and the serial number of another."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.folding.sites import QUIET
from tests.site_builder import audit_of

PLANNED: list[dict[str, Any]] = [
    {"serial": f"S{n + 1}", "address": 11 + n, "alarm_high": 100 + 10 * n} for n in range(5)
]
"""Five nodes A to E, told apart by address and alarm."""
NAMES = ["A", "B", "C", "D", "E"]


def rows(tags: list[str], serials: list[str], settings: list[int]) -> list[dict[str, Any]]:
    """Return rows with the settings planned for the nodes with these numbers."""
    shown = [{key: PLANNED[n][key] for key in ("address", "alarm_high")} for n in settings]
    return [{"tag": tag, "serial": serial} | one
            for tag, serial, one in zip(tags, serials, shown, strict=True)]  # fmt: skip


def said(folder: Path, found: Any) -> list[tuple[str, str | None]]:
    """Return rule and node of all findings on identities and on settings that differ."""
    return [(f.rule, f.node) for f in audit_of(folder, planned=PLANNED, found=found, **QUIET)]


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        pytest.param(1, [("node-not-read", "A"), ("tag-serial-mismatch", "B")], id="set as B"),
        pytest.param(0, [("tag-serial-mismatch", "A"), ("node-not-read", "B")], id="set as A"),
    ],
)
def test_the_settings_tell_whether_tag_or_serial_number_is_wrong(
    settings: int, told: list[tuple[str, str]], tmp_path: Path
) -> None:
    """A row has the tag of B and the serial number of A: it is about the one, and nobody read the other."""
    found = rows(NAMES[1:], ["S1", "S3", "S4", "S5"], [settings, 2, 3, 4])

    assert said(tmp_path, found) == told


@pytest.mark.parametrize("settings", [[1, 2, 3, 4], [0, 2, 3, 4]], ids=["of its tag", "of its number"])
def test_a_serial_number_in_another_spelling_tells_as_well(settings: list[int], tmp_path: Path) -> None:
    """An export that writes s01 for S1 still says that the row of B is about the device of A."""
    exact = said(tmp_path / "exact", rows(NAMES[1:], ["S1", "S3", "S4", "S5"], settings))
    found = rows(NAMES[1:], ["s01", "s03", "s04", "s05"], settings)

    told = said(tmp_path / "spelled", found)

    assert [one for one in told if one[0] not in ("tag-respelled", "identities-respelled")] == exact


def test_whose_serial_number_it_is_is_told_in_another_spelling_too(tmp_path: Path) -> None:
    """Set as B, under the tag of B, with the number of A written otherwise."""
    findings = audit_of(tmp_path, planned=PLANNED, found=rows(["B"], ["s01"], [1]), **QUIET)

    (told,) = (f.message for f in findings if f.rule == "tag-serial-mismatch")
    assert told == "B is planned with serial S2 and was found with s01, the serial of A"


def test_units_that_changed_places_are_told_in_another_spelling_of_their_numbers(tmp_path: Path) -> None:
    """A spreadsheet has made 70001.0 of 70001: A and B hang in each other's place, set for their own."""
    planned = [{"serial": f"7000{n + 1}", "address": 11 + n} for n in range(3)]
    found = [{"tag": tag, "serial": f"7000{n + 1}.0", "address": 11 + n}
             for tag, n in (("B", 0), ("A", 1), ("C", 2))]  # fmt: skip

    told = {f.rule for f in audit_of(tmp_path, planned=planned, found=found, **QUIET)}

    assert "units-swapped" in told
    assert "address-differs" not in told


def test_rows_that_name_each_other_are_decided_together(tmp_path: Path) -> None:
    """C shows settings that are planned for no device: what its neighbours show decides for it as well."""
    found = rows(NAMES, ["S2", "S3", "S4", "S5", ""], [0, 1, 2, 3, 4])
    found[2] |= {"address": 99, "alarm_high": 999}

    differ = {node for rule, node in said(tmp_path, found) if rule in ("address-differs", "alarm-off-plan")}
    assert differ == {"C"}


def test_a_list_that_gives_serial_numbers_alone_goes_with_the_sheet(tmp_path: Path) -> None:
    """The sheet shows that S2 is now A, so it is A in the gateway's list too."""
    sheet = rows(NAMES, ["S2", "S1", "S3", "S4", "S5"], [0, 1, 2, 3, 4])
    listed = [{"tag": None, "serial": row["serial"], "address": row["address"]} for row in sheet]

    assert said(tmp_path, {"sheet.csv": sheet, "list.csv": listed}) == [("serials-swapped", "A")]


def test_a_serial_number_beside_two_tags_goes_with_the_column(tmp_path: Path) -> None:
    """The tags have slipped down by a row, and the last device was written under its own tag as well."""
    found = rows([*NAMES[:4], "E"], ["S2", "S3", "S4", "S5", "S5"], [1, 2, 3, 4, 4])

    assert ("unplanned-node", "D") not in said(tmp_path, found)
    assert "address-duplicate" not in {rule for rule, _ in said(tmp_path, found)}


def test_a_serial_number_that_was_filled_down_names_nobody(tmp_path: Path) -> None:
    """The settings are those of the tags; where there are none, the tag has to do."""
    found = rows(NAMES, ["S1"] * 5, [0, 1, 2, 3, 4])
    found[3] = {"tag": "D", "serial": "S1"}

    assert "node-not-read" not in {rule for rule, _ in said(tmp_path, found)}


@pytest.mark.parametrize("settings", [0, 1])
def test_a_tag_and_a_serial_number_both_read_elsewhere_leave_it_to_the_settings(
    settings: int, tmp_path: Path
) -> None:
    """The older row shows A or B under the tag of B: what only A has must not pass as a reading of B."""
    found = rows([*NAMES, "B"], ["S1", "S2", "S3", "S4", "S5", "S1"], [0, 1, 2, 3, 4, settings])
    read_at = [f"2026-04-0{day}T08:00" for day in (2, 2, 2, 2, 2, 1)]
    found = [row | {"read_at": time} for row, time in zip(found, read_at, strict=True)]

    assert ("serial-corrected", "B" if settings else "A") in said(tmp_path, found)
    assert not {"address-differs", "alarm-off-plan"} & {rule for rule, _ in said(tmp_path, found)}


@pytest.mark.parametrize(
    ("then", "now", "told"), [(0, 1, "serials-swapped"), (1, 0, "units-swapped")], ids=["set", "set back"]
)
def test_of_two_readings_the_newer_tells_whose_settings_a_unit_has(
    then: int, now: int, told: str, tmp_path: Path
) -> None:
    """S1 and S2 hang in each other's place, and were set for it since the first reading, or set back."""
    found = rows(["B", "A", "B", "A"], ["S1", "S2"] * 2, [then, 1 - then, now, 1 - now])
    days = ["2026-04-01", "2026-04-01", "2026-04-02", "2026-04-02"]

    findings = said(tmp_path, [row | {"read_at": day} for row, day in zip(found, days, strict=True)])

    assert (told, "A") in findings
    assert not {"address-differs", "alarm-off-plan"} & {rule for rule, _ in findings}


@pytest.mark.parametrize("day", ["2026-04-02", "2026-03-31", ""], ids=["since", "before", "undated"])
def test_a_row_that_tells_nothing_of_two_units_leaves_it_to_the_others(day: str, tmp_path: Path) -> None:
    """A gateway's list has the same numbers beside the same tags, and no setting: the sheet tells."""
    found = rows(["B", "A"], ["S1", "S2"], [1, 0])
    listed = [{"tag": row["tag"], "serial": row["serial"], "rssi": -80, "read_at": day} for row in found]

    findings = said(tmp_path, {"sheet.csv": [row | {"read_at": "2026-04-01"} for row in found],
                               "list.csv": listed})  # fmt: skip

    assert ("serials-swapped", "A") in findings
    assert not {"address-differs", "alarm-off-plan"} & {rule for rule, _ in findings}


def test_rows_in_a_chain_that_each_tell_for_themselves_go_their_own_ways(tmp_path: Path) -> None:
    """One box is in another's place, one tag is mistyped: neither row decides for the other."""
    found = rows(["A", "B", "D", "E"], ["S2", "S3", "S4", "S5"], [0, 2, 3, 4])

    assert set(said(tmp_path, found)) == {
        ("tag-serial-mismatch", "A"), ("node-not-read", "B"), ("tag-serial-mismatch", "C"),
    }  # fmt: skip


def test_a_row_whose_tag_another_row_has_the_serial_number_of_is_not_that_device(tmp_path: Path) -> None:
    """The tags of B and C are crossed, and the second row has no serial number: both were read."""
    found = rows(["A", "C", "B", "D", "E"], ["S1", "S2", "", "S4", "S5"], [0, 1, 2, 3, 4])

    assert said(tmp_path, found) == [("tag-serial-mismatch", "B"), ("matched-by-settings", "C")]


def test_a_tag_written_twice_hides_no_device(tmp_path: Path) -> None:
    """The row of A has the tag of B and no serial number: no device must get another tag for that."""
    found = rows(["B", "B", "C", "D", "E"], ["", "S2", "S3", "S4", "S5"], [0, 1, 2, 3, 4])

    found_of = {f.rule: f for f in audit_of(tmp_path, planned=PLANNED, found=found, **QUIET)}

    assert found_of.keys() == {"matched-by-settings", "tag-duplicate"}
    assert found_of["matched-by-settings"].node == "A"
    assert found_of["tag-duplicate"].caused_by == found_of["matched-by-settings"].id


def test_a_second_reading_without_serial_number_is_the_same_device(tmp_path: Path) -> None:
    """It shows the settings of its tag as before, or those of no other unread device."""
    found = rows(["A", "B", "B", "C", "C"], ["S1", "S2", "", "S3", ""], [0, 1, 1, 2, 0])

    assert "matched-by-settings" not in {rule for rule, _ in said(tmp_path, found)}


def test_crossed_serial_numbers_of_two_nodes_of_one_tag(tmp_path: Path) -> None:
    """A tag used in two networks does not identify a device: the settings decide."""
    planned = [
        {"tag": "A", "serial": "S1", "network": "North", "address": 11, "alarm_high": 100},
        {"tag": "A", "serial": "S2", "network": "East", "address": 91, "alarm_high": 200},
    ]
    found = [planned[0] | {"serial": "S2"}, planned[1] | {"serial": "S1"}]

    rules = {f.rule for f in audit_of(tmp_path, planned=planned, found=found, **QUIET)}

    assert "serials-swapped" in rules
    assert not rules & {"address-differs", "alarm-off-plan"}
