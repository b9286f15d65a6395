"""Headings that a mapping spells in another case of letters, or with other blanks, than the file does."""

from __future__ import annotations

import json
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.model.mapping import Mapping
from audit.reading.mapped_names import among, key_for
from audit.reading.record_grid import read_records
from audit.reading.tables import to_table
from tests.reading.made import WORDS, file, texts

ANY_CASE: dict[str, Any] = {"columns": {"MESSSTELLE": "tag", "kanal_nr": "channel"}, "ignore": ("bemerkung",)}


def from_json(data: Any, **mapping: Any) -> dict[str, list[str]]:
    """Return the raw texts of a JSON file by field."""
    options = Mapping.model_validate(mapping)
    columns = to_table(read_records(file("x.json", json.dumps(data)), options), options, WORDS).columns
    return {name: list(column.texts) for name, column in columns.items()}


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("Messstelle,Kanal-Nr,Bemerkung\nA,7,x\nB,8,y\n", {}),
        ("Messstelle,setting,value\nA,Kanal Nr,7\nA,Bemerkung,x\nB,KANAL NR,8\n", {"form": "long"}),
        ("Messstelle,A,B\nKanal  Nr,7,8\nBemerkung,x,y\n", {"form": "across"}),
    ],
    ids=["wide", "long", "across"],
)
def test_a_mapping_spells_headings_in_any_case(text: str, form: dict[str, Any]) -> None:
    """They are recognised like those of settings: also the labels at the left, and what a row names."""
    assert texts(text, **ANY_CASE, **form) == {"tag": ["A", "B"], "channel": ["7", "8"]}


def test_rows_are_kept_by_a_heading_in_any_case() -> None:
    """Otherwise a mapping that is right to every reader would stop the run."""
    assert texts("tag,State,CH\nA,as found,9\nA,as left,7\n", only={"STATE": "as left"})["channel"] == ["7"]


def test_of_two_headings_that_differ_only_in_case_the_exact_one_counts() -> None:
    """The file tells them apart, so the mapping does: no reading is left out, or taken for another."""
    text = "tag,Net,NET,Wert,WERT\nA,1,2,3,4\n"

    found = texts(text, ignore=("Net", "WERT"), columns={"Wert": "channel"})
    assert found == {"tag": ["A"], "net": ["2"], "channel": ["3"]}
    assert texts(text, columns={"WERT": "channel"}, ignore=("NET", "*"))["channel"] == ["4"]
    with pytest.raises(InputProblems, match="no column 'wert'"):
        texts(text, columns={"wert": "channel"}, ignore=("Net", "*"))


def test_rows_are_not_kept_by_one_of_two_headings_alike() -> None:
    """Which of them is meant is not guessed."""
    text = "tag,STATE,State,CH\nA,x,y,7\nA,y,x,9\n"

    assert texts(text, only={"State": "y"}, ignore=("STATE",))["channel"] == ["7"]
    with pytest.raises(InputProblems, match="no column 'state'"):
        texts(text, only={"state": "y"}, ignore=("*",))


def test_the_key_spelled_like_a_heading_comes_before_another() -> None:
    """A mapping for several files may name what each of them has."""
    mapping = Mapping(columns={"CH": "channel"}, ignore=("ch",))
    keys = (*mapping.columns, *mapping.ignore)

    assert [key_for(text, keys, mapping) for text in ("CH", " ch", "Ch", "C H")] == ["CH", "ch", "CH", None]


@pytest.mark.parametrize("heading", ["-", "--", "_"])
def test_a_dash_is_no_blank_heading(heading: str) -> None:
    """What leaves out columns without a heading leaves out no column with one."""
    assert key_for(heading, [""], Mapping()) is None
    assert key_for(" ", [""], Mapping()) == ""


def test_headings_are_told_apart_by_what_is_in_the_file() -> None:
    """The same heading twice is no other spelling of it."""
    assert among(["CH", "ch ", "Net", "Net"], Mapping()).told_apart == {"ch"}


def test_keys_of_a_json_file_may_be_in_any_case() -> None:
    """Of the way to the records, of what stands on it, and of lists that are left out."""
    data = {"Export": {"Areas": {"A": {"Meta": {"Plant": "N"}, "Readings": [{"Kanal": 7, "Log": [1]}]}}}}
    mapping = {"records": "/export/areas/*/readings", "ignore": ("LOG",),
               "columns": {"/EXPORT/areas/*/meta/plant": "network", "KANAL": "channel"}}  # fmt: skip

    assert from_json(data, **mapping) == {"channel": ["7"], "tag": ["A"], "network": ["N"]}
    found = from_json([{"TAG": "A", "Kanal": 7, "Log": [1]}], columns={"kanal": "channel"}, ignore=("log",))
    assert found == {"tag": ["A"], "channel": ["7"]}


def test_of_two_keys_on_the_way_to_records_the_exact_one_counts() -> None:
    """One that is spelled like neither leads nowhere."""
    data = {"rows": [{"tag": "A"}], "Rows": [{"tag": "B"}]}

    assert from_json(data, records="/Rows")["tag"] == ["B"]
    with pytest.raises(InputProblems, match="has nothing at '/ROWS'"):
        from_json(data, records="/ROWS")
