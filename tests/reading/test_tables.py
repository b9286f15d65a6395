"""Columns named as fields and settings: headings, mappings, long tables."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.model.mapping import LongForm
from audit.reading.csv_grid import read_csv
from audit.reading.inputs import Inputs
from audit.reading.mappings import read_mappings
from audit.reading.tables import to_table
from tests.reading.made import WORDS, file, table, texts


@pytest.mark.parametrize("heading", ["channel", "CHANNEL", " Channel ", "CH", "ch"])
def test_a_heading_is_a_name_label_or_role(heading: str) -> None:
    """A column is found by setting name or label, in any case."""
    assert texts(f"tag,{heading}\nA,7\n") == {"tag": ["A"], "channel": ["7"]}


@pytest.mark.parametrize(
    "heading", ["range_high", "Range high", "range-high [kPa]", "Range High (kPa)", "urv"]
)
def test_a_heading_may_be_a_role_with_a_unit(heading: str) -> None:
    """A role names the column as well, and a unit may follow it in brackets."""
    column = table(f"tag,{heading}\nA,7\n").columns["urv"]

    assert column.style.unit == ("kPa" if "kPa" in heading else "")


def test_two_columns_for_one_setting_are_a_problem() -> None:
    """It cannot be known which of two columns is meant."""
    with pytest.raises(InputProblems, match="both mean 'channel'"):
        texts("tag,channel,CH\nA,7,8\n")


def test_a_mapping_renames_ignores_and_adds() -> None:
    """A mapping renames columns, leaves columns out, and adds what applies to the whole file."""
    found = texts(
        "id,Kanal,Bem.,x\nA,7,hm,y\n",
        columns={"id": "tag", "Kanal": "channel"},
        ignore=("Bem.", "*"),
        constants={"network": "North"},
    )

    assert found == {"tag": ["A"], "channel": ["7"], "network": ["North"]}


def test_what_a_mapping_calls_blank_is_blank_in_any_case() -> None:
    """`K.A.` in the mapping is `k.a.` in the file, and an empty cell needs no mention."""
    style = table("tag,channel\nA,k.a.\n", blanks=("K.A.",)).columns["channel"].style

    assert [style.is_blank(text) for text in ("K.A.", "k.a.", "", "7")] == [True, True, True, False]


def test_a_constant_never_replaces_what_the_file_says() -> None:
    """A reading of 8 would have passed as the 7 of the mapping; a blank or a 7 contradicts nothing."""
    with pytest.raises(InputProblems, match=r":3:B: says '8', but the mapping gives a channel for the whole"):
        texts("tag,channel\nA,7\nB,8\n", constants={"channel": 7})

    assert texts("tag,channel\nA,7\nB,-\n", constants={"channel": 7})["channel"] == ["7", "7"]
    assert texts("tag,net\nA,9\n", constants={"net": 7}, ignore=("net",))["net"] == ["7"]


def test_a_constant_that_every_row_has_leaves_the_readings_where_they_are() -> None:
    """A finding about them quotes the row that was read, not the mapping."""
    found = table("tag,channel\nA,7\nB,7\n", constants={"channel": 7})

    assert (found.place(1, "channel").row, found.place(1, "channel").column) == (3, "B")


@pytest.mark.parametrize(
    ("heading", "units"), [("urv [psi]", {}), ("urv", {"urv": "psi"})], ids=["heading", "mapping"]
)
def test_a_constant_is_in_the_unit_of_its_column(heading: str, units: dict[str, str]) -> None:
    """Where the file says psi, what fills its blanks is no kPa, and what it says itself stays psi."""
    for text in (f"tag,{heading}\nA,145\nB,\n", f"tag,{heading}\nA,145\nB,145\n"):
        column = table(text, constants={"urv": 145}, units=units).columns["urv"]
        assert (list(column.texts), column.style.unit) == (["145", "145"], "psi")


def test_a_constant_without_a_column_is_in_the_unit_that_the_mapping_states() -> None:
    """It states the unit of the setting, whoever gives its value."""
    assert table("tag\nA\n", constants={"urv": 145}, units={"urv": "psi"}).columns["urv"].style.unit == "psi"


def test_an_access_code_that_a_constant_would_replace_is_not_shown() -> None:
    """It is a problem like any other, but the file's code stays in the file."""
    with pytest.raises(InputProblems) as caught:
        texts("tag,access_code\nA,4711\n", constants={"access_code": "0815"})

    assert "4711" not in str(caught.value)
    assert "0815" not in str(caught.value)


