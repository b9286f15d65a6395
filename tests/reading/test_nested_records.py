"""Records that lie deeper in a JSON or YAML file, with what stands on the way to them."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import InputProblems
from audit.model.mapping import Mapping
from audit.model.table import Table
from audit.reading.documents import read_document, with_marks
from audit.reading.marks import Document
from audit.reading.nested_records import nested_records, on_the_way, texts_outside
from audit.reading.record_grid import read_records
from audit.reading.record_lines import line_of
from audit.reading.tables import to_table
from tests.exported_codes import DIGITS, WORD, codes_in, everything, in_memory, site_with_codes
from tests.reading.made import WORDS, file

PARAMETERS: dict[str, Any] = {
    "made": "2026-04-01",
    "devices": [
        {"tag": "A", "info": {"serial": "0041"}, "parameters": [
            {"name": "CH", "value": 7, "unit": ""}, {"name": "URV", "value": 10, "unit": "bar"}]},
        {"tag": "B", "parameters": [{"name": "CH", "value": 8, "unit": ""}]},
        {"tag": "C", "parameters": []},
    ],
}  # fmt: skip
KEYED = {
    "A": {"radio": [{"name": "CH", "value": 7}], "process": [{"name": "URV", "value": "10 bar"}]},
    "B": {"radio": [{"name": "CH", "value": 8}]},
}
LONG: dict[str, Any] = {"form": "long", "long": {"setting": "name", "value": "value"}}


def read(name: str, data: Any, **mapping: Any) -> Table:
    """Return data as a table, written with a line for each value where it can be."""
    options = Mapping.model_validate(mapping)
    text = "\n".join(map(json.dumps, data)) if name.endswith("jsonl") else json.dumps(data, indent=1)
    return to_table(read_records(file(name, text), options), options, WORDS)


def readings(table: Table, name: str) -> dict[str, str]:
    """Return what was read of a setting, by tag."""
    return {
        tag: text.strip() for tag, text in zip(table.texts("tag"), table.texts(name), strict=True) if text
    }


@pytest.mark.parametrize("records", ["/devices/*/parameters", "/devices/*/parameters/*"])
@pytest.mark.parametrize("name", ["x.json", "x.yaml"])
def test_values_on_the_way_apply_to_each_record_below(name: str, records: str) -> None:
    """Also those in mappings beside the records, so that a serial number in one is not lost."""
    columns = {"info.serial": "serial", "made": "read_at"}
    found = read(name, PARAMETERS, records=records, columns=columns, **LONG)

    assert readings(found, "channel") == {"A": "7", "B": "8"}
    assert readings(found, "urv") == {"A": "10 bar"}
    assert readings(found, "serial") == {"A": "0041"}
    assert (found.texts("tag"), found.texts("read_at")) == (["A", "B"], ["2026-04-01"] * 2)


@pytest.mark.parametrize("name", ["x.json", "x.yaml"])
def test_what_is_nearest_to_a_record_counts(name: str) -> None:
    """The time of a reading is not that of the export; a blank in the record is not filled from elsewhere."""
    here: list[dict[str, Any]] = [{"CH": 7, "note": "in it"}, {"CH": 8, "note": None}, {"CH": 9}]
    devices = [{"tag": "A", "note": "beside it", "list": here}, {"tag": "B", "list": here[2:]}]
    found = read(name, {"note": "at the top", "devices": devices}, records="/devices/*/list")

    assert list(found.texts("note")) == ["in it", "", "beside it", "at the top"]


@pytest.mark.parametrize("name", ["x.json", "x.yaml"])
def test_each_value_and_key_on_the_way_has_its_own_line(name: str) -> None:
    """Whoever looks at a finding about a device finds what named it."""
    columns = {"/*": "tag"}
    text = json.dumps(PARAMETERS, indent=1).splitlines()
    found = read(name, PARAMETERS, records="/devices/*/parameters", ignore=("*",), **LONG)
    keyed = read(name, KEYED, records="/*/*", columns=columns, **LONG)

    assert '"tag": "B"' in text[found.place(1, "tag").row - 1]
    assert '"value": 8' in text[found.place(1, "channel").row - 1]
    assert found.place(1, "channel").raw.strip() == "8"
    text = json.dumps(KEYED, indent=1).splitlines()
    assert '"B": {' in text[keyed.place(1, "tag").row - 1]
    assert keyed.place(1, "tag")[3:6] == ("/*", "/*", "B")


@pytest.mark.parametrize(
    ("data", "mapping", "channels"),
    [
        ({"A": [{"name": "CH", "value": 7}]}, {"records": "/*", **LONG}, {"A": "7"}),
        (KEYED, {"records": "/*/radio", **LONG}, {"A": "7", "B": "8"}),
        (KEYED, {"records": "/*/*", "columns": {"/*": "tag"}, **LONG}, {"A": "7", "B": "8"}),
        (KEYED, {"records": "/*/*", "ignore": ("/*/*",), **LONG}, {"A": "7", "B": "8"}),
        ({"N": {"A": {"CH": 7}}}, {"records": "/*/*", "columns": {"/*": "network"}}, {"A": "7"}),
        ({"A": {"radio": {"CH": {"value": 7}}}},
         {"records": "/*/radio/*", "form": "long", "long": {"setting": "/*/radio/*"}}, {"A": "7"}),
        ({"x": {"Device": "A", "list": [{"CH": 7}]}}, {"records": "/*/list", "columns": {"Device": "tag"}},
         {"A": "7"}),
        ({"x": {"list": [{"CH": 7}]}}, {"records": "/*/list", "constants": {"tag": "A"}}, {"A": "7"}),
        ({"x": {"list": [{"CH": 7}]}}, {"records": "/*/list", "tag_from": "file"}, {"x": "7"}),
        ({"list": [{"name": "A", "of": [{"name": "CH", "value": 7}]}]},
         {"records": "/list/*/of", "columns": {"/list/*/name": "tag"}, **LONG}, {"A": "7"}),
        ({"list": [{"a/b": "A", "of": [{"CH": 7}]}]},
         {"records": "/list/*/of", "columns": {"/list/*/a~1b": "tag"}}, {"A": "7"}),
        ({"tag": "A", "of": [{"name": "CH", "value": 7}]}, {"records": "/of/*", **LONG}, {"A": "7"}),
        ({"A": {"list": None}, "B": {"list": [{"CH": 8}]}, "C": {}}, {"records": "/*/list"}, {"B": "8"}),
    ],
    ids=["lists under tags", "one of several lists", "all lists", "a key ignored", "networks and tags",
         "settings as keys", "a tag beside the list", "a tag in the mapping", "a tag in the file's name",
         "two keys of one name", "a key with a stroke", "one device alone", "nothing in some"],
)  # fmt: skip
@pytest.mark.parametrize("name", ["x.json", "x.yaml"])
def test_what_names_the_device(
    name: str, data: Any, mapping: dict[str, Any], channels: dict[str, str]
) -> None:
    """A key is the tag where nothing else is, and what is written like `records` names each of them."""
    assert readings(read(name, data, **mapping), "channel") == channels


def test_texts_that_are_in_no_record() -> None:
    """Only these may have access codes that no column hides."""
    data = {"by": "A. Sample", "of": [{"room": "Kiln"}, {"list": [{"tag": "N-1"}]}]}

    assert set(texts_outside(data, {("of", 1, "list")})) == {"by", "A. Sample", "of", "room", "Kiln", "list"}


def test_json_lines_are_a_list_of_what_is_on_each_line() -> None:
    """Their values stand on the line of the device."""
    lines = PARAMETERS["devices"][:2]
    found = read("x.jsonl", lines, records="/*/parameters", ignore=("*",), **LONG)

    assert readings(found, "channel") == {"A": "7", "B": "8"}
    assert [found.place(1, name).row for name in ("tag", "channel")] == [2, 2]


def test_keys_of_an_alias_are_their_own() -> None:
    """What an alias repeats has the places of the original, which stands under another tag."""
    text = "PT-31: &same\n  - {CH: 7}\nPT-32: *same\n"
    grid = read_records(file("x.yaml", text), Mapping(records="/*"))

    assert dict(zip(grid.headings, grid.columns, strict=True))["tag"] == ["PT-31", "PT-32"]


@pytest.mark.parametrize(
    ("data", "records", "message", "mend"),
    [
        (PARAMETERS, "/devices/*/parmeters", "has no records at '/devices/*/parmeters'", "correct `records`"),
        (KEYED, "/*/*", "nothing says which of them are tags", '{"/*": tag}`, or the same with "/*/*"'),
        ({"A": [7]}, "/*", "record 1 is '7', not a set of keys and values", "with `records`"),
        ({"A": [{"a": 1}], **dict.fromkeys(map(str, range(2001)), 1)}, "/*", "more than 2,000 keys", "file"),
    ],
)  # fmt: skip
def test_what_leads_to_no_records_is_told(data: Any, records: str, message: str, mend: str) -> None:
    """With what to state instead."""
    with pytest.raises(InputProblems) as refused:
        read("x.json", data, records=records)

    assert message in str(refused.value)
    assert mend in str(refused.value)


@pytest.mark.parametrize(
    ("data", "records"),
    [
        ({"devices": PARAMETERS["devices"]}, "/devices/*/parameters/*"),
        ([{"tag": "A", "a/b": [{"name": "CH"}]}], "/*/a~1b/*"),
        ({"tag": "A", "of": {"all": [{"name": "CH"}]}}, "/of/all/*"),
    ],
)
def test_a_list_of_readings_in_a_record_is_told_with_what_leads_to_it(data: Any, records: str) -> None:
    """Whoever states it as advised comes to the readings."""
    with pytest.raises(InputProblems) as refused:
        read("x.json", data)

    assert f"`records: {records}`" in str(refused.value)
    assert nested_records(data, records)


def test_a_row_without_a_name_is_told_at_its_line() -> None:
    """It was told at the number of its record."""
    data = {"devices": [{"parameters": [{"name": "CH", "value": n}]} for n in (7, 8)]}
    with pytest.raises(InputProblems) as refused:
        read("x.json", data, records="/devices/*/parameters", **LONG)

    (problem,) = refused.value.problems
    assert (problem.line, "names no device" in problem.message) == (5, True)
    assert "the key that has it under `columns`" in problem.mend


SCALARS = st.none() | st.booleans() | st.integers() | st.text('a"\\{}[],:é\n', max_size=4)
KEYS = st.text("ab/~é", min_size=1, max_size=2)
RECORD = st.dictionaries(KEYS, SCALARS, max_size=3)
DEVICE = st.fixed_dictionaries({"list": st.lists(RECORD, max_size=2)}).flatmap(
    lambda lists: st.dictionaries(KEYS, SCALARS | st.dictionaries(KEYS, SCALARS, max_size=2), max_size=3).map(
        lambda others: {**others, **lists}
    )
)
EXPORTS = st.lists(DEVICE, max_size=3) | st.dictionaries(KEYS, DEVICE, max_size=3)


@given(EXPORTS, st.integers(0, 2))
def test_all_records_are_found_with_the_lines_that_a_parser_with_places_gives(data: Any, indent: int) -> None:
    """Written down and parsed again as YAML, which shows where each value and key is."""
    document = read_document(file("x.json", json.dumps({"of": data}, indent=indent)))
    marked = with_marks(document)
    found = nested_records(document.data, "/of/*/list")
    devices = list(data.values()) if isinstance(data, dict) else data
    named = [pointer for one in found for group in one.way for _, pointer, *_ in group]
    way = on_the_way(found, Mapping(columns=dict.fromkeys(named, "tag")))

    expected = [(record, device) for device in devices for record in device["list"]]
    assert len(found) == len(expected)
    for one, (record, _) in zip(found, expected, strict=True):
        assert list(one.record) == list(record)
    outer = [{name: part.path for name, part in parts.items()} for parts in way]
    in_text, in_marks = (line_of(one, [nested.path for nested in found], outer) for one in (document, marked))
    for number, parts in enumerate(way, start=1):
        for name, part in parts.items():
            if part.name is None:
                assert marked.key(part.path).line == in_marks(number, name)
            elif name not in found[number - 1].record:
                assert in_text(number, name) == in_marks(number, name) == marked.mark(part.path).line


def test_a_document_without_such_a_way_has_no_records() -> None:
    """Whatever it is."""
    nowhere: list[Any] = [None, 7, "x", [], {}, [[]], {"a": 7}, [7]]
    for data in nowhere:
        assert nested_records(Document("x", data).data, "/*/a/*") == []


ANYTHING = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS | st.just("tag"), inner, max_size=3),
    max_leaves=12,
)
POINTERS = st.lists(st.just("*") | KEYS.filter("/".__ne__), max_size=4).map(
    lambda steps: "/".join(["", *steps])
)


@given(ANYTHING, POINTERS, st.sampled_from(["x.json", "x.yaml", "x.jsonl"]), st.sampled_from([{}, LONG]))
def test_whatever_a_file_holds_it_is_read_or_told(
    data: Any, records: str, name: str, form: dict[str, Any]
) -> None:
    """Each text of a grid has a line of the file."""
    text = json.dumps(data, indent=None if name == "x.jsonl" else 1)
    with suppress(InputProblems):
        grid = read_records(file(name, text), Mapping(records=records, **form))
        lines = {grid.row(entry, i) for entry in range(len(grid.rows)) for i in range(len(grid.headings))}
        assert lines <= {*range(1, text.count("\n") + 2)}


@pytest.mark.parametrize("name", ["codes.json", "codes.yaml"])
@pytest.mark.parametrize(
    ("data", "mapping"),
    [
        ({"of": [{"tag": "N-1", "list": [{"name": "CODE", "value": WORD}, {"name": "CH", "value": 7}]},
                 {"tag": "N-2", "list": [{"name": "access_code", "value": int(DIGITS)}]}]},
         {"records": "/of/*/list", **LONG}),
        ({"of": [{"tag": "N-1", "Code": WORD, "list": [{"name": "CH", "value": 7}]},
                 {"tag": "N-2", "Code": int(DIGITS), "list": [{"name": "CH", "value": 7}]}]},
         {"records": "/of/*/list", **LONG}),
        ({"N-1": {"CODE": {"value": WORD}}, "N-2": {"CODE": {"value": int(DIGITS)}}},
         {"records": "/*/*", "form": "long", "long": {"setting": "/*/*"}}),
        ({"N-1": {"radio": {"CH": 7}, "lock": {"CODE": WORD}}, "N-2": {"radio": {"CH": 7, "CODE": DIGITS}}},
         {"records": "/*/radio", "ignore": ["lock.CODE"]}),
        ({"N-1": {"radio": [{"CH": 7}], "lock": [{"CODE": WORD}]}}, {"records": "/*/radio"}),
        ({"N-1": {"radio": [{"CH": 7}], "lock": [{"name": "CODE", "value": WORD}]}}, {"records": "/*/radio"}),
    ],
    ids=["as settings", "beside the list", "settings as keys", "ignored", "not read", "a setting not read"],
)  # fmt: skip
def test_codes_on_the_way_are_never_shown(
    tmp_path: Path, name: str, data: dict[str, Any], mapping: dict[str, Any]
) -> None:
    """Wherever the export has them; and there is no digest, from which four digits are soon guessed."""
    site = site_with_codes(tmp_path).read(name, data)
    own = site.mapping(**mapping)

    assert codes_in(everything(site, "--mapping", own)) == []
    assert codes_in(in_memory(site, own)) == []
    noted = {Path(one["file"]).name: one["sha256"] for one in site.result("--mapping", own)["inputs"]}
    assert noted[name] is None
    assert noted["mapping.yaml"] is not None
