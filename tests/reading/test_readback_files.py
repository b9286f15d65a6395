"""Which files of a folder are read, what is said of the others, and which mappings were used."""

from __future__ import annotations

import ntpath
import os
from pathlib import Path, PurePath

import pytest

from audit.errors import InputProblems
from audit.reading.inputs import Inputs
from audit.reading.readback import GATEWAY_LIST, read_readback
from tests.disks import ignoring_capitals
from tests.exported_codes import DIGITS
from tests.reading.made import WORDS
from tests.small_site import ACCESS_CODE, SETTINGS, small_site

TABLE = "tag\tCH\turv\nA\t7\t1\n"


def read(folder: Path, mapping: str = "", **files: str) -> tuple[list[str], list[str]]:
    """Return the names of the files of a folder that were read, and the warnings; `a_txt` is a.txt."""
    if mapping:
        (folder / "mapping.yaml").write_text(f"asfound: mapping/1\nmappings: [{mapping}]\n")
    for name, text in files.items():
        (folder / name.replace("_", ".")).write_text(text)
    inputs = Inputs()
    tables = read_readback([folder], None, WORDS, ["S"], inputs)
    return [Path(table.file).name for table in tables], [
        str(warning).removeprefix(f"{folder.as_posix()}/") for warning in inputs.warnings
    ]