@pytest.mark.parametrize(
    "mapping",
    [{"columns": {"CH": "chanel"}}, {"constants": {"netwrok": "N"}}, {"columns": {"Kanal": "channel"}}],
    ids=["unknown setting", "unknown field", "column that is not there"],
)
def test_a_misspelt_mapping_is_a_problem(mapping: dict[str, Any]) -> None:
    """A mapping that names what does not exist is never ignored silently."""
    with pytest.raises(InputProblems, match=r"^mapping: .*'(chanel|netwrok|Kanal)'"):
        texts("tag,CH\nA,7\n", **mapping)


def test_headings_that_a_mapping_misspells_are_told() -> None:
    """That `files` or `sheet` are wrong is less likely."""
    with pytest.raises(InputProblems) as caught:
        texts("Messstelle,Kanal\nA,7\n", columns={"Messtelle": "tag", "Kanall": "CH"})

    assert caught.value.problems[-1].mend.startswith("nearest: Messstelle; or check whether `files`")


def test_a_long_table_becomes_wide_and_keeps_its_places() -> None:
    """Rows of single settings become one entry for each device; each value knows its own row."""
    found = table("tag,setting,value,unit\nA,channel,7,\nA,range_high,2.8,bar\nB,channel,8,\n")

    assert list(found.columns["channel"].texts) == ["7", "8"]
    assert list(found.columns["urv"].texts) == ["2.8 bar", ""]
    assert (found.place(0, "urv").row, found.place(1, "channel").row) == (3, 4)
    assert found.place(0, "urv").column == "C"
    assert (found.place(1, "urv").column, found.place(1, "urv").heading) == ("", "")


def test_a_setting_read_twice_makes_two_readings() -> None:
    """A long table in which a setting occurs again keeps both readings."""
    found = table("tag,setting,value\nA,channel,7\nA,channel,8\n")

    assert list(found.columns["channel"].texts) == ["7", "8"]
    assert list(found.columns["tag"].texts) == ["A", "A"]


def test_an_unknown_setting_in_a_long_table_is_told_with_its_row() -> None:
    """A row about a setting that no device type has is a problem at its place."""
    with pytest.raises(InputProblems, match="unknown setting 'chanel'") as error:
        table("tag,setting,value\nA,channel,7\nA,chanel,8\n")

    assert error.value.problems[0].line == 3


def test_the_columns_of_a_long_table_can_be_named() -> None:
    """A mapping says what the three columns are called, and may translate the settings."""
    long = LongForm(setting="Parameter", value="Wert")
    found = texts("tag,Parameter,Wert\nA,Kanal,7\n", form="long", long=long, columns={"Kanal": "channel"})

    assert found == {"tag": ["A"], "channel": ["7"]}


@pytest.mark.parametrize("text", ["tag,access_code\nA,8068\n", "tag,setting,value\nA,access code,8068\n"])
def test_codes_are_replaced_as_they_come_in(text: str) -> None:
    """No table contains a code, and no place shows one."""
    found = table(text)

    assert "8068" not in repr(found)
    assert found.place(0, "access_code").raw == "(not shown)"


def test_what_is_known_is_listed_once() -> None:
    """After the last heading that resembles no known one, tag and serial first."""
    with pytest.raises(InputProblems) as error:
        table("tag,Oben,Unten,chanel,Kanal\nA,1,2,3,4\n")

    assert [problem.mend.partition("; known: ")[2][:26] for problem in error.value.problems] == [
        "", "", "", "tag, serial, channel, urv,",
    ]  # fmt: skip


@pytest.mark.parametrize("heading", ['"Range\nhigh [psi]"', '"range high\n[psi]"', '"range_high  [psi]"'])
def test_a_unit_in_a_heading_of_two_lines_counts(heading: str) -> None:
    """Spreadsheets break long headings; without its unit 100 psi would pass for 100 kPa."""
    assert table(f"tag,{heading}\nA,7\n").columns["urv"].style.unit == "psi"


def test_constants_are_as_they_are_written(tmp_path: Path) -> None:
    """A network identity 0050 in a mapping is not 50."""
    path = tmp_path / "mapping.yaml"
    path.write_text("asfound: mapping/1\nmappings:\n  - constants: {net: 0050}\n", "utf-8")
    (mapping,) = read_mappings(path, Inputs()).mappings

    assert to_table(read_csv(file("x.csv", "tag\nA\n"), mapping), mapping, WORDS).columns["net"].texts == [
        "0050"
    ]


LONG = "tag,setting,value,unit\nA,net,0050,-\nA,channel,7,n/a\nA,urv,-,kPa\nB,urv,5,kPa\n"


def test_a_unit_that_says_that_there_is_none_is_no_unit() -> None:
    """Exports write - or n/a beside values without a unit, and units beside what was not read."""
    columns = table(LONG).columns

    assert columns["net"].texts == ["0050", ""]
    assert columns["channel"].texts == ["7", ""]
    assert columns["urv"].texts == ["-", "5 kPa"]


