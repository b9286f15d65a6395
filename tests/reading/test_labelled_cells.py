"""Several settings in one cell, each behind its label."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.model.device import DeviceType
from audit.model.mapping import Mapping
from audit.reading.labelled_cells import are_labelled, labelled_values, labels
from audit.reading.vocabulary import vocabulary
from tests.exported_codes import DIGITS
from tests.refusing import assert_refused
from tests.small_site import ACCESS_CODE, SETTINGS, SmallSite, small_site

LOW = {"name": "low_alarm", "label": "L", "kind": "decimal", "role": "alarm_low", "unit": "kPa", "step": 0.1}
DELAY = {"name": "alarm_delay", "label": "DLY", "kind": "integer", "unit": "s"}
WORDS = vocabulary([DeviceType.model_validate_json(json.dumps(
    {"asfound": "device-type/1", "name": "node", "settings": [*SETTINGS, LOW, DELAY]}))])  # fmt: skip
KNOWN = labels(Mapping(ignore=("LL", "*"), columns={"Hoch": "high_alarm", "Größe": "alarm_delay"}), WORDS)
COMMA = labels(Mapping(decimal=",", grouping="."), WORDS)
BLANK = labels(Mapping(decimal=",", grouping=" ", columns={"AL1": "low_alarm", "AL": "high_alarm"}), WORDS)
REGISTER = """tag,address,Alarms,Unit
N-1,11,L 0.2 / H 7.8,bar
N-2,12,H=780; L=20,kPa
N-3,13,H 900 kPa,
N-4,14,-,
"""
LABELLED: dict[str, Any] = {"labelled": ["Alarms"], "ignore": ["Unit"]}


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("L 280 / H 780 kPa", {"low_alarm": "280 kPa", "high_alarm": "780 kPa"}),
        ("H=780; L=280", {"high_alarm": "780", "low_alarm": "280"}),
        ("H 90 m3/h / L 20 m3/h", {"high_alarm": "90 m3/h", "low_alarm": "20 m3/h"}),
        ("H780,L -5", {"high_alarm": "780", "low_alarm": "-5"}),
        ("H=-5; L: -20", {"high_alarm": "-5", "low_alarm": "-20"}),
        ("channel 7 / H 780 kPa", {"channel": "7", "high_alarm": "780 kPa"}),
        ("GRÖSSE 5 s / h 7 kPa", {"alarm_delay": "5 s", "high_alarm": "7 kPa"}),
        ("Größe 5 s", {"alarm_delay": "5 s"}),
        ("h: .5\nlow alarm: 0.2", {"high_alarm": ".5", "low_alarm": "0.2"}),
        ("H 90 L / L 20 L", {"high_alarm": "90 L", "low_alarm": "20 L"}),
        ("H 780 kPa DLY 5 s", {"high_alarm": "780 kPa", "alarm_delay": "5 s"}),
        ("H - / L n/a", {"high_alarm": "-", "low_alarm": "n/a"}),
        ("Hoch 7.8 bar", {"high_alarm": "7.8 bar"}),
        ("LL 5 / L 20", {"low_alarm": "20"}),
        ("L 20 / LL 5 kPa", {"low_alarm": "20 kPa"}),
    ],
)
def test_values_behind_their_labels(text: str, values: dict[str, str]) -> None:
    """A unit after the last value is that of all if it is the only one; ignored labels are left out."""
    assert labelled_values(text, KNOWN) == values


@pytest.mark.parametrize(
    "text",
    ["780", "H", "H high", "HH 90 / H 80", "H 80 / HH 90", "H 80 / H 90", "H 7,5", "H +5/-5", "H>80",
     "H 780 (test)", "L -20..H 80", "80 / L 20", "channel 7 / H 80 / encryption on"],
)  # fmt: skip
def test_anything_else_in_a_cell_is_not_read(text: str) -> None:
    """A number without a label, an unknown label, one label twice, or words."""
    assert labelled_values(text, KNOWN) is None


@pytest.mark.parametrize("text", ["H-780", "H-.5", "H - 780", "H= - 780", "L–280 / H–780"])
def test_a_dash_behind_a_label_may_be_no_sign(text: str) -> None:
    """A person who writes H-780 may mean 780."""
    assert labelled_values(text, KNOWN) is None


@pytest.mark.parametrize(
    "text", ["H 7.8 bar / L 2.8", "L 2.8 / H 7.8 bar / DLY 5 s", "L 280 kPa / H 780 / DLY 5"]
)
def test_a_number_without_unit_beside_one_with_a_unit_is_not_read(text: str) -> None:
    """It may be in the unit of the other, or in that of its setting."""
    assert labelled_values(text, KNOWN) is None


@pytest.mark.parametrize("text", ["H 5 L", "L 5 H", "DLY 5 s / H 5 L"])
def test_a_unit_that_may_be_a_label_without_a_value_is_not_read(text: str) -> None:
    """H 5 L is five litres, or a low alarm that somebody left open."""
    assert labelled_values(text, KNOWN) is None


@pytest.mark.parametrize("text", ["LİMİT 5", "Hıgh alarm 5", "ſ 5"])
def test_letters_that_another_language_has_are_not_those_of_a_label(text: str) -> None:
    """A label of a plant in such a language is in its mapping."""
    assert labelled_values(text, KNOWN) is None
    assert labelled_values("LİMİT 5", labels(Mapping(columns={"Limit": "low_alarm"}), WORDS)) is None
    assert labelled_values("LİMİT 5", labels(Mapping(columns={"LİMİT": "low_alarm"}), WORDS)) == {
        "low_alarm": "5"
    }


def test_numbers_are_written_as_the_mapping_declares() -> None:
    """A decimal comma is not taken for the end of a value."""
    assert labelled_values("H 1.250,5, L 7,5", COMMA) == {"high_alarm": "1.250,5", "low_alarm": "7,5"}
    assert labelled_values("H ,5; L=,2,", COMMA) == {"high_alarm": ",5", "low_alarm": ",2"}


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("AL 1 780 / AL1 280", {"high_alarm": "1 780", "low_alarm": "280"}),
        ("AL1: 780", {"low_alarm": "780"}),
        ("AL1 780", {"low_alarm": "780"}),
        ("AL12", {"high_alarm": "12"}),
        ("AL12 780", None),
        ("AL2 780", None),
    ],
)
def test_digits_of_a_label_are_not_those_of_its_value(text: str, values: dict[str, str] | None) -> None:
    """AL12 is not 2 behind AL1; AL2 780 is not 2780 behind AL."""
    assert labelled_values(text, BLANK) == values


VALUES = st.fixed_dictionaries({}, optional={
    name: st.decimals(-9999, 9999, places=1, allow_nan=False).map(str)
    for name in ("high_alarm", "low_alarm", "alarm_delay")
})  # fmt: skip


@given(VALUES.filter(bool), st.sampled_from([" / ", "; ", "\n", ", ", " ", "|"]), st.sampled_from(" =:"))
def test_every_cell_is_read_as_it_was_written(values: dict[str, str], mark: str, equals: str) -> None:
    """Whatever stands between label and value, or between one and the next."""
    text = mark.join(f"{name}{equals}{value}" for name, value in values.items())

    assert labelled_values(text, KNOWN) == values


@given(st.text(alphabet="HLDY 0123456789-+.,/;=:kPas", max_size=20))
def test_no_text_gives_a_number_that_it_does_not_have(text: str) -> None:
    """Each value is in the text, with a unit of the text."""
    for value in (labelled_values(text, KNOWN) or {}).values():
        number, _, unit = value.partition(" ")
        assert number in text
        assert unit in text


def registered(folder: Path, text: str = REGISTER, **mapping: Any) -> SmallSite:
    """Return a site whose nodes are in a register with a mapping; nothing was read yet."""
    tables = {"node_tables": [{"file": "register.csv", "mapping": "mapping.yaml"}]}
    site = small_site(folder, nodes=[], defaults={}, settings=[*SETTINGS, LOW], network_extra=tables)
    site.write("register.csv", text)
    site.mapping(**{**LABELLED, **mapping})
    site.readbacks.clear()
    return site


def planned(site: SmallSite) -> dict[str, list[str]]:
    """Return what is planned for the alarms of each node, the high one first."""
    names = ("high_alarm", "low_alarm")
    return {
        device["tag"]: [one["planned"] for one in device["settings"] if one["name"] in names]
        for device in site.result("--detail")["devices"] if device["tag"].startswith("N")
    }  # fmt: skip


def test_a_register_with_all_alarms_in_one_column(tmp_path: Path) -> None:
    """With the unit of each row in a column beside it. A dash plans no alarm."""
    units: dict[str, Any] = {"unit_columns": {"Unit": ["high_alarm", "low_alarm"]}, "ignore": []}

    assert planned(registered(tmp_path, **units)) == {
        "N-1": ["7.8 bar = 780 kPa", "0.2 bar = 20 kPa"],
        "N-2": ["780 kPa", "20 kPa"],
        "N-3": ["900 kPa"],
        "N-4": [],
    }


def test_a_table_with_a_column_for_each_node(tmp_path: Path) -> None:
    """Rows are then what columns are otherwise."""
    text = "tag,N-1,N-2\naddress,11,12\nAlarms,L 20 / H 780,H 900 kPa\n"

    assert planned(registered(tmp_path, text, form="across")) == {
        "N-1": ["780 kPa", "20 kPa"],
        "N-2": ["900 kPa"],
    }


def test_a_readback_may_have_them_too(tmp_path: Path) -> None:
    """The finding quotes the whole cell."""
    site = small_site(tmp_path, settings=[*SETTINGS, LOW])
    site.replace("{address: 11}", "{address: 11, high_alarm: 780}")
    site.read("found.csv", "tag,Alarms\nN-1,L 20 / H 700 kPa\n")

    result = site.result("--mapping", site.mapping(labelled=["Alarms"]))

    finding = next(one for one in result["findings"] if one["rule"] == "alarm-off-plan")
    assert finding["evidence"][0]["raw"] == "L 20 / H 700 kPa"


def test_a_cell_that_cannot_be_read_is_told_once(tmp_path: Path) -> None:
    """Not once for each setting that it might give."""
    site = registered(tmp_path, REGISTER.replace("H=780; L=20", "HH=900; H=780"))

    assert_refused(site, at="register.csv:3:C", mend="`ignore` in the mapping",
                   says="of N-2: 'HH=900; H=780' is not only settings behind their labels")  # fmt: skip


@pytest.mark.parametrize(
    ("text", "mapping", "says", "mend"),
    [
        ("tag,address\nN-1,11\n", {}, "register.csv has no column 'Alarms'", "known: address, tag"),
        ("tag,Alarms\nN-1,780\n", {}, "no cell of the column 'Alarms' can be read; '780' is not only",
         "labels and values"),
        ("tag,H,Alarms\nN-1,780,L 20 / H 780\n", {}, "two columns would give high_alarm", "`ignore`"),
        ("tag,Range,Alarms\nN-1,1-9,LRV 0 / H 8\n", {"split": {"Range": ["LRV", "URV"]}},
         "two columns would give range_low", "`ignore`"),
        ("tag,Alarms,More\nN-1,H 7,H 8\n", {"labelled": ["Alarms", "More"]}, "two columns", "`ignore`"),
    ],
)  # fmt: skip
def test_slips_in_the_mapping(
    text: str, mapping: dict[str, Any], says: str, mend: str, tmp_path: Path
) -> None:
    """Each at its line of the mapping."""
    assert_refused(registered(tmp_path, text, **mapping), at="mapping.yaml", says=says, mend=mend)


def test_an_access_code_in_such_a_cell_is_not_shown(tmp_path: Path) -> None:
    """The cell would be quoted as a whole, whether the label is left out or not."""
    site = registered(tmp_path, f"tag,Alarms\nN-1,H 7\nN-2,H 7 / Lock {DIGITS}\n", ignore=["Lock"])
    kind = {"asfound": "device-type/1", "name": "node"}
    code = {**ACCESS_CODE, "label": "Lock"}
    site.write("node.yaml", {**kind, "settings": [*SETTINGS, LOW, code]})

    told = assert_refused(
        site, at="register.csv:3:B", says="may have an access code here", mend="take it out"
    )

    assert DIGITS not in told


def test_rows_are_left_out_by_what_the_cell_says(tmp_path: Path) -> None:
    """Not by a part of it, nor by what a message calls a cell that cannot be read."""
    text = "tag,Alarms,Range\nN-1,L 20,\nN-2,spare,\nN-3,L 30,\nN-4,L 30,spare\n"
    left_out = {"Alarms": ["spare", "L 30 "], "Range": "spare"}
    site = registered(tmp_path, text, split={"Range": ["LRV", "URV"]}, leave_out=left_out, ignore=[])

    assert planned(site) == {"N-1": ["20 kPa"]}


def test_a_column_may_be_blank_so_far(tmp_path: Path) -> None:
    """Its rows can still be chosen by it."""
    site = registered(tmp_path, "tag,Alarms\nN-1,\nN-2,-\n", leave_out={"Alarms": "-"}, ignore=[])

    assert planned(site) == {"N-1": []}


def test_a_long_table_has_no_use_for_it(tmp_path: Path) -> None:
    """Each of its rows names its setting."""
    site = registered(tmp_path, "tag,setting,value,Alarms\nN-1,H,780,L 20\n")

    assert_refused(site, at="mapping.yaml", says="which `labelled` is not for", mend="leave it out")


def test_a_column_of_access_codes_is_not_read_so(tmp_path: Path) -> None:
    """Its cells would be quoted."""
    site = registered(tmp_path, "tag,CODE\nN-1,H 7\n", labelled=["CODE"], ignore=[])
    kind = {"asfound": "device-type/1", "name": "node"}
    site.write("node.yaml", {**kind, "settings": [*SETTINGS, ACCESS_CODE]})

    assert_refused(site, at="mapping.yaml", mend="name another column",
                   says="the column 'CODE' may have access codes, which are not shown")  # fmt: skip


def test_an_unknown_column_is_told_what_it_may_be(tmp_path: Path) -> None:
    """Whoever has such a register finds the key without reading the manual."""
    site = registered(tmp_path, labelled=[])

    assert_refused(
        site, at="register.csv:1:C", says="unknown column 'Alarms'", mend="name it under `labelled`"
    )
    assert not are_labelled(["0-10", "5", "kPa"], WORDS)
    assert not are_labelled(["L 20", "-", "none planned"], WORDS)
