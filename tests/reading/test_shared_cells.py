"""Two numbers in one cell, and a unit in a cell that several numbers share."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.model.mapping import DEFAULT_BLANKS
from audit.model.table import NOT_TWO, Style
from audit.reading.shared_cells import are_pairs, are_units, two_numbers
from tests.exported_codes import DIGITS, site_with_codes
from tests.refusing import assert_refused, refusal
from tests.small_site import SmallSite, as_xlsx, small_site

STYLE = Style(blanks=frozenset(DEFAULT_BLANKS))
COMMA = Style(decimal=",", grouping=".", blanks=frozenset(DEFAULT_BLANKS))


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("0-1000", "0", "1000"),
        ("0 - 1000 kPa", "0 kPa", "1000 kPa"),
        ("0\u20131000\xa0kPa", "0 kPa", "1000 kPa"),
        ("0…10 bar g", "0 bar g", "10 bar g"),
        ("-20..120 °C", "-20 °C", "120 °C"),
        ("-1 to 9", "-1", "9"),
        ("-1-9", "-1", "9"),
        ("-100--50", "-100", "-50"),
        ("+5/-5", "+5", "-5"),
        ("0 bar bis 10 bar", "0 bar", "10 bar"),
        ("0 à 10 bar", "0 bar", "10 bar"),
        ("0/10 m3/h", "0 m3/h", "10 m3/h"),
        ("0-4000 NTU", "0 NTU", "4000 NTU"),
        ("1e-3-5", "1e-3", "5"),
        ("280 / -", "280", "-"),
        ("n/a; 780 kPa", "n/a", "780 kPa"),
        ("10-0", "10", "0"),
    ],
)
def test_two_numbers_are_taken_apart(text: str, low: str, high: str) -> None:
    """A unit after the second is that of both; what is planned nowhere beside `/` stays what it is."""
    assert two_numbers(text, STYLE, own="NTU") == (low, high)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [("0,5-1,5 bar", "0,5 bar", "1,5 bar"), ("0-1.600", "0", "1.600"), ("0,0…10,0", "0,0", "10,0")],
)
def test_numbers_are_written_as_the_mapping_declares(text: str, low: str, high: str) -> None:
    """With a decimal comma, and a point between thousands."""
    assert two_numbers(text, COMMA) == (low, high)


@pytest.mark.parametrize("text", ["", " ", "-", "n/a", "?", "kPa", "[bar]"])
def test_a_blank_or_a_unit_alone_is_both(text: str) -> None:
    """Nothing is planned or was read; and a row of units below the headings says the unit of both."""
    assert two_numbers(text, STYLE) == (text, text)


@pytest.mark.parametrize(
    "text",
    ["780", "-5", "0 -10", "0 bar - 10", "L 280 / H 780", "H 780", "0-10-20", "0 to 10 to 20", "2026-09-01",
     "0-1,000", "±5", "0-100 widgets", "=0.8*F2", "0-10 *1", "- 5", "5-", "1/2-3/4", "- 780"],
)  # fmt: skip
def test_what_may_be_read_otherwise_is_not_read(text: str) -> None:
    """A hyphen with a blank before it alone may be a sign, and 1-9 may have become a day in a spreadsheet."""
    assert two_numbers(text, STYLE) == (NOT_TWO + text, NOT_TWO + text)


NUMBERS = st.integers(-2000, 2000)
MARKS = st.sampled_from(["-", " - ", "..", "…", " to ", " bis ", "/", ";"])


@given(NUMBERS, NUMBERS, MARKS, st.sampled_from(["", " kPa", " bar g", "°C"]))
def test_every_pair_is_read_as_it_was_written(low: int, high: int, mark: str, unit: str) -> None:
    """Whatever the signs, both numbers come back."""
    first, second = two_numbers(f"{low}{mark}{high}{unit}", STYLE)

    assert (first.split(" ")[0], second.removesuffix(unit)) == (str(low), str(high))


@given(st.text(alphabet="0123456789-+.,/;… abekPKtois%=", max_size=14))
def test_no_text_gives_a_number_that_it_does_not_have(text: str) -> None:
    """Whatever is written, the two have its digits, once and in their order, or are told to be no pair."""
    first, second = two_numbers(text, STYLE)

    of_text, of_parts = ("".join(filter(str.isdigit, one)) for one in (text, first + second))
    assert first == second or of_parts == of_text


REGISTER = """tag,serial,address,Range,Unit,high_alarm
N-1,100001,11,0-10,bar,7.8
N-2,100002,12,0…1000,kPa,780
N-3,100003,13,0 to 100 psi,bar,-
"""
ACROSS = "tag,N-1,N-2\naddress,11,12\nRange,0-10,0-1000\nUnit,bar,kPa\nhigh_alarm,7.8,780\n"
SPLIT: dict[str, Any] = {"split": {"Range": ["range_low", "range_high"]}}
UNITS: dict[str, Any] = {"unit_columns": {"unit": ["LRV", "range_high", "high_alarm"]}}


def registered(folder: Path, text: str = REGISTER, **mapping: Any) -> SmallSite:
    """Return a site whose nodes are in a register with a mapping; nothing was read yet."""
    tables = {"node_tables": [{"file": "register.csv", "mapping": "mapping.yaml"}]}
    site = small_site(folder, nodes=[], defaults={}, network_extra=tables)
    site.write("register.csv", text)
    site.mapping(**mapping)
    site.readbacks.clear()
    return site


def planned(site: SmallSite) -> dict[str, list[str]]:
    """Return what is planned for each node: low and high end of the range, and high alarm if there is one."""
    names = ("range_low", "range_high", "high_alarm")
    return {
        device["tag"]: [one["planned"] for one in device["settings"] if one["name"] in names]
        for device in site.result("--detail")["devices"] if device["tag"].startswith("N")
    }  # fmt: skip


def test_a_register_with_ranges_in_one_cell_and_units_in_another(tmp_path: Path) -> None:
    """Ten bar were taken for ten kPa if the column of units was ignored. A unit in the cell itself counts."""
    assert planned(registered(tmp_path, **SPLIT, **UNITS)) == {
        "N-1": ["0 bar", "10 bar = 1000 kPa", "7.8 bar = 780 kPa"],
        "N-2": ["0 kPa", "1000 kPa", "780 kPa"],
        "N-3": ["0 psi", "100 psi = 689.475729 kPa"],
    }


@pytest.mark.parametrize("unit", ["", "-"])
def test_a_number_whose_row_gives_no_unit_is_not_clear(tmp_path: Path, unit: str) -> None:
    """Whoever leaves it blank may mean the one above. A blank, or a unit in the cell itself, needs none."""
    text = REGISTER.replace("0-10,bar,7.8", f"0-10 bar,{unit},7.8")

    says = "high_alarm of N-1: '7.8' has no unit in its row"
    site = registered(tmp_path, text, **SPLIT, **UNITS)

    assert_refused(site, at="register.csv:2:F", says=says, mend="followed by its unit")


def test_a_range_below_a_row_of_units(tmp_path: Path) -> None:
    """The unit is that of both ends; a unit in a row would count before it."""
    text = "tag,address,Range,high_alarm\n,,bar,kPa\nN-1,11,0-10,780\n"

    assert planned(registered(tmp_path, text, **SPLIT))["N-1"] == ["0 bar", "10 bar = 1000 kPa", "780 kPa"]


def test_a_unit_in_the_heading_of_a_range(tmp_path: Path) -> None:
    """As in the heading of any other column."""
    split = {"split": {"Range (bar)": ["range_low", "range_high"]}}
    text = "tag,address,Range (bar)\nN-1,11,0-10\n"

    assert planned(registered(tmp_path, text, **split))["N-1"][:2] == ["0 bar", "10 bar = 1000 kPa"]


def test_a_table_with_a_column_for_each_node(tmp_path: Path) -> None:
    """Rows are then what columns are otherwise."""
    found = planned(registered(tmp_path, ACROSS, form="across", **SPLIT, **UNITS))

    assert found["N-1"] == ["0 bar", "10 bar = 1000 kPa", "7.8 bar = 780 kPa"]
    assert found["N-2"] == ["0 kPa", "1000 kPa", "780 kPa"]


def test_a_merged_unit_is_that_of_all_its_rows(tmp_path: Path) -> None:
    """A unit is no reading, which would never be filled in."""
    rows = [["tag", "high_alarm", "Unit"], ["N-1", "7.8", "bar"], ["N-2", "7.8", ""]]
    book = openpyxl.load_workbook(io.BytesIO(as_xlsx({"S": rows})))
    book["S"].merge_cells("C2:C3")
    stream = io.BytesIO()
    book.save(stream)
    site = small_site(tmp_path).read("found.xlsx", stream.getvalue())

    result = site.result("--mapping", site.mapping(unit_columns={"Unit": ["high_alarm"]}))

    assert not [one for one in result["findings"] if one["setting"] == "high_alarm" and one["found"]]


def test_a_word_for_both_is_translated(tmp_path: Path) -> None:
    """Under the name of either."""
    mapping = {**SPLIT, "values": {"range_low": {"full": "0"}, "range_high": {"full": "1000"}}}

    found = planned(registered(tmp_path, "tag,address,Range\nN-1,11,full\n", **mapping))

    assert found["N-1"] == ["0 kPa", "1000 kPa"]


@pytest.mark.parametrize("form", ["wide", "across"])
def test_the_evidence_is_the_cell_as_it_is_written(tmp_path: Path, form: str) -> None:
    """Not the part of it, nor the number with a unit that stands elsewhere."""
    rows = [
        ["tag", "Range", "Unit", "high_alarm"],
        ["N-1", "0-8", "bar", "7.8"],
        ["N-2", "0-10", "bar", "7.8"],
    ]
    rows = [list(row) for row in zip(*rows, strict=True)] if form == "across" else rows
    site = small_site(tmp_path).read("found.csv", "\n".join(map(",".join, rows)))
    own = site.mapping(form=form, split=SPLIT["split"], unit_columns=UNITS["unit_columns"])

    (finding,) = [one for one in site.result("--mapping", own)["findings"] if one["rule"] == "range-differs"]

    place = finding["evidence"][0]
    assert (place["raw"], place["row"], place["column"]) == ("0-8", 2, "B")
    assert "range_high is 8 bar = 800 kPa, planned 1000 kPa" in finding["message"]


def test_a_cell_that_is_no_pair_is_told_where_it_is(tmp_path: Path) -> None:
    """With what would be one, and how to go on."""
    site = registered(tmp_path, REGISTER.replace("0…1000", "H 780"), **SPLIT, **UNITS)

    says = "range_low of N-2: 'H 780' is not two numbers, such as 0-1000"
    assert_refused(site, at="register.csv:3:D", says=says, mend="each in a column of its own")


def test_a_date_has_no_decimal_mark(tmp_path: Path) -> None:
    """It has its mark twice, and another mark would not make two numbers of it."""
    site = registered(tmp_path, "tag,address,Range\nN-1,11,0-9\nN-2,12,1.2.2026\n", decimal=",", **SPLIT)

    written = assert_refused(site, at="register.csv:3:C", says="'1.2.2026' is not two numbers",
                             mend="write both numbers")  # fmt: skip
    assert "`decimal" not in written


def test_cells_with_another_decimal_mark_are_told_together(tmp_path: Path) -> None:
    """It is one slip: a mapping that does not declare the comma."""
    rows = "tag;address;Range;Alarms\nN-1;11;0-8,5;H 7,8\nN-2;12;0-9,5;H 8,8\nN-3;13;0-9;H 7\n"
    site = registered(tmp_path, rows, delimiter=";", labelled=["Alarms"], **SPLIT)

    told = assert_refused(site, at="register.csv:2:C", mend="fix: state `decimal: ','` in its mapping",
                          says="; 3 more are like it, in 2 columns")  # fmt: skip

    assert told.endswith("; or write them as 0-8.5")


@pytest.mark.parametrize(
    ("declared", "cell", "written"),
    [(".", "0...8,5", "0...8.5"), (".", "0,5..8,5 kPa", "0.5..8.5 kPa"), (",", "0.5...8.5", "0,5...8,5")],
)
def test_dots_between_two_numbers_are_no_decimal_mark(
    declared: str, cell: str, written: str, tmp_path: Path
) -> None:
    """They stay, and a number behind them has its mark once."""
    rows = f"tag;address;Range\nN-1;11;{cell}\nN-2;12;0-9\n"
    site = registered(tmp_path, rows, delimiter=";", decimal=declared, **SPLIT)

    assert_refused(site, at="register.csv:2:C", says=f"'{cell}' is not two numbers",
                   mend=f"write {written}; or state `decimal:")  # fmt: skip


def test_a_cell_with_another_decimal_mark_is_told_how_it_is_written(tmp_path: Path) -> None:
    """A comma between two values stays."""
    rows = "tag;address;Alarms\nN-1;11;H 8,8, CH 7\nN-2;12;H 8\n"
    site = registered(tmp_path, rows, delimiter=";", labelled=["Alarms"])

    assert_refused(site, at="register.csv:2:C", says="'H 8,8, CH 7' is not only settings behind their labels",
                   mend="write H 8.8, CH 7; or state `decimal: ','`")  # fmt: skip


@pytest.mark.parametrize(
    ("mapping", "says", "mend"),
    [
        ({"split": {"Rang": ["range_low", "range_high"]}, "ignore": ["*"]}, "no column 'Rang'",
         "nearest: Range"),
        ({"split": {"Rang": ["range_low", "range_high"]}, "ignore": ["*"], "form": "across"},
         "no label 'Rang'", "nearest: Range"),
        ({"unit_columns": {"EU": ["range_low"]}, "ignore": ["*"]}, "no column 'EU'", "known: "),
        ({**SPLIT, "unit_columns": {"Unit": ["network_id"]}}, "not a setting with numbers", "known: "),
        ({"split": {"Range": ["range_low", "tag"]}, "ignore": ["Unit"]}, "names 'tag'", "known: "),
        ({"split": {"Range": ["high_alarm", "range_high"]}, "ignore": ["Unit"]}, "two columns would give",
         "`ignore`"),
        ({"form": "long", "long": {"setting": "Range", "value": "Unit"}, **SPLIT}, "a row for each setting",
         "`long` names"),
    ],
    ids=["a heading", "a label", "a heading of units", "a text", "a tag", "a setting twice", "a long table"],
)  # fmt: skip
def test_slips_are_told_at_their_place_in_the_mapping(
    tmp_path: Path, mapping: dict[str, Any], says: str, mend: str
) -> None:
    """Each with what there is."""
    text = ACROSS if mapping.get("form") == "across" else REGISTER

    assert_refused(registered(tmp_path, text, **mapping), at="mapping.yaml", says=says, mend=mend)


def test_a_column_of_codes_is_not_taken_apart(tmp_path: Path) -> None:
    """Its cells would be quoted as numbers."""
    site = site_with_codes(tmp_path).read("found.csv", f"tag,CODE\nN-1,{DIGITS}-{DIGITS}\n")
    own = site.mapping(split={"CODE": ["range_low", "range_high"]})

    written = assert_refused(
        site, "--mapping", own, at="mapping.yaml", says="may have access codes", mend="another"
    )

    assert DIGITS not in written


def test_ignored_units_are_told_with_the_inputs(tmp_path: Path) -> None:
    """Nothing else shows that a number stands beside another unit than the one it is read in."""
    site = registered(tmp_path, REGISTER.replace("psi", "bar"), **SPLIT, ignore=["Unit"])

    (note,) = [one["note"] for one in site.result()["inputs"] if one["note"]]

    assert note == "units left out by its mapping, so that no number is read in them: 'Unit'"


def test_units_in_which_no_number_is_read_stop_the_run_unless_somebody_ignores_them(tmp_path: Path) -> None:
    """`*` is no decision about them: bar would be read as kPa. Those of the device are no concern."""
    of_bar, of_kpa = REGISTER.replace("psi", "bar"), REGISTER.replace("psi", "kPa").replace(",bar,", ",kPa,")

    site = registered(tmp_path, of_bar, **SPLIT, ignore=["*"])
    says = "'Unit' has units, such as bar, in which no number is read"

    assert_refused(site, at="register.csv:1:E", says=says, mend="`unit_columns`")
    assert planned(registered(tmp_path, of_kpa, **SPLIT, ignore=["*"]))["N-1"] == [
        "0 kPa",
        "10 kPa",
        "7.8 kPa",
    ]


def test_an_unknown_column_is_told_what_the_mapping_can_make_of_it(tmp_path: Path) -> None:
    """Otherwise somebody ignores the units, and every number is wrong."""
    of_range, of_unit = refusal(registered(tmp_path)).problems

    assert "name it under `split` in a mapping" in of_range
    assert "name it under `unit_columns` in a mapping" in of_unit


@pytest.mark.parametrize(
    ("texts", "units", "pairs"),
    [
        (["bar", "kPa g", ""], True, False),
        (["m", "-"], True, False),
        (["bar", "N/A", "None"], True, False),
        (["A", "C", "F"], False, False),
        (["bar", "see note"], False, False),
        (["0-10", "0..5 bar", "?"], False, True),
        (["0-10", "NA", "Not read"], False, True),
        (["0-10", "on", "off"], False, False),
        (["", ""], False, False),
    ],
)
def test_what_a_column_holds(texts: list[str], units: bool, pairs: bool) -> None:
    """Letters of revisions are also those of ampere, degrees Celsius and Fahrenheit."""
    assert (are_units(texts), are_pairs(texts)) == (units, pairs)


def test_a_readback_with_a_bad_pair_stops_nothing(tmp_path: Path) -> None:
    """One cell of a readback is a finding, and the other rows are compared."""
    site = small_site(tmp_path).read("found.csv", "tag,Range\nN-1,0-1000\nN-2,ca. 1000\n")
    own = site.mapping(**SPLIT)

    unclear = [one for one in site.result("--mapping", own)["findings"] if one["rule"] == "reading-unclear"]

    assert {one["node"] for one in unclear} == {"N-2"}
