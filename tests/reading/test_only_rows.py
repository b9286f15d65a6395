"""Rows that a mapping keeps, or leaves out, by what they say in a column."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.reading.identifiers import bare
from tests.exported_codes import DIGITS, WORD, codes_in, everything, in_memory, site_with_codes
from tests.reading.made import table
from tests.refusing import assert_refused, refusal
from tests.small_site import SmallSite, as_csv, as_planned, as_xlsx, small_site

AS_LEFT = {"only": {"State": "as left"}}
ROWS = [
    {"State": state, **row}
    for before, after in zip(as_planned(found={"N-2": {"channel": "9"}}), as_planned(), strict=True)
    for state, row in (("As found", before), (" AS  left ", after))
]
"""Two rows for each device, of which the second is as planned."""
HEADINGS = list(dict.fromkeys(key for row in ROWS for key in row))


def cells(rows: Sequence[dict[str, str]] = ROWS) -> list[list[str]]:
    """Return a heading row, and rows."""
    return [HEADINGS, *([row.get(key, "") for key in HEADINGS] for row in rows)]


def turned(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """Return rows as columns."""
    return [list(column) for column in zip(*rows, strict=True)]


def in_csv(rows: Sequence[Sequence[str]]) -> str:
    """Return cells as CSV."""
    return "\n".join(map(",".join, rows))


def merged(rows: Sequence[Sequence[str]], ranges: Sequence[str]) -> bytes:
    """Return cells as a workbook, some of them merged."""
    book = openpyxl.load_workbook(io.BytesIO(as_xlsx({"S": rows})))
    for one in ranges:
        book["S"].merge_cells(one)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def long() -> list[dict[str, str]]:
    """Return a row for each setting."""
    about = ("tag", "serial", "network", "State", "read_by")
    return [
        {**{key: row[key] for key in about}, "setting": name, "value": value}
        for row in ROWS for name, value in row.items() if name not in about
    ]  # fmt: skip


UNITS = {"range_low": "kPa", "range_high": "kPa", "high_alarm": "kPa"}
PAIRS = [f"{a}{row}:{b}{row}" for a, b in ("BC", "DE", "FG", "HI") for row in (2, 3)]
"""The tags and serial numbers above the two columns of each device."""
TABLES: list[Any] = [
    pytest.param("found.csv", as_csv(ROWS), {},
                 "4 rows left out by `only` in its mapping: State 'As found' (4)", id="wide"),
    pytest.param("found.csv", in_csv(cells([UNITS, *ROWS])), {}, "4 rows left out", id="a row of units"),
    pytest.param("found.csv", as_csv(long()), {}, "20 rows left out", id="long"),
    pytest.param("found.csv", in_csv(turned(cells())), {"form": "across"}, "4 columns left out", id="across"),
    pytest.param("found.json", json.dumps(ROWS), {}, "4 records left out", id="records"),
    pytest.param("found.yaml", {"of": [{"tag": tag, "list": [row for row in ROWS if row["tag"] == tag]}
                                       for tag in ("GW-1", "N-1", "N-2", "N-3")]},
                 {"records": "/of/*/list"}, "4 records left out", id="nested records"),
    pytest.param("found.yaml", {state: {row["tag"]: {**row, "State": ""} for row in ROWS[n::2]}
                                for n, state in enumerate(("as found", "as left"))},
                 {"records": "/*/*", "ignore": ["State"], "only": {"/*": ["as left"]}}, "/* 'as found' (4)",
                 id="keys of records"),
    pytest.param("found.xlsx", merged(cells(), [f"{c}{r}:{c}{r + 1}" for c in "BCD" for r in (2, 4, 6, 8)]),
                 {}, "4 rows left out", id="merged tags"),
    pytest.param("found.xlsx", merged(turned(cells()), PAIRS),
                 {"form": "across"}, "4 columns left out", id="merged tags across"),
    pytest.param("found.xlsx", as_xlsx({"L": cells(), "F": cells(ROWS[::2])}), {}, "8 rows left out",
                 id="a sheet of which nothing is left"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "content", "mapping", "told"), TABLES)
def test_only_rows_as_left_are_read_and_the_others_are_counted(
    tmp_path: Path, name: str, content: Any, mapping: dict[str, Any], told: str
) -> None:
    """Of each device one reading, which is as planned; how many others there are is told with the inputs."""
    site = small_site(tmp_path).read(name, content)
    own = site.mapping(**(AS_LEFT | mapping))

    result = site.result("--mapping", own)

    assert (result["verdict"], result["findings"]) == ("pass", [])
    (note,) = [one["note"] for one in result["inputs"] if Path(one["file"]).name == name]
    assert told in note
    assert "left out by `only`" in " ".join(site.check("--mapping", own).stdout.split())


def test_node_tables_of_a_plan_may_hold_several_stages(tmp_path: Path) -> None:
    """Only the nodes of the stage that is planned are read."""
    site = small_site(tmp_path, nodes=[], network_extra={
        "node_tables": [{"file": "nodes.csv", "mapping": "mapping.yaml"}]
    })  # fmt: skip
    rows = [f"N-{n},10000{n},{10 + n},{stage}" for n, stage in enumerate((1, 1, 2, 3), 1)]
    site.write("nodes.csv", "\n".join(("tag,serial,address,Stage", *rows)))
    site.mapping(only={"Stage": [1, "3"]})
    site.readbacks.clear()

    result = site.result("--detail")

    assert [one["note"] for one in result["inputs"] if one["note"]] == [
        "1 row left out by `only` in its mapping: Stage '2' (1)"
    ]
    assert {one["tag"] for one in result["devices"]} == {"GW-1", "N-1", "N-2", "N-4"}


REGISTER = """Rev,tag,serial,address,Status
Pump house,,,,
B,N-1,100001,11,active
A,N-2,100002,12,Removed
B,N-3,100003,13,
B,spare,-,14,
,Total,,3,
"""
"""A register of nodes as people keep it: with a title, a node that was removed, a spare, a total."""


def test_a_register_of_nodes_has_rows_that_are_no_nodes(tmp_path: Path) -> None:
    """Titles, totals, spares and removed nodes are told, and are no nodes."""
    site = small_site(tmp_path, nodes=[], network_extra={
        "node_tables": [{"file": "nodes.csv", "mapping": "mapping.yaml"}]
    })  # fmt: skip
    site.write("nodes.csv", REGISTER)
    site.mapping(leave_out={"Serial": ["", "-"], "Status": "removed"}, ignore=["Rev"])
    site.readbacks.clear()

    result = site.result("--detail")

    assert [one["note"] for one in result["inputs"] if one["note"]] == [
        "4 rows left out by `leave_out` in its mapping: "
        "Serial blank (2), Serial '-' (1), Status 'Removed' (1)"
    ]
    assert {one["tag"] for one in result["devices"]} == {"GW-1", "N-1", "N-3"}


def test_records_under_a_key_may_be_left_out(tmp_path: Path) -> None:
    """The key is called by its pointer, as under `only`."""
    records = {state: {row["tag"]: {**row, "State": ""} for row in ROWS[n::2]}
               for n, state in enumerate(("as found", "as left"))}  # fmt: skip
    site = small_site(tmp_path).read("found.yaml", records)
    own = site.mapping(records="/*/*", ignore=["State"], leave_out={"/*": "as found"})

    result = site.result("--mapping", own)

    assert (result["verdict"], result["findings"]) == ("pass", [])


def test_rows_may_be_kept_by_one_column_and_left_out_by_another() -> None:
    """A column may even do both."""
    text = "tag,State,Kind,CH\nA,left,node,1\nB,left,spare,2\nC,found,node,3\n"
    found = table(text, only={"State": "left"}, leave_out={"Kind": "spare", "State": "draft"})

    assert list(found.texts("tag")) == ["A"]


@pytest.mark.parametrize(
    ("name", "content", "mapping", "says", "mend"),
    [
        ("found.csv", as_csv(ROWS), {"only": {"State": "as-left"}},
         "8 rows left out by `only` in its mapping: State 'As found' (4), State 'AS left' (4)", "correct it"),
        ("found.csv", in_csv(turned(cells())), {"only": {"State": "x"}, "form": "across"},
         "8 columns left out", "correct it"),
        ("found.csv", as_csv(long()), {"only": {"Stat": "as left"}}, "no column 'Stat'", "nearest: State"),
        ("found.csv", as_csv([{"site": "Little Site", **row} for row in as_planned()]),
         {"only": {"site": "Other", "tag": "N-1"}}, "site 'Little Site' (4)", "correct it"),
        ("found.csv", as_csv(as_planned()).replace("read_by", "serial"),
         {"only": {"serial": "x"}, "ignore": ["serial"]}, "2 columns 'serial'", "its own"),
        ("found.csv", as_csv(long()), {"leave_out": {"Stat": "as found"}}, "no column 'Stat'",
         "nearest: State"),
        ("found.csv", as_csv(ROWS), {"leave_out": {"State": ["as found", "as left"]}},
         "8 rows left out by `leave_out` in its mapping", "correct it"),
        ("found.csv", as_csv(long()), {"only": {"value": "7"}}, "may have access codes", "another column"),
    ],
    ids=["a text", "a text across", "a heading", "a site", "two columns", "a heading to leave out",
         "every text", "a value"],
)  # fmt: skip
def test_slips_are_told_with_what_there_is(
    tmp_path: Path, name: str, content: str, mapping: dict[str, Any], says: str, mend: str
) -> None:
    """At their place in the mapping: nobody has to open the table to see how it is written there."""
    site = small_site(tmp_path).read(name, content)

    assert_refused(site, "--mapping", site.mapping(**mapping), at="mapping.yaml", says=says, mend=mend)


@pytest.mark.parametrize(
    ("content", "form", "what"),
    [(as_csv(ROWS), "wide", "column"), (in_csv(turned(cells())), "across", "label")],
)
def test_a_misspelt_heading_is_told_beside_the_column_that_it_leaves_unknown(
    tmp_path: Path, content: str, form: str, what: str
) -> None:
    """Otherwise somebody ignores that column, and only then learns why it was unknown."""
    site = small_site(tmp_path).read("found.csv", content)
    own = site.mapping(only={"Stat": "as left"}, form=form)

    first, second = refusal(site, "--mapping", own).problems

    assert f"unknown {what} 'State'" in first
    assert f"no {what} 'Stat'" in second


@given(
    st.lists(st.sampled_from(["as left", " As Left", "as found", "", "AS  LEFT", "left"]), min_size=1),
    st.sets(st.sampled_from(["as left", "left", "", "As found"]), min_size=1),
)
def test_each_row_is_either_kept_or_told(states: list[str], wanted: set[str]) -> None:
    """Every row has its own value, and keeps its place."""
    text = "".join(f"T{n},{state},{n}\n" for n, state in enumerate(states))
    found = table(f"tag,State,CH\n{text}", only={"State": tuple(wanted)})
    folded = {bare(one).casefold() for one in wanted}
    kept = [n for n, state in enumerate(states) if bare(state).casefold() in folded]

    assert found.columns["channel"].texts == [str(n) for n in kept]
    assert [found.place(k, "channel").row for k in range(len(kept))] == [n + 2 for n in kept]
    assert len(found.left_out.texts) == len(states) - len(kept)


def with_codes(site: SmallSite, rows: Sequence[dict[str, str]], name: str = "codes.csv") -> Path:
    """Make rows the readback of a site; return the mapping that keeps those as left."""
    site.read(name, as_csv(rows))
    return site.mapping(**AS_LEFT)


@pytest.mark.parametrize(
    "rows",
    [
        [{"access_code": WORD, **ROWS[2]}, ROWS[3], {"access_code": DIGITS, **ROWS[4]}, ROWS[5]],
        [{"tag": "N-1", "State": "as found", "setting": "CODE", "value": WORD},
         {"tag": "N-1", "State": "as left", "setting": "CH", "value": "7"}],
        [{"tag": "N-1", "State": "as found", "setting": "CH", "value": "7", "CODE": WORD},
         {"tag": "N-1", "State": "as left", "setting": "CH", "value": "7"}],
        [{"access_code": WORD, **ROWS[3]}, {"access_code": DIGITS, **ROWS[5]}, ROWS[0]],
    ],
    ids=["left out", "left out of a long table", "left out beside a setting", "kept"],
)  # fmt: skip
def test_codes_in_rows_that_are_left_out_leave_no_digest(tmp_path: Path, rows: list[dict[str, str]]) -> None:
    """They are in the file all the same, and are never shown."""
    site = site_with_codes(tmp_path)
    own = with_codes(site, rows)

    assert codes_in(everything(site, "--mapping", own)) == []
    assert codes_in(in_memory(site, own)) == []
    (noted,) = [one for one in site.result("--mapping", own)["inputs"] if one["file"].endswith("codes.csv")]
    assert noted["sha256"] is None
    assert "so its digest is withheld; " in noted["note"]
    assert "left out by `only`" in noted["note"]


def test_rows_without_codes_that_are_left_out_leave_the_digest(tmp_path: Path) -> None:
    """A blank below the heading of codes is none."""
    site = site_with_codes(tmp_path)
    own = with_codes(site, [{"access_code": "", **ROWS[2]}, ROWS[3]])

    (noted,) = [one for one in site.result("--mapping", own)["inputs"] if one["file"].endswith("codes.csv")]
    assert noted["sha256"] is not None


@pytest.mark.parametrize("ignore", [[], ["Code"]])
def test_a_column_of_codes_is_not_compared_with_a_mapping(tmp_path: Path, ignore: list[str]) -> None:
    """The mapping would hold a code, and what there is instead would be shown."""
    site = site_with_codes(tmp_path).read(
        "codes.csv", as_csv([{"Code": WORD, **ROWS[0]}, {"Code": DIGITS, **ROWS[1]}])
    )
    own = site.mapping(only={"Code": DIGITS}, ignore=["State", *ignore])

    written = assert_refused(
        site, "--mapping", own, at="mapping.yaml", says="may have access codes", mend="another"
    )

    assert codes_in(written) == []


def test_texts_of_a_column_that_may_have_codes_are_not_shown(tmp_path: Path) -> None:
    """Of a heading that no device type knows nobody can say what it means."""
    site = small_site(tmp_path).read(
        "codes.csv", as_csv([{"Entry PIN": DIGITS, **row} for row in as_planned()])
    )
    own = site.mapping(only={"Entry PIN": "x"})

    written = assert_refused(
        site, "--mapping", own, at="mapping.yaml", says="Entry PIN (not shown)", mend="correct"
    )

    assert codes_in(written) == []