def test_a_setting_of_a_long_table_that_is_ignored_is_left_out() -> None:
    """Known ones too, as in a wide table; names of fields are not settings."""
    text = "tag,setting,value\nA,net,0050\nA,type,XL\nA,channel,7\n"
    assert set(table(text, ignore=("net", "type")).columns) == {"tag", "channel"}


def test_codes_of_a_long_table_are_translated_as_in_a_wide_one() -> None:
    """The same text is the same code in either form."""
    values = {"access_code": {"****": "0000"}}
    long = table("tag,setting,value\nA,access_code,****\n", values=values).columns["access_code"]
    wide = table("tag,access_code\nA,****\n", values=values).columns["access_code"]

    assert long.codes == wide.codes


def test_a_heading_mapped_to_decimal_mark_declares_it() -> None:
    """The mapping's own name for the column counts as well."""
    column = table("tag;Dez;urv\nA;comma;1,5\n", columns={"Dez": "decimal_mark"}).columns["urv"]
    assert column.style.decimal == ","


def test_a_mark_that_few_rows_declare_is_not_forced_on_the_others() -> None:
    """One row of twelve says comma, the others nothing: a point in these is not a slip."""
    few = table("tag;decimal_mark;urv\nA;comma;1,5\nB;;1.5\nC;;1.5\n").columns["urv"]
    most = table("tag;decimal_mark;urv\nA;comma;1,5\nB;comma;1,5\nC;;1,5\n").columns["urv"]
    assert (few.style.decimal, most.style.decimal) == (".,", ",")


@pytest.mark.parametrize(
    "text",
    [
        "tag,network,channel\nTA-11 ,S,7\nB,North,8\n",
        "tag,network,setting,value\nTA-11 ,S,channel,7\nB,North,channel,8\n",
    ],
    ids=["wide", "long"],
)
def test_values_of_a_mapping_translate_tags_and_networks_too(text: str) -> None:
    """An export uses its own program's names; what is written in the file is kept as evidence."""
    values = {"tag": {"TA-11": "T\u00c4-11"}, "network": {"S": "South"}}

    found = table(text, values=values)

    assert list(found.texts("tag")) == ["T\u00c4-11", "B"]
    assert list(found.texts("network")) == ["South", "North"]
    assert found.place(0, "tag").raw == "TA-11 "


@pytest.mark.parametrize(
    ("headings", "columns"),
    [
        ("tag,Low,High,Low,High", {}),
        ("tag,CH,Low,High,Low,High", {"Low": "urv", "High": "net"}),
        ("tag,CH,found,left,found,left,found,left,found,left", {}),
    ],
    ids=["unknown", "mapped", "many of them"],
)
def test_columns_with_one_heading_are_not_to_be_told_apart_by_a_mapping(
    headings: str, columns: dict[str, str]
) -> None:
    """To name `Low` under `columns` means both, and to ignore it loses both."""
    with pytest.raises(InputProblems) as refused:
        table(f"{headings}\nA{',7' * headings.count(',')}\n", columns=columns)

    mends = {problem.mend for problem in refused.value.problems}
    assert all("give each its own heading, such as the name of its setting" in mend for mend in mends)
    assert not any(mend.startswith(("name it", "ignore one")) for mend in mends)


def test_a_remark_in_a_column_that_is_ignored_is_no_heading() -> None:
    """Nothing else is wrong with the table, so its headings are not in two rows."""
    found = table("tag,CH,\nA,7,serial\nB,7,\n", ignore=("",))

    assert found.texts("tag") == ["A", "B"]


@pytest.mark.parametrize("nothing", ["-", "–", "—", "n/a", "N/A", "?", "none"])
def test_a_serial_number_that_says_not_read_is_blank(nothing: str) -> None:
    """Several devices without a label do not share one serial number; a tag may be any word."""
    found = texts(f"tag,serial,net\nA, {nothing} ,{nothing}\nNA,100002,A7\n")

    assert (found["tag"], found["serial"]) == (["A", "NA"], ["", "100002"])
    assert found["net"] == [nothing, "A7"]  # of a setting it is told later, as written


def test_a_mapping_says_what_means_that_there_is_no_serial_number() -> None:
    """What is then no blank, or is translated, is a serial number like any other."""
    text = "tag,serial\nA,-\nB,none\n"

    assert texts(text, blanks=("none",))["serial"] == ["-", ""]
    assert texts(text, values={"serial": {"-": "100001"}})["serial"] == ["100001", ""]


def test_what_said_not_read_is_quoted_as_written() -> None:
    """The place of a blank serial number keeps the text of its cell."""
    assert table("tag,serial\nA,-\n").place(0, "serial").raw == "-"