def test_files_are_read_in_one_order_on_every_system(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows paths sort without regard to upper and lower case."""

    def as_on_windows(one: PurePath, other: PurePath) -> bool:
        return str(one).lower() < str(other).lower()

    monkeypatch.setattr(PurePath, "__lt__", as_on_windows)

    assert read(tmp_path, B_csv=TABLE, a_csv=TABLE)[0] == ["B.csv", "a.csv"]


def test_a_pattern_is_meant_as_it_is_written_on_every_system(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On Windows a pattern would be compared without regard to upper and lower case."""
    monkeypatch.setattr(os.path, "normcase", ntpath.normcase)

    _, warnings = read(tmp_path, "{files: ['A.csv']}", a_csv=TABLE)

    assert [warning.splitlines()[0] for warning in warnings] == [
        "mapping.yaml:2:13: none of the files given matches 'A.csv'"
    ]


@pytest.mark.parametrize(
    ("text", "mapping"),
    [
        (TABLE, ""),
        (f"Read by R. Sample\n{TABLE}", "{files: ['a.txt'], skip_rows: 1}"),
        ("Name;Kanal\nA;7\n", "{columns: {Name: tag, Kanal: channel}}"),
    ],
    ids=["known headings", "below a title that the mapping skips", "headings that the mapping names"],
)
def test_a_text_file_with_headings_is_read_in_a_folder_as_when_it_is_named(
    tmp_path: Path, text: str, mapping: str
) -> None:
    """Left out, its newer readings would be lost."""
    assert read(tmp_path, mapping, a_txt=text) == (["a.txt"], [])


@pytest.mark.parametrize(
    "text", ["Cold, and the hatch of A was stuck\n", "", "tag,CH\nA,7,8\n"], ids=["notes", "empty", "torn"]
)
def test_another_text_file_is_told(tmp_path: Path, text: str) -> None:
    """It may be notes, or a table that needs a mapping: naming it would show what is wrong with it."""
    names, (warning,) = read(tmp_path, a_txt=text, b_csv="tag,CH\nA,7\n")

    assert names == ["b.csv"]
    assert warning.startswith("a.txt: a text file without known headings was not read\n")
    assert "name it" in warning


def test_a_file_that_is_given_twice_is_read_once_and_told(tmp_path: Path) -> None:
    """Named by itself, and in a folder that is reached in another way."""
    (tmp_path / "a.csv").write_text("tag,CH\nA,7\n")
    inputs = Inputs()
    again = tmp_path / "." / ".." / tmp_path.name
    tables = read_readback([tmp_path / "a.csv", again], None, WORDS, ["S"], inputs)

    assert len(tables) == 1
    (note,) = (one.note for one in inputs.files.values() if one.note)
    assert note == f"is {(tmp_path / 'a.csv').as_posix()} again"


def test_a_file_is_read_once_where_the_disk_ignores_capitals(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Otherwise one reading would count as two that agree."""
    (tmp_path / "a.csv").write_text(TABLE)
    ignoring_capitals(monkeypatch)
    inputs = Inputs()
    tables = read_readback([tmp_path, tmp_path / "A.CSV"], None, WORDS, ["S"], inputs)

    assert [Path(table.file).name for table in tables] == ["a.csv"]
    assert inputs.files[(tmp_path / "A.CSV").as_posix()].note == f"is {(tmp_path / 'a.csv').as_posix()} again"


def test_a_workbook_of_a_kind_that_is_not_read_is_told(tmp_path: Path) -> None:
    """A picture is not."""
    names, (warning,) = read(tmp_path, a_XLS="", b_jpg="", c_csv="tag,CH\nA,7\n")

    assert names == ["c.csv"]
    assert warning.startswith("a.XLS: was not read: .xls files are not supported\n")
    assert "save it as .xlsx or .csv" in warning


@pytest.mark.parametrize(
    ("mapping", "told"),
    [
        ("{files: ['nroth*.csv'], blanks: ['', '0']}", ["'nroth*.csv'"]),
        ("{files: ['nroth*.csv', 'x.csv']}, {files: [south.csv]}", ["'nroth*.csv' or 'x.csv'"]),
        ("{files: ['nroth*.csv']}, {files: ['*.csv']}", []),
        ("{files: ['north*.csv']}, {files: ['*th.csv']}", []),
        ("{constants: {network: North}}", []),
    ],
    ids=["a slip", "one of two", "each file has a mapping", "both are used", "one for all files"],
)
def test_a_mapping_for_no_file_is_told_where_a_file_was_read_without(
    tmp_path: Path, mapping: str, told: list[str]
) -> None:
    """The file was probably meant: what the mapping says of blanks or marks would be lost without notice."""
    table = "tag,CH\nA,0\n"
    names, warnings = read(tmp_path, mapping, north_csv=table, south_csv=table)

    assert names == ["north.csv", "south.csv"]
    assert [warning.partition("\n")[0] for warning in warnings] == [
        f"mapping.yaml:2:13: none of the files given matches {pattern}" for pattern in told
    ]
    assert all("nearest: north.csv" in warning for warning in warnings)


def test_a_mapping_that_is_for_a_gateway_list_is_told_by_neither(tmp_path: Path) -> None:
    """`why` reads the list separately, with the same mapping."""
    for name in ("nodes.csv", "list.csv"):
        (tmp_path / name).write_text("tag,CH\nA,7\n")
    mapping, inputs = tmp_path / "m.yaml", Inputs()
    mapping.write_text("asfound: mapping/1\nmappings: [{files: [list.csv]}]\n")
    nodes, lists = [tmp_path / "nodes.csv"], [tmp_path / "list.csv"]
    read_readback(nodes, mapping, WORDS, ["S"], inputs, others=lists)
    read_readback(lists, mapping, WORDS, ["S"], inputs, GATEWAY_LIST)

    assert inputs.warnings == []


def test_entries_need_no_mapping(tmp_path: Path) -> None:
    """They are our own files, and are not read with a mapping."""
    entry = '{"asfound": "entry/1", "tag": "A", "setting": "channel", "value": "7"}\n'

    assert read(tmp_path, "{files: ['north*.csv']}", a_jsonl=entry) == (["a.jsonl"], [])


@pytest.mark.parametrize(
    ("name", "only", "mend"),
    [
        ("b.xls", "only b.xls", "put CSV, XLSX"),
        ("notes.txt", "only notes.txt", "if a .txt is a readback, name it too"),
        ("N-1/found.csv", "only N-1", "if folders in it have readbacks, name these folders"),
        (".~lock.b.csv#", "contains no readback\n", "put CSV, XLSX"),
    ],
)
def test_a_folder_without_readbacks_says_what_it_has(name: str, only: str, mend: str, tmp_path: Path) -> None:
    """Who sees a file there is not told that there is none."""
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).write_text("x")
    with pytest.raises(InputProblems) as found:
        read(tmp_path)

    assert only in str(found.value)
    assert mend in str(found.value)


def test_the_folder_one_is_in_may_be_given_as_readback(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The path `.` has no name of its own."""
    (tmp_path / "a.csv").write_text("tag,CH,urv\nA,7,1\n")
    monkeypatch.chdir(tmp_path)

    tables = read_readback([Path()], None, WORDS, ["S"], Inputs())

    assert [table.file for table in tables] == ["a.csv"]


@pytest.mark.parametrize(
    ("name", "told"), [("b.csv", ["it contains b.csv"]), ("._b.csv", []), ("~$b.xlsx", [])]
)
def test_a_folder_in_the_folder_is_told_if_it_may_hold_readings(
    tmp_path: Path, name: str, told: list[str]
) -> None:
    """Archives made on macOS hold a folder with nothing but hidden files."""
    (tmp_path / "__MACOSX").mkdir()
    (tmp_path / "__MACOSX" / name).write_text(TABLE)

    _, warnings = read(tmp_path, a_csv=TABLE)
    assert [warning.splitlines()[0].rpartition("; ")[2] for warning in warnings] == told


def test_a_folder_may_be_called_as_readbacks_are(tmp_path: Path) -> None:
    """It is passed over like any other."""
    (tmp_path / "old.csv").mkdir()

    assert read(tmp_path, a_csv=TABLE) == (["a.csv"], [])


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("april.ZIP", "an archive or a mail was not read"),
        ("readings.eml", "an archive or a mail was not read"),
        ("b.csv.part", "was not read: its transfer has not been finished"),
        ("b.xlsx.crdownload", "was not read: its transfer has not been finished"),
    ],
)
def test_what_may_contain_readings_is_told(tmp_path: Path, name: str, told: str) -> None:
    """Whoever put it there may believe that it was read."""
    (tmp_path / name).write_bytes(b"")

    names, (warning,) = read(tmp_path, a_csv=TABLE)
    assert names == ["a.csv"]
    assert warning.startswith(f"{name}: {told}\n")


