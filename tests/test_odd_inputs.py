"""Odd inputs: headings, units, codes, long tables, records and files that once were read wrongly."""

from __future__ import annotations

import datetime
import json
import zipfile
from pathlib import Path
from typing import Any

import pytest

from audit.entering.accepting import Accepted, Refused, accept
from audit.entering.answering import answer
from audit.entering.devices import Device, ToRead
from audit.entering.progress import Progress
from audit.entering.saving import EntryFile, NotSaved, Signature, aware
from audit.entering.state import Draft, State, Work
from audit.errors import InputProblems
from audit.model.device import DeviceType, Setting
from audit.model.mapping import Mapping, MappingFile
from audit.model.plan import PlanFile
from audit.model.rule import SiteRuleFile
from audit.model.table import RawColumn, Style, Table
from audit.reading.csv_grid import read_csv
from audit.reading.dates import looks_like_date, made_of
from audit.reading.documents import build, parse_json, read_document, with_marks
from audit.reading.files import FileBytes, beside, decode
from audit.reading.inputs import Inputs
from audit.reading.mappings import read_mappings
from audit.reading.meanings import Meanings
from audit.reading.readback import read_readback, read_tables
from audit.reading.record_grid import read_records
from audit.reading.results import read_result
from audit.reading.tables import to_table
from audit.reading.vocabulary import vocabulary
from audit.reading.yaml_core import load

TYPE = DeviceType(
    asfound="device-type/1",
    name="node",
    settings=(
        Setting(name="channel", kind="integer", label="CH", role="channel"),
        Setting(name="urv", kind="decimal", step=0.01, unit="kPa", role="range_high"),
        Setting(name="net", kind="text", role="network_id"),
        Setting(name="access_code", kind="secret", role="access_code"),
    ),
)
WORDS = vocabulary([TYPE])


def file(name: str, data: bytes | str) -> FileBytes:
    """Return a file that stands nowhere."""
    content = data.encode() if isinstance(data, str) else data
    return FileBytes(name, Path(name), content, "")


def table(text: str, **mapping: Any) -> Table:
    """Return a CSV as a table of the node's settings."""
    options = Mapping(**mapping)
    return to_table(read_csv(file("x.csv", text), options), options, WORDS)


def told(text: str, model: Any, schema: str, name: str = "x.yaml") -> str:
    """Return what is said of a file that is wrong."""
    with pytest.raises(InputProblems) as error:
        build(with_marks(read_document(file(name, text))), model, schema)
    return str(error.value)


@pytest.mark.parametrize("heading", ['"Range\nhigh [psi]"', '"range high\n[psi]"', '"range_high  [psi]"'])
def test_a_unit_in_a_heading_of_two_lines_counts(heading: str) -> None:
    """Spreadsheets break long headings; without its unit 100 psi would pass for 100 kPa."""
    assert table(f"tag,{heading}\nA,7\n").columns["urv"].style.unit == "psi"


@pytest.mark.parametrize(
    "text",
    [
        "asfound: mapping/1\nmappings:\n- values: {access_code: {4711: 1234}}\n",
        "asfound: mapping/1\nmappings:\n- values: {access_code: {4711: '1234', 4711: '4712'}}\n",
    ],
    ids=["no text", "twice"],
)
def test_a_code_that_a_mapping_translates_is_not_shown(text: str) -> None:
    """Keys under `values` are texts as found: under a setting of codes they are codes."""
    assert "4711" not in told(text, MappingFile, "mapping")


def test_a_code_where_a_list_belongs_is_not_shown() -> None:
    """Neither in the message nor in its mend."""
    plan = ("asfound: plan/1\nsite: {name: X}\ndevice_types: [a.yaml]\n"
            "approved: [{setting: access_code, values: '4711'}]\n"
            "networks: [{name: N, gateway: {tag: G, type: g}}]\n")  # fmt: skip
    assert "4711" not in told(plan, PlanFile, "plan")


@pytest.mark.parametrize("text", ["12-34-4100310001", "1-2-3000000000", "mar-4100000001"])
def test_long_parts_are_no_dates(text: str) -> None:
    """Serial numbers have parts of ten digits, which no calendar holds."""
    assert not looks_like_date(text)
    assert not made_of("2026-02-01", text)


def test_a_key_with_a_point_beside_a_key_within_a_key_is_told() -> None:
    """Both would stand in one column, and push all values behind them down to the next device."""
    text = (
        '[{"tag": "A", "radio.channel": 5, "radio": {"channel": 6}}, {"tag": "B", "radio": {"channel": 7}}]'
    )
    with pytest.raises(InputProblems, match=r"record 1 gives 'radio\.channel' twice"):
        read_records(file("x.json", text), Mapping())


