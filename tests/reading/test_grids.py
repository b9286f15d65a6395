"""Tables as written: CSV, workbooks, JSON and YAML, each with rows, columns and places."""

from __future__ import annotations

import csv
import datetime
import io
import json
import unicodedata
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from audit.errors import InputProblems
from audit.model.mapping import Mapping
from audit.reading.csv_grid import read_csv
from audit.reading.grid import Grid
from audit.reading.record_grid import read_records
from audit.reading.sheet_grid import read_sheets
from audit.reading.vocabulary import vocabulary
from tests.reading.made import file

WORDS = vocabulary([])


def table(data: bytes | str, **mapping: object) -> Grid:
    """Return a CSV as a grid."""
    return read_csv(file("x.csv", data), Mapping(**mapping))  # type: ignore[arg-type]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_the_delimiter_is_seen_in_the_heading_row(delimiter: str) -> None:
    """The delimiter that splits the heading row best is the delimiter."""
    grid = table(f"tag{delimiter}channel\nA{delimiter}7\n")

    assert grid.headings == ["tag", "channel"]
    assert grid.columns == [["A"], ["7"]]


@pytest.mark.parametrize(
    ("data", "encoding"),
    [
        (b"\xef\xbb\xbftag;where\nA;K\xc3\xb6\n", ""),
        (b"tag;where\nA;K\xf6\n", "cp1252"),
        ("tag;where\nA;Kö\n".encode("utf-16"), ""),
    ],
    ids=["byte order mark", "cp1252 as declared", "utf-16"],
)
def test_encodings(data: bytes, encoding: str) -> None:
    """UTF-8 with or without a mark and UTF-16 are read as they are, others as declared."""
    grid = table(data, encoding=encoding)

    assert grid.headings == ["tag", "where"]
    assert grid.columns[1] == ["Kö"]


def test_rows_keep_their_line_numbers() -> None:
    """Blank lines, skipped rows and line breaks in cells do not shift the line of a row."""
    grid = table('readback of\n\ntag,note\n\nA,"two\nlines"\n,\nB,x\n', skip_rows=1)

    assert grid.heading_row == 3
    assert list(grid.rows) == [5, 8]
    assert grid.columns[0] == ["A", "B"]


@pytest.mark.parametrize(
    ("data", "message", "mend"),
    [
        (b"%PDF-1.4\n%\xe2\xe3\n", "is a PDF, whatever its name", "as CSV or XLSX"),
        (b"{\\rtf1\\ansi tag CH}", "is a formatted document", "as CSV or XLSX"),
        (b"\n<!DOCTYPE HTML><table><tr><td>tag", "is a web page", "as CSV or XLSX"),
        (b"\xef\xbb\xbf<html><table>", "is a web page", "as CSV or XLSX"),
        ("tag,CH\nA,7\n".encode("utf-16-le"), "contains NUL bytes", "`encoding: utf-16-le`"),
        ("tag,CH\nA,7\n".encode("utf-16-be"), "contains NUL bytes", "`encoding: utf-16-be`"),
        (b"PK\x03\x04\x00\x00\x00", "contains NUL bytes", "must end in .xlsx"),
    ],
)
def test_what_is_not_a_table_of_text_is_told(data: bytes, message: str, mend: str) -> None:
    """Neither to state an encoding nor to name columns would help."""
    with pytest.raises(InputProblems) as refused:
        table(data)

    (problem,) = refused.value.problems
    assert message in problem.message
    assert mend in problem.mend


@pytest.mark.parametrize(
    "text",
    [
        "| tag | CH |\n|-----|:--:|\n| A | 7 |\n\n| B | 8 |\n",
        '| tag | CH |\r\n|---|---|\r\n| A | 7 |\r\n\r\n| B | "8" |\r\n',
        " tag | CH \n-----+----\n A | 7\n\n B | 8\n",
    ],
    ids=["Markdown", "with quotation marks", "as databases print it"],
)
def test_a_rule_below_the_headings_is_no_device(text: str) -> None:
    """A report would say that a device '---' was found."""
    found = table(text)
    tags = found.columns[[heading.strip() for heading in found.headings].index("tag")]

    assert [tag.strip() for tag in tags] == ["A", "B"]
    assert list(found.rows) == [3, 5]