@pytest.mark.parametrize(
    "name",
    ["photo.jpg", "photo.jpg.part", "a.csv.bak", "a.csv~", "a.tmp", "Thumbs.db", "~$a.xlsx", "._a.csv",
     ".~lock.a.csv#", ".a.csv.swp", ".photo.jpg.icloud", ".a.csv.icloud"],
)  # fmt: skip
def test_what_other_programs_leave_behind_is_passed_over(tmp_path: Path, name: str) -> None:
    """There is nothing in it that is not in the files themselves."""
    (tmp_path / name).write_bytes(b"\x00")

    assert read(tmp_path, a_csv=TABLE) == (["a.csv"], [])


@pytest.mark.parametrize(
    ("name", "leads_to", "told"),
    [
        ("b.csv", "elsewhere.csv", "b.csv: is a link that leads nowhere"),
        ("b.csv", "b.csv", "b.csv: cannot be read: Too many levels of symbolic links"),
        (".b.csv.icloud", "", "b.csv: is not on this disk"),
        (".mapping.yaml.icloud", "", "mapping.yaml: is not on this disk"),
    ],
    ids=["a link that leads nowhere", "a link to itself", "a file not fetched", "a mapping not fetched"],
)
@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
def test_a_readback_that_is_not_there_stops_the_run(
    tmp_path: Path, name: str, leads_to: str, told: str
) -> None:
    """File managers show it as a file; passed over, its nodes would be reported as not read."""
    if leads_to:
        (tmp_path / name).symlink_to(leads_to)
    else:
        (tmp_path / name).write_bytes(b"")

    with pytest.raises(InputProblems, match=told):
        read(tmp_path, a_csv=TABLE)


def given_a_mapping(folder: Path, named: str, table: str) -> Inputs:
    """Return the inputs of a folder with a mapping of its own, read with the mapping file that is named."""
    for name, what in (("own", "{files: [b.csv], columns: {Kanal: channel}}"), ("other", "{files: [c.csv]}")):
        (folder / name).mkdir()
        (folder / name / "mapping.yaml").write_text(f"asfound: mapping/1\nmappings: [{what}]\n")
    (folder / "own" / "b.csv").write_text(table)
    inputs = Inputs()
    read_readback([folder / "own"], folder / named / "mapping.yaml", WORDS, ["S"], inputs)
    return inputs