def test_a_setting_is_not_taken_for_a_field_of_the_device() -> None:
    """A `note` under settings is no note of the device: it is told as unknown."""
    device = '{"tag": "A", "note": "n", "settings": {"note": "x"}}'
    text = f'{{"asfound": "readback/1", "site": "S", "devices": [{device}]}}'
    grid = read_records(file("x.json", text), Mapping())

    assert dict(zip(grid.headings, grid.columns, strict=True))["note"] == ["n"]
    assert len(grid.headings) == len(grid.letters)


def test_records_inside_a_list_keep_their_texts_and_lines() -> None:
    """0050 stays 0050 wherever `records` leads to."""
    text = "sites:\n  - devices:\n    - {tag: A, net: 0050}\n    - {tag: B, net: 0051}\n"
    grid = read_records(file("x.yaml", text), Mapping(records="/sites/0/devices"))

    assert (grid.columns[1], grid.rows) == (["0050", "0051"], [3, 4])


def test_a_pointer_with_a_strange_digit_points_nowhere() -> None:
    """`²` is a digit to Python and no number."""
    with pytest.raises(InputProblems, match="has nothing at"):
        read_records(file("x.json", "[1]"), Mapping(records="/²"))


def test_constants_are_as_they_are_written(tmp_path: Path) -> None:
    """A network identity 0050 in a mapping is not 50."""
    path = tmp_path / "mapping.yaml"
    path.write_text("asfound: mapping/1\nmappings:\n  - constants: {net: 0050}\n", "utf-8")
    (mapping,) = read_mappings(path, Inputs()).mappings

    assert to_table(read_csv(file("x.csv", "tag\nA\n"), mapping), mapping, WORDS).columns["net"].texts == [
        "0050"
    ]


RULE = ("asfound: site-rules/1\ntitle: t\nversion: '1'\nrules:\n"
        "  - {id: a-b, title: t, level: error, why: w, remedy: r, source: s, check: %s}\n")  # fmt: skip


def test_a_missing_blank_in_a_check_is_told() -> None:
    """`field:serial` is a key without a value, and the rule would look at something else."""
    check = "{kind: unique, role: address, within: network, field:serial}"
    assert "write field: serial, with a blank behind the colon" in told(
        RULE % check, SiteRuleFile, "site-rules"
    )


@pytest.mark.parametrize("kind", ["[unique]", "{a: b}"])
def test_a_kind_that_is_no_word_is_told(kind: str) -> None:
    """A list or a mapping is no kind."""
    assert "unknown kind" in told(RULE % f"{{kind: {kind}}}", SiteRuleFile, "site-rules")


@pytest.mark.parametrize(("text", "decimal"), [("1.250", "."), ("1,250", ","), ("12.500", ".")])
def test_what_check_would_not_understand_is_refused_at_once(text: str, decimal: str) -> None:
    """In the file either mark is decimal, so that three places may be thousands."""
    setting = Setting(name="high", kind="decimal", step=0.01)
    found = accept(text, setting, decimal)

    assert isinstance(found, Refused)
    assert "thousands" in found.why
    assert isinstance(accept("1.25", setting, "."), Accepted)


LONG = "tag,setting,value,unit\nA,net,0050,-\nA,channel,7,n/a\nA,urv,-,kPa\nB,urv,5,kPa\n"


def test_a_unit_that_says_that_there_is_none_is_no_unit() -> None:
    """Exports write - or n/a beside what has no unit, and units beside what was not read."""
    columns = table(LONG).columns

    assert columns["net"].texts == ["0050", ""]
    assert columns["channel"].texts == ["7", ""]
    assert columns["urv"].texts == ["-", "5 kPa"]


def test_a_setting_of_a_long_table_that_is_ignored_is_left_out() -> None:
    """Known ones too, as in a wide table, and names of fields are no settings."""
    text = "tag,setting,value\nA,net,0050\nA,type,XL\nA,channel,7\n"
    assert set(table(text, ignore=("net", "type")).columns) == {"tag", "channel"}


def test_codes_of_a_long_table_are_translated_as_in_a_wide_one() -> None:
    """The same text is the same code in either form."""
    values = {"access_code": {"****": "0000"}}
    long = table("tag,setting,value\nA,access_code,****\n", values=values).columns["access_code"]
    wide = table("tag,access_code\nA,****\n", values=values).columns["access_code"]

    assert long.codes == wide.codes