def test_a_row_of_blanks_between_bars_is_kept() -> None:
    """`--` means not read."""
    assert table("tag|CH\n--|--\nA|7\n").rows == range(2, 4)


def test_a_short_row_is_filled_up_and_a_long_one_refused() -> None:
    """Missing cells at the end are blank; cells beyond the headings are a problem with its line."""
    assert table("tag,a,b\nA,1\n").columns == [["A"], ["1"], [""]]
    with pytest.raises(InputProblems) as error:
        table("tag,a\nA,1,2\nB,1,,\nC,2,3\n")

    assert [problem.line for problem in error.value.problems] == [2, 4]


@pytest.mark.parametrize(
    "text",
    ["a,b\n1,2\n3\n", "a,b\n1\n2,3\n4", "a,b\n1,2\n3,4", "a,b\n1"],
    ids=["with a line end", "not the only short row", "as wide as the others", "no other row"],
)
def test_only_a_last_row_that_breaks_off_is_taken_for_cut_off(text: str) -> None:
    """A row that lacks cells as others do, or has its end, was written so."""
    assert table(text).rows


def test_an_open_quotation_mark_is_told_with_its_line() -> None:
    """A quotation mark that never closes is a problem, not one giant cell."""
    with pytest.raises(InputProblems, match=r"x\.csv:2: a quotation mark opened here is never closed"):
        table('tag,a\nA,"1\nB,2\n')


cells = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=8)


@example([("", "A\u0308", "\uf900")])
@given(st.lists(st.tuples(cells, cells, cells), max_size=20))
def test_what_a_csv_writer_wrote_is_read_back(rows: list[tuple[str, str, str]]) -> None:
    """Whatever is in the cells, the reader returns what a writer wrote, with letters composed (NFC)."""
    stream = io.StringIO()
    writer = csv.writer(stream)
    writer.writerow(["tag", "a", "b", "c"])
    writer.writerows([["t", *row] for row in rows])
    grid = table(stream.getvalue())

    composed = [tuple(unicodedata.normalize("NFC", cell) for cell in row) for row in rows]
    assert list(zip(*grid.columns, strict=True)) == [("t", *row) for row in composed]


