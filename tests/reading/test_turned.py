"""Tables with a column for each device, and devices named by their file or sheet."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems, Problem
from audit.model.device import Setting
from audit.model.mapping import Mapping, MappingFile
from audit.model.table import Table
from audit.reading.csv_grid import MOST_COLUMNS
from audit.reading.inputs import Inputs
from audit.reading.readback import read_readback, read_tables
from audit.reading.vocabulary import vocabulary
from tests.reading.made import TYPE, WORDS, table
from tests.small_site import as_xlsx


def refused(text: str, **mapping: Any) -> list[Problem]:
    """Return what is wrong with a table."""
    with pytest.raises(InputProblems) as found:
        table(text, **mapping)
    return list(found.value.problems)


def read(path: Path, data: bytes | str, **mapping: Any) -> list[Table]:
    """Return the tables of a file that is read with a mapping."""
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    maps = MappingFile(asfound="mapping/1", mappings=(Mapping(**mapping),))
    return read_tables(path, maps, WORDS, Inputs(), "readback")


def readings(tables: list[Table], name: str) -> dict[str, str]:
    """Return what was read of a setting, by tag."""
    return {
        tag: text.strip()
        for one in tables
        for tag, text in zip(one.texts("tag"), one.texts(name), strict=True)
    }


ADDRESSED = vocabulary(
    [
        TYPE.model_copy(
            update={"settings": (*TYPE.settings, Setting(name="address", kind="integer", role="address"))}
        )
    ]
)
ACROSS = "Tag,A,B\nRADIO\nCH,7,8\nRange [x],,\nURV,1000,1600\n"


def test_each_column_is_a_device_and_each_text_has_its_own_place() -> None:
    """Whoever is to look at the display again finds the cell."""
    found = table(ACROSS, form="across")

    assert found.texts("tag") == ["A", "B"]
    assert found.columns["urv"].texts == ["1000", "1600"]
    assert found.place(1, "urv")[2:6] == (5, "C", "URV", "1600")
    assert found.place(0, "tag")[2:6] == (1, "B", "Tag", "A")


def test_units_beside_the_labels_are_those_of_their_rows() -> None:
    """1000 in bar is not 1000 kPa."""
    found = table("Tag,Unit,A\nCH,,7\nURV,bar,10\n", form="across")

    assert found.texts("tag") == ["A"]
    assert found.columns["urv"].style.unit == "bar"
    assert found.columns["channel"].style.unit == ""


@pytest.mark.parametrize(
    ("label", "mapping", "unit"),
    [("URV", {"units": {"range_high": "psi"}}, "psi"), ("URV [psi]", {}, "psi"), ("Ende", {}, "bar")],
)
def test_what_states_a_unit_more_closely_counts(label: str, mapping: dict[str, Any], unit: str) -> None:
    """As in a wide table, a mapping comes before a heading."""
    names = {"Ende": "urv"} if label == "Ende" else {}
    found = table(f"Tag,A,\nCH,7,\n{label},10,bar\n", form="across", columns=names, **mapping)

    assert found.columns["urv"].style.unit == unit


@pytest.mark.parametrize(
    ("text", "mapping"),
    [
        (",A,B\nCH,7,8\nURV,1000,1600\n", {}),
        ("Setting,A,B\nCH,7,8\nURV,1000,1600\n", {}),
        ("Setting,Value\nTag,A\nCH,7\nURV,1000\nTag,B\nCH,8\nURV,1600\n", {}),
        ("Parameter,A,B\nCH,7,8\nURV,1000,1600\n", {"columns": {"Parameter": "tag"}}),
        ("Tag,A,B,Remarks\nCH,7,8,wet\nURV,1000,1600,\n", {"ignore": ("Remarks",)}),
        ("Tag,A,B,\nCH,7,8,wet\nURV,1000,1600,\n", {"ignore": ("",)}),
        ("Tag,A\nCH,7\nURV,1000\n\nTag,B\nURV,1600\nCH,8\n", {}),
        ("Network,N\nTag,A\nCH,7\nURV,1000\nNetwork,S\nTag,B\nURV,1600\nCH,8\n", {}),
    ],
    ids=[
        "corner left blank",
        "corner with the word for it",
        "a list with a heading",
        "corner with a word",
        "remarks left out",
        "no heading",
        "one below the other",
        "with their networks above them",
    ],
)
def test_the_same_devices_in_other_layouts(text: str, mapping: dict[str, Any], tmp_path: Path) -> None:
    """They differ in what is around the readings."""
    found = read(tmp_path / "x.csv", text, form="across", **mapping)

    assert readings(found, "channel") == {"A": "7", "B": "8"}
    assert readings(found, "urv") == {"A": "1000", "B": "1600"}


@pytest.mark.parametrize(
    ("text", "place", "message", "mend"),
    [
        ("Item,A,B\nCH,7,8\nURV,10,16\n", (1, "B"), "no row says which devices the columns B, C are about",
         "if row 1 does, state `columns: {Item: tag}` in a mapping"),
        ("CH,7,8\nURV,10,16\n", (1, "B"), "no row says which devices the columns B, C are about",
         "head the row of their tags tag"),
        ("Tag,A,\nCH,7,8\nURV,10,16\n", (1, "C"), "the column has readings, but no tag or serial number",
         '`ignore: [""]`'),
        ("Tag,A\nCH,7\nWibble,10\n", (3, "A"), "unknown label 'Wibble'", "`columns` or `ignore`"),
        ("Tag,A\nCH,7\n,10\n", (3, "A"), "nothing at its left says what they are", '`ignore: [""]`'),
        ("Tag,A\nCH,7\nChannel,8\n", (3, "A"), "the labels 'CH' and 'Channel' both mean 'channel'", ""),
        ("tag,CH,urv\nA,7,1000\n4711,8,1000\n", (1, ""),
         "the settings are named in row 1, so each row is a device", "leave `form: across` out"),
        ("7,CH\n4711,access code\n10,URV\nA,Tag\n", (1, "A"),
         "the first column should name the settings, but column B does", "move column B before column A"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_told_at_its_place(
    text: str, place: tuple[int, str], message: str, mend: str
) -> None:
    """One problem says what to do; none quotes what may be an access code."""
    (problem,) = refused(text, form="across")

    assert (problem.line, problem.column) == place
    assert message in problem.message
    assert mend in problem.mend
    assert "4711" not in str(problem)


def test_a_file_with_thousands_of_labels_is_refused() -> None:
    """As one with as many headings is: to tell each of them takes minutes."""
    with pytest.raises(InputProblems, match="labels below each other"):
        table("Tag,A\n" + "".join(f"x{n},7\n" for n in range(MOST_COLUMNS)), form="across")


def test_access_codes_are_hidden() -> None:
    """As in every other form."""
    found = table("Tag,A,B\nCH,7,8\nAccess code,4711,4711\n", form="across")

    assert "4711" not in str(found)
    assert found.columns["access_code"].codes


def test_records_are_not_turned(tmp_path: Path) -> None:
    """They have names for their values, and no columns."""
    with pytest.raises(InputProblems, match="`form: across` is not for"):
        read(tmp_path / "x.json", '[{"tag": "A", "channel": 7}]', form="across")


def pages(*rows: tuple[Any, ...]) -> bytes:
    """Return a workbook with a sheet for each of two devices, and one that is about none."""
    return as_xlsx({"A": list(rows), "B": list(rows), "Cover": [("Elder Ford", "May"), ("by", "R. Sample")]})


LONG = [("Setting", "Value"), ("CH", 7), ("URV", 1000), ("enc", "on")]


@pytest.mark.parametrize(
    ("rows", "mapping"),
    [
        (LONG, {}),
        (LONG[1:], {"form": "across"}),
        ([("Node sheet",), (), *LONG[1:]], {"form": "across"}),
        ([("Item", "as found", "as left"), ("CH", 5, 7), ("URV", 5, 1000), ("enc", "off", "on")],
         {"form": "across", "ignore": ("Item", "as found")}),
        ([("CH", "URV"), (7, 1000)], {}),
        ([("Kanal", "Ende", "Wer"), (7, 1000, "x")],
         {"columns": {"Kanal": "CH", "Ende": "URV"}, "ignore": ("Wer",)}),
    ],
    ids=["long", "across", "across below a title", "one of two columns", "wide", "wide with other headings"],
)  # fmt: skip
def test_a_sheet_may_name_its_device(rows: list[Any], mapping: dict[str, Any], tmp_path: Path) -> None:
    """A workbook with a sheet for each node often says nowhere else which node it is."""
    found = read(tmp_path / "x.xlsx", pages(*rows), tag_from="sheet", **mapping)

    assert readings(found, "channel") == {"A": "7", "B": "7"}
    assert readings(found, "urv") == {"A": "1000", "B": "1000"}


def test_a_workbook_of_such_sheets_is_told_how_it_can_be_read(tmp_path: Path) -> None:
    """To state one sheet would lose all others."""
    path = tmp_path / "x.xlsx"
    path.write_bytes(pages(*LONG[1:]))
    with pytest.raises(InputProblems) as found:
        read_tables(path, None, WORDS, Inputs(), "readback")

    (problem,) = found.value.problems
    assert "'A' lists settings one below the other" in problem.mend
    assert "`form: across`" in problem.mend
    assert "`tag_from: sheet`" in problem.mend


def test_two_columns_of_a_device_named_by_its_sheet_are_told(tmp_path: Path) -> None:
    """As found and as left: which counts is not guessed."""
    rows = [("CH", 5, 7), ("URV", 5, 1000), ("enc", "off", "on")]
    with pytest.raises(InputProblems) as found:
        read(tmp_path / "x.xlsx", pages(*rows), form="across", tag_from="sheet")

    assert "the columns B, C have readings of one device" in str(found.value)


@pytest.mark.parametrize(
    ("name", "text", "mapping", "tag"),
    [
        ("PT-3.1.csv", "CH,URV\n7,1000\n", {}, "PT-3.1"),
        ("A.csv", "setting,value\nCH,7\n", {}, "A"),
        ("A.txt", "CH = 7\nURV = 1000\nenc = on\n", {"form": "across", "delimiter": "="}, "A"),
        ("A.yaml", "CH: 7\nURV: 1000\n", {}, "A"),
        ("A.json", '{"CH": {"value": 7}}', {"form": "long", "long": {"setting": "tag"}}, "A"),
        (
            "A.json",
            '{"radio": {"CH": 7}, "range": {"URV": 1}}',
            {"columns": {"radio.CH": "channel", "range.URV": "range_high"}},
            "A",
        ),
        ("A as left.csv", "CH\n7\n", {"values": {"tag": {"A as left": "A"}}}, "A"),
        ("A.csv", "tag,CH\nB,7\n", {}, "B"),
    ],
    ids=[
        "wide",
        "long",
        "lines of name = value",
        "lines of name: value",
        "records",
        "parts of a record",
        "translated",
        "its own tag",
    ],
)
def test_a_file_may_name_its_device(
    name: str, text: str, mapping: dict[str, Any], tag: str, tmp_path: Path
) -> None:
    """A file for each device, as exports make them; what the file itself says takes precedence."""
    (found,) = read(tmp_path / name, text, tag_from="file", **mapping)

    assert readings([found], "channel") == {tag: "7"}


def test_a_csv_has_no_sheet_that_names_its_device(tmp_path: Path) -> None:
    """The mapping says what is not there."""
    with pytest.raises(InputProblems, match="has no sheets"):
        read(tmp_path / "x.csv", "CH\n7\n", tag_from="sheet")


@pytest.mark.parametrize(
    ("text", "mapping", "warned"),
    [
        ("CH,address\n7,31\n", {}, True),
        ("setting,value\nCH,7\naddress,31\n", {}, True),
        ("CH,address\n7,31\n", {"tag_from": "file"}, False),
        ("serial,CH,address\n1,7,31\n", {}, False),
        ("CH,address\n7,31\n7,32\n", {}, False),
    ],
)
def test_a_file_about_a_device_that_only_its_address_names_is_told(
    text: str, mapping: dict[str, Any], *, warned: bool, tmp_path: Path
) -> None:
    """With a mis-keyed address it would be taken for another's, though the file is named for its device."""
    path, inputs = tmp_path / "A.csv", Inputs()
    path.write_text(text)
    maps = tmp_path / "m.yaml"
    maps.write_text(f"asfound: mapping/1\nmappings: [{json.dumps(mapping)}]\n")
    read_readback([path], maps, ADDRESSED, ["S"], inputs)

    assert any("`tag_from: file`" in str(warning) for warning in inputs.warnings) is warned


def test_what_is_at_the_foot_of_a_block_stays_there(tmp_path: Path) -> None:
    """The time of reading is that of the device above it, and so is a setting that is given twice."""
    blocks = "Tag,A\nCH,7\nread_at,2026-04-01\nTag,B\nCH,8\nread_at,2026-04-02\n"
    found = read(tmp_path / "x.csv", blocks, form="across")

    assert readings(found, "read_at") == {"A": "2026-04-01", "B": "2026-04-02"}
    with pytest.raises(InputProblems, match="both mean 'channel'"):
        read(
            tmp_path / "x.csv",
            "Tag,A\nCH,7\nread_at,2026-04-01\nChannel,9\nTag,B\nread_at,2026-04-02\n",
            form="across",
        )