def workbook(path: Path, rows: list[list[object]]) -> Path:
    """Write a workbook of one sheet."""
    import openpyxl

    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(path)
    return path


def test_a_formula_in_a_long_sheet_is_told(tmp_path: Path) -> None:
    """As in a wide one: blank would mean that nothing was read."""
    path = workbook(tmp_path / "x.xlsx", [["tag", "setting", "value"], ["A", "channel", "=3+4"]])
    (found,) = read_tables(path, None, WORDS, Inputs(), "readback")

    assert found.columns["channel"].texts == ["=3+4"]


def test_a_heading_mapped_to_decimal_mark_declares_it() -> None:
    """The mapping's own word for the column counts as well."""
    column = table("tag;Dez;urv\nA;comma;1,5\n", columns={"Dez": "decimal_mark"}).columns["urv"]
    assert column.style.decimal == ","


def test_numbers_in_cells_have_the_mark_that_the_sheet_declares(tmp_path: Path) -> None:
    """A number in a cell has no mark of its own."""
    path = workbook(tmp_path / "x.xlsx", [["tag", "urv", "decimal_mark"], ["A", 1.5, "comma"]])
    (found,) = read_tables(path, None, WORDS, Inputs(), "readback")

    assert found.columns["urv"].texts == ["1,5"]


@pytest.mark.parametrize("packing", [zipfile.ZIP_DEFLATED, zipfile.ZIP_LZMA])
def test_damage_inside_a_workbook_is_told(tmp_path: Path, packing: int) -> None:
    """Bytes that do not unpack are a damaged workbook, whatever the unpacker calls them."""
    path = tmp_path / "x.xlsx"
    with zipfile.ZipFile(path, "w", packing) as archive:
        archive.writestr("xl/workbook.xml", "".join(map(str, range(2000))))
    data = bytearray(path.read_bytes())
    data[100:120] = b"\xff" * 20
    path.write_bytes(data)

    with pytest.raises(InputProblems, match="its archive is damaged"):
        read_tables(path, None, WORDS, Inputs(), "readback")


def test_the_digest_of_a_mapping_with_a_code_is_withheld_beside_entries_too(tmp_path: Path) -> None:
    """A digest would let a short code be guessed; what has no code of its own keeps its digest."""
    (tmp_path / "mapping.yaml").write_text(
        "asfound: mapping/1\nmappings: [{constants: {access_code: '4711'}}]\n"
    )
    entry = {"asfound": "entry/1", "tag": "A", "setting": "channel", "value": "7"}
    (tmp_path / "a.jsonl").write_text(json.dumps(entry) + "\n")
    (tmp_path / "b.csv").write_text("tag,channel\nA,7\n")
    inputs = Inputs()
    read_readback([tmp_path / "a.jsonl"], tmp_path / "mapping.yaml", WORDS, "S", inputs)
    assert inputs.files[(tmp_path / "mapping.yaml").as_posix()].sha256 is None

    read_readback([tmp_path / "b.csv"], tmp_path / "mapping.yaml", WORDS, "S", inputs)
    assert inputs.files[(tmp_path / "b.csv").as_posix()].sha256 is not None


def plan_with(folder: Path, rows: str, kind: str = "") -> Path:
    """Write a plan with a node table."""
    (folder / "g.yaml").write_text("asfound: device-type/1\nname: g\ndevice: gateway\n")
    (folder / "n.yaml").write_text(f"asfound: device-type/1\nname: n\n{kind}")
    (folder / "t.csv").write_text(rows)
    path = folder / "plan.yaml"
    path.write_text("asfound: plan/1\nsite: {name: S}\ndevice_types: [g.yaml, n.yaml]\nnetworks:\n"
                    "  - {name: N, node_type: n, gateway: {tag: G, type: g},\n"
                    "     node_tables: [{file: t.csv}]}\n")  # fmt: skip
    return path


def plan_told(path: Path) -> str:
    """Return what is said of a plan that is wrong."""
    from audit.reading.plan import read_plan

    with pytest.raises(InputProblems) as error:
        read_plan(path, Inputs())
    return str(error.value)


def test_a_latitude_beyond_the_pole_is_told(tmp_path: Path) -> None:
    """In a table as in the plan."""
    assert "t.csv:2:B: '95' is no latitude" in plan_told(plan_with(tmp_path, "tag,latitude\nA,95\n"))


def test_a_node_table_names_its_own_fields(tmp_path: Path) -> None:
    """Not those of a readback, which it does not take."""
    problem = plan_told(plan_with(tmp_path, "tag,instaled_on\nA,2026-03-31\n"))

    assert "nearest: installed_on" in problem