def workbook(rows: list[list[object]], title: str = "Sheet", more: tuple[str, ...] = ()) -> bytes:
    """Return a workbook as bytes."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = title
    for row in rows:
        sheet.append(row)
    for name in more:
        book.create_sheet(name)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def test_cells_of_a_workbook_become_text() -> None:
    """Whole numbers lose the point that a workbook stores, texts keep their zeros, dates are in ISO form."""
    day = datetime.datetime(2026, 4, 3)
    rows: list[list[object]] = [["tag", "a", "b", "c"], ["007", 37, 7.25, day], ["A", True, None, "0037"]]
    (grid,) = read_sheets(file("x.xlsx", workbook(rows)), Mapping(), WORDS)

    assert grid.columns == [["007", "A"], ["37", "true"], ["7.25", ""], ["2026-04-03", "0037"]]
    assert list(grid.rows) == [2, 3]
    assert grid.letters == ["A", "B", "C", "D"]


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (datetime.datetime(2026, 5, 4, 8, 31, 50), "2026-05-04T08:31:50"),
        (datetime.datetime(2026, 5, 4, 8, 31, 49, 999600), "2026-05-04T08:31:50"),
        (datetime.datetime(2026, 5, 4, 8, 31), "2026-05-04T08:31"),
        (datetime.datetime(2026, 5, 3, 23, 59, 59, 999600), "2026-05-04"),
        (datetime.datetime(9999, 12, 31, 23, 59, 59, 700000), "9999-12-31T23:59:59"),
    ],
)
def test_date_cells_are_read_to_the_second(cell: datetime.datetime, text: str) -> None:
    """As in a CSV: of two readings in one minute the newer one counts. Cell times are not exact."""
    (grid,) = read_sheets(file("x.xlsx", workbook([["tag", "read_at"], ["A", cell]])), Mapping(), WORDS)

    assert grid.columns[1] == [text]


def test_a_sheet_is_chosen_by_name() -> None:
    """The mapping names the sheet; a name that does not exist is reported with those that do."""
    data = workbook([["tag"], ["A"]], "North", more=("Notes",))

    assert read_sheets(file("x.xlsx", data), Mapping(sheet="North"), WORDS)[0].sheet == "North"
    with pytest.raises(InputProblems, match="no sheet 'Nort'") as error:
        read_sheets(file("x.xlsx", data), Mapping(sheet="Nort"), WORDS)
    assert "North" in error.value.problems[0].mend


def test_nested_records_are_flattened() -> None:
    """Keys of nested records are joined with points; numbers keep their spelling."""
    data = json.dumps({"out": {"list": [{"tag": "A", "radio": {"ch": 7}}, {"tag": "B", "v": True}]}})
    grid = read_records(file("x.json", data.replace("7", "7.50")), Mapping(records="/out/list"))

    assert dict(zip(grid.headings, grid.columns, strict=True)) == {
        "tag": ["A", "B"],
        "radio.ch": ["7.50", ""],
        "v": ["", "true"],
    }
    assert list(grid.rows) == [1, 2]


def test_yaml_records_keep_raw_text_and_lines() -> None:
    """A YAML readback keeps each value as typed, with its line."""
    text = "- tag: A\n  channel: 016\n- tag: B\n  channel: 1e3\n"
    grid = read_records(file("x.yaml", text), Mapping())

    assert dict(zip(grid.headings, grid.columns, strict=True))["channel"] == ["016", "1e3"]
    assert [grid.row(entry, i) for entry in (0, 1) for i in (0, 1)] == [1, 2, 3, 4]


def test_the_own_form_shares_its_top() -> None:
    """What a readback in asfound's own form says at the top applies to every device."""
    text = (
        "asfound: readback/1\nsite: S\nread_by: R\ndevices:\n"
        "  - {tag: A, settings: {channel: 07}}\n  - {tag: B, read_by: Q, settings: {}}\n"
    )
    grid = read_records(file("x.yaml", text), Mapping())
    columns = dict(zip(grid.headings, grid.columns, strict=True))

    assert columns["read_by"] == ["R", "Q"]
    assert columns["channel"] == ["07", ""]
    assert columns["site"] == ["S", "S"]


MANIFEST = (
    '<?xml version="1.0"?>'
    '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
    '<manifest:file-entry manifest:full-path="/" '
    'manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/></manifest:manifest>'
)


def test_an_ods_workbook_is_read(tmp_path: Path) -> None:
    """OpenDocument sheets are read like XLSX ones, texts with their zeros."""
    import zipfile

    cell = '<table:table-cell office:value-type="{}" {}><text:p>{}</text:p></table:table-cell>'
    row = "<table:table-row>{}</table:table-row>"

    def text(value: str) -> str:
        return cell.format("string", "", value)

    rows = row.format(text("tag") + text("channel"))
    rows += row.format(text("007") + cell.format("float", 'office:value="16"', "16"))
    content = (
        '<?xml version="1.0"?><office:document-content '
        'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2"><office:body>'
        f'<office:spreadsheet><table:table table:name="Pit">{rows}</table:table></office:spreadsheet>'
        "</office:body></office:document-content>"
    )
    path = tmp_path / "x.ods"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", MANIFEST)
    (grid,) = read_sheets(file("x.ods", path.read_bytes()), Mapping(), WORDS)

    assert (grid.sheet, grid.headings, grid.columns) == ("Pit", ["tag", "channel"], [["007"], ["16"]])


@given(
    st.lists(st.lists(st.text("ab \t", max_size=3), max_size=4).map(",".join), max_size=30),
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
)
def test_rows_are_split_as_a_parser_reads_them(lines: list[str], line_end: str, ends: bool) -> None:
    """Without quotation marks a CSV is split; rows, blanks and problems are as with the csv module."""
    body = line_end.join([*lines, ""] if ends else [*lines, "a,b,a"])  # half a row would be cut off
    kept = [(n, row) for n, row in enumerate(csv.reader(io.StringIO(body, newline="")), 2) if any(row)]
    too_long = [n for n, row in kept if any(cell.strip() for cell in row[3:])]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("audit.reading.csv_grid.CHARACTERS_A_SLICE", 8)
        if too_long:
            with pytest.raises(InputProblems) as caught:
                table(f"tag,x,y{line_end}{body}")
            assert [problem.line for problem in caught.value.problems] == too_long
            return
        grid = table(f"tag,x,y{line_end}{body}")

    rows = [(row + [""] * 3)[:3] for _, row in kept]
    assert list(zip(*grid.columns, strict=True)) == list(map(tuple, rows))
    assert list(grid.rows) == [n for n, _ in kept]