@pytest.mark.parametrize(
    ("named", "told"),
    [("other", ["was not read, since --mapping is given", "none of the files given matches 'c.csv'"]),
     ("own", [])],
)  # fmt: skip
def test_a_mapping_whose_place_another_takes_is_told(tmp_path: Path, named: str, told: list[str]) -> None:
    """What it says of decimal marks and blanks would be lost without notice."""
    table = "tag,Kanal\nA,7\n" if named == "own" else TABLE.replace("\t", ",")
    warnings = given_a_mapping(tmp_path, named, table).warnings

    assert [warning.message for warning in warnings] == told


def test_a_table_that_needs_the_mapping_whose_place_another_takes(tmp_path: Path) -> None:
    """Its own mapping is in order: there is nothing to take away or to name, only to bring together."""
    with pytest.raises(InputProblems) as refused:
        given_a_mapping(tmp_path, "other", "tag,Kanal\nA,7\n")
    (problem,) = [one for one in refused.value.problems if one.message.startswith("none of the mappings")]

    assert problem.mend.startswith("the mapping.yaml beside it was not read, since --mapping is given")


@pytest.mark.parametrize(
    ("files", "told"), [("[b.csv]", True), ("['b*.csv']", False)], ids=["the original only", "its copies too"]
)
def test_a_copy_that_no_mapping_is_for_is_told(tmp_path: Path, files: str, told: bool) -> None:
    """Its headings are unknown only because the mapping is not for its name."""
    table = "tag,Kanal,?\nA,7,1\n"
    (tmp_path / "b (1).csv").write_text(table)

    with pytest.raises(InputProblems) as refused:
        read(tmp_path, f"{{files: {files}, columns: {{Kanal: channel}}}}", b_csv=table)
    messages = [problem.message for problem in refused.value.problems]
    folder = tmp_path.as_posix()
    assert (f"none of the mappings in {folder}/mapping.yaml is for this file" in messages) == told
    assert any("'?'" in message for message in messages)


@pytest.mark.parametrize(
    ("photos", "noted"),
    [(10, [f"{n:02d}.JPG" for n in range(10)]), (11, ["*.jpg"])],
)
def test_many_files_of_one_kind_are_noted_together(tmp_path: Path, photos: int, noted: list[str]) -> None:
    """A photo for each reading would bury the files that were read; each text file is told."""
    for n in range(photos):
        (tmp_path / f"{n:02d}.JPG").write_bytes(b"")
        (tmp_path / f"{n:02d}.txt").write_text("Cold\n")
    (tmp_path / "a.csv").write_text(TABLE)
    inputs = Inputs()
    read_readback([tmp_path], None, WORDS, ["S"], inputs)

    names = [Path(one.file).name for one in inputs.files.values() if one.kind == "not read"]
    assert [name for name in names if not name.endswith(".txt")] == noted
    assert len(inputs.warnings) == photos


def test_files_without_an_ending_are_noted_one_by_one(tmp_path: Path) -> None:
    """Nothing says that they are of one kind."""
    for n in range(11):
        (tmp_path / f"{n:02d}").write_bytes(b"")
    (tmp_path / "a.csv").write_text(TABLE)
    inputs = Inputs()
    read_readback([tmp_path], None, WORDS, ["S"], inputs)

    names = [Path(one.file).name for one in inputs.files.values() if one.kind == "not read"]
    assert names == [f"{n:02d}" for n in range(11)]


def test_a_second_file_with_the_same_content_is_noted(tmp_path: Path) -> None:
    """Whoever saved one network twice under two names sees why another network was not read."""
    for name, text in (("north.csv", TABLE), ("south.csv", TABLE), ("west.csv", TABLE.replace("7", "8"))):
        (tmp_path / name).write_text(text)
    inputs = Inputs()

    read_readback([tmp_path], None, WORDS, ["S"], inputs)

    assert [one.note for one in inputs.files.values()] == [
        None, f"the same, byte for byte, as {(tmp_path / 'north.csv').as_posix()}", None
    ]  # fmt: skip


def test_files_with_access_codes_are_not_compared_byte_for_byte(tmp_path: Path) -> None:
    """Their digests are withheld, and so they are not taken for the same."""
    site = small_site(tmp_path, settings=[*SETTINGS, ACCESS_CODE])
    site.readbacks[:] = [site.write(f"{n}.csv", f"tag,access_code\nN-{n},{DIGITS}\n") for n in (1, 2)]

    assert [one["note"] for one in site.result()["inputs"] if one["kind"] == "readback"] == [
        "carries access codes in clear, so its digest is withheld"
    ] * 2