def test_a_setting_is_not_called_as_a_column_of_readbacks(tmp_path: Path) -> None:
    """What was read of `type` would be taken for the type of the device."""
    path = plan_with(tmp_path, "tag\nA\n", "settings:\n  - {name: type, kind: text}\n")

    assert "n.yaml:4:12: 'type' is a column of readbacks" in plan_told(path)


def test_a_link_to_itself_is_told(tmp_path: Path) -> None:
    """It leads nowhere."""
    (tmp_path / "x.yaml").symlink_to("x.yaml")
    with pytest.raises(InputProblems, match="leads back to itself"):
        beside(tmp_path / "plan.yaml", "x.yaml", "plan.yaml")


@pytest.mark.parametrize("encoding", ["idna", "punycode"])
def test_an_encoding_that_does_not_fit_is_told(encoding: str) -> None:
    """Some encodings do not say where they fail."""
    with pytest.raises(InputProblems, match=f"is not {encoding}"):
        decode(file("x.csv", b"xn--\n;a"), encoding)


def test_a_strange_word_of_json_is_told_with_its_line() -> None:
    """The word may stand in a text above as well."""
    with pytest.raises(InputProblems, match=r"x.json:3: NaN is not JSON"):
        parse_json('{"note": "NaN",\n"x":\nNaN}', "x.json")


def test_a_control_character_is_told_with_its_line() -> None:
    """Letters above it may take two bytes."""
    with pytest.raises(InputProblems, match=r"x.yaml:3: is not YAML"):
        load(f"a: {'ö' * 40}\nb: 1\nc: x\x07\nd: 2\n", "x.yaml")


def test_a_number_of_a_result_that_nobody_can_count_to_is_told(tmp_path: Path) -> None:
    """Python refuses to read a whole number of 5,000 digits."""
    path = tmp_path / "x.json"
    path.write_text('{"schema": "asfound/result/1", "counts": {"errors": ' + "1" * 5000 + "}}")
    with pytest.raises(InputProblems, match="is damaged at"):
        read_result(path)


@pytest.mark.parametrize("text", ["0001-01-01T00:00", "9999-12-31T23:59-14:00", ""])
def test_a_time_at_the_edge_of_the_calendar_is_none(text: str) -> None:
    """It has no local time."""
    assert aware(text) is None


def test_what_an_entry_cannot_hold_is_not_saved(tmp_path: Path) -> None:
    """It is said, and does not end the program."""
    device = Device("N", "A", "", TYPE, (), None, 0)  # type: ignore[arg-type]
    entries = EntryFile(tmp_path / "x.jsonl", WORDS, lambda: datetime.datetime.now().astimezone())
    with pytest.raises(NotSaved, match="read_by cannot stand in the file"):
        entries.append(Draft(device, "channel", "7"), Signature("S", "", "x" * 1001))
    entries.append(Draft(device, "channel", "", skipped="gone \ud800"), Signature("S", "", "x"))


def test_a_network_that_may_be_two_is_asked_for_again() -> None:
    """Two names that are spelled alike are told apart by whoever types."""
    devices = tuple(Device(name, name, "", TYPE, (), None, 0) for name in ("North 1", "North-1"))  # type: ignore[arg-type]
    here = (Work(ToRead("S", "", devices)), Progress(), State())

    assert answer(here, "north1").refused
    assert answer(here, "North-1").state.network == "North-1"


def test_a_column_is_not_among_the_values_of_all_other_files() -> None:
    """Many files would otherwise take the square of their number."""
    meanings = Meanings()
    for start in range(0, 100, 10):
        column = RawColumn([str(n) for n in range(start, start + 10)], "A", "net", Style())
        values = meanings.column(column, TYPE.settings[2])
        assert len(values.among) == 10


def test_records_with_a_key_for_each_time_are_refused() -> None:
    """Each key is a column over all records: thousands of both would fill the memory."""
    records = [{"tag": f"A{n}", "history": {f"{n}:{k}": 1 for k in range(300)}} for n in range(10)]
    with pytest.raises(InputProblems, match="more than 2,000 keys"):
        read_records(file("x.json", json.dumps(records)), Mapping())


def test_the_devices_of_a_network_are_looked_up() -> None:
    """Blanks do not matter, and devices are gone through once, however many networks there are."""
    devices = tuple(Device(name, "A", "", TYPE, (), None, 0) for name in ("North  1", "South"))  # type: ignore[arg-type]
    wanted = ToRead("S", "", devices)

    assert wanted.of("North 1") == [devices[0]]
    assert wanted.of("South") is wanted.of("South")