def test_a_long_table_is_read_the_same_with_quotation_marks_or_without() -> None:
    """Beyond the first thousand rows, in columns of equal texts and of different ones."""
    bare = "".join(f"N-{n},{n % 7},on\n" for n in range(3000))

    split, parsed = (table(f"tag,channel,{heading}\n{bare}") for heading in ("lock", '"lock"'))

    assert (split.columns, split.rows) == (parsed.columns, parsed.rows)
    assert split.columns[0] == [f"N-{n}" for n in range(3000)]


def test_a_key_with_a_point_beside_a_key_within_a_key_is_told() -> None:
    """Both would be put into one column, and move all later values down to the next device."""
    text = (
        '[{"tag": "A", "radio.channel": 5, "radio": {"channel": 6}}, {"tag": "B", "radio": {"channel": 7}}]'
    )
    with pytest.raises(InputProblems, match=r"record 1 gives 'radio\.channel' twice"):
        read_records(file("x.json", text), Mapping())


def test_a_setting_is_not_taken_for_a_field_of_the_device() -> None:
    """A `note` under settings is not a note on the device: it is reported as unknown."""
    device = '{"tag": "A", "note": "n", "settings": {"note": "x"}}'
    text = f'{{"asfound": "readback/1", "site": "S", "devices": [{device}]}}'
    grid = read_records(file("x.json", text), Mapping())

    assert dict(zip(grid.headings, grid.columns, strict=True))["note"] == ["n"]
    assert len(grid.headings) == len(grid.letters)


def test_records_inside_a_list_keep_their_texts_and_lines() -> None:
    """0050 stays 0050 wherever `records` leads."""
    text = "sites:\n  - devices:\n    - {tag: A, net: 0050}\n    - {tag: B, net: 0051}\n"
    grid = read_records(file("x.yaml", text), Mapping(records="/sites/0/devices"))

    assert (grid.columns[1], [grid.row(0, 1), grid.row(1, 1)]) == (["0050", "0051"], [3, 4])


KEYED = [
    ('{"A": {"ch": 7}, "B": {"radio": {"net": 5}, "ch": 8}}', {}, {"tag": ["A", "B"], "ch": ["7", "8"]}),
    ('{"x1": {"Tag": "A", "ch": 7}}', {}, {"Tag": ["A"], "ch": ["7"]}),
    ('{"x1": {"name": "A", "ch": 7}}', {"columns": {"name": "tag"}}, {"name": ["A"], "ch": ["7"]}),
    ('{"out": {"made": 1, "of": {"A": {"ch": 7}}}}', {"records": "/out/of"}, {"tag": ["A"], "ch": ["7"]}),
]


@pytest.mark.parametrize(("text", "mapping", "columns"), KEYED)
@pytest.mark.parametrize("name", ["x.json", "x.yaml"])
def test_records_may_stand_under_their_tags(
    name: str, text: str, mapping: dict[str, Any], columns: dict[str, list[str]]
) -> None:
    """A common form of exports; if the records themselves have a tag, their keys are not tags."""
    grid = read_records(file(name, text), Mapping(**mapping))

    assert dict(zip(grid.headings, grid.columns, strict=True)).items() >= columns.items()


@pytest.mark.parametrize(
    ("text", "mapping", "tag"),
    [
        ('{"tag": "A", "radio": {"ch": 7}}', {}, "tag"),
        ('{"S/N": "A", "radio": {"ch": 7}}', {"columns": {"S/N": "serial"}}, "S/N"),
        ('{"made": 1, "of": {"tag": "A", "radio": {"ch": 7}}}', {"records": "/of"}, "tag"),
    ],
)
@pytest.mark.parametrize("name", ["x.json", "x.yaml"])
def test_a_file_may_hold_one_record_alone(name: str, text: str, mapping: dict[str, Any], tag: str) -> None:
    """Some exports make a file for each device; its values have their own lines all the same."""
    text = text.replace('"radio"', '\n"radio"').replace('"ch"', '\n"ch"')
    grid = read_records(file(name, text), Mapping(**mapping))

    assert (
        dict(zip(grid.headings, grid.columns, strict=True)).items() >= {tag: ["A"], "radio.ch": ["7"]}.items()
    )
    assert grid.line_of
    assert [grid.line_of(1, heading) for heading in (tag, "radio.ch")] == [1, 3]


@pytest.mark.parametrize(
    "text", ['{"out": {"list": [1]}}', '{"out": {"of": {"A": {"ch": 7}}}}', '{"A": 7}', "{}"]
)
def test_what_holds_no_records_is_told(text: str) -> None:
    """A mapping of mappings may also be what encloses the records."""
    with pytest.raises(InputProblems, match="has no list of records at its top"):
        read_records(file("x.json", text), Mapping())


@pytest.mark.parametrize(
    "text",
    ['[{"tag": "A", "channel": 7, "log": ["x"]}]', '{"A": {"channel": 7, "log": ["x"]}}',
     '{"tag": "A", "channel": 7, "log": ["x"]}', '{"tag": "A", "channel": 7, "log": [{"day": 1}]}'],
    ids=["listed", "under their tags", "one alone", "one with records of its own"],
)  # fmt: skip
def test_a_list_in_a_record_is_left_out_where_the_mapping_ignores_it(text: str) -> None:
    """That was the advice, and did not help."""
    grid = read_records(file("x.json", text), Mapping(ignore=("log",)))

    texts = dict(zip(grid.headings, grid.columns, strict=True))
    assert (texts["tag"], texts["channel"]) == (["A"], ["7"])


def test_a_record_under_its_tag_may_have_nothing_but_parts_beside_what_is_ignored() -> None:
    """What is ignored still shows that it is a record, not a mapping of records."""
    grid = read_records(file("x.json", '{"A": {"note": "x", "radio": {"ch": 7}}}'), Mapping(ignore=("note",)))

    assert (
        dict(zip(grid.headings, grid.columns, strict=True)).items()
        >= {"tag": ["A"], "radio.ch": ["7"]}.items()
    )


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ('[{"tag": "A", "log": ["x"]}]', "name it under `ignore` in a mapping"),
        ('{"tag": "A", "log": ["x"]}', "name it under `ignore` in a mapping"),
        ('[{"tag": "A", "log": [{"name": "channel"}]}]', "state `form: long`"),
    ],
)
def test_a_list_in_a_record_is_told(text: str, mend: str) -> None:
    """To ignore it would lose the readings, if it has them."""
    with pytest.raises(InputProblems, match="record 1: 'log' has a list, not a single value") as refused:
        read_records(file("x.json", text), Mapping())

    assert mend in str(refused.value)


def test_a_pointer_without_its_first_slash_is_told_so() -> None:
    """Its name is right, so to correct it would not say what is wrong."""
    with pytest.raises(InputProblems) as refused:
        read_records(file("x.json", '{"nodes": {"a": {"b": [1]}}}'), Mapping(records="nodes"))

    assert refused.value.problems[0].mend == "begin it with a slash: `records: /nodes`"


def test_a_path_that_may_hold_a_code_is_not_repeated() -> None:
    """Somebody wrote the code in its place."""
    with pytest.raises(InputProblems) as refused:
        read_records(file("x.json", '{"nodes": [1]}'), Mapping(records="code 4711"))

    assert "4711" not in str(refused.value)


def test_a_pointer_with_a_strange_digit_points_nowhere() -> None:
    """`²` is a digit to Python but not a number."""
    with pytest.raises(InputProblems, match="has nothing at"):
        read_records(file("x.json", "[1]"), Mapping(records="/²"))


def test_records_with_a_key_for_each_time_are_refused() -> None:
    """Each key is a column over all records: thousands of both would fill the memory."""
    records = [{"tag": f"A{n}", "history": {f"{n}:{k}": 1 for k in range(300)}} for n in range(10)]
    with pytest.raises(InputProblems, match="more than 2,000 keys"):
        read_records(file("x.json", json.dumps(records)), Mapping())
