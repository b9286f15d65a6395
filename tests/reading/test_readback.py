"""Readbacks from files of several kinds: what their tables contain, and which digests are given."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import openpyxl
import pytest

from audit.errors import InputProblems
from audit.model.device import Setting
from audit.model.table import Table
from audit.reading.inputs import Inputs
from audit.reading.readback import read_readback, read_tables
from audit.reading.vocabulary import vocabulary
from tests.reading.made import TYPE, WORDS
from tests.refusing import assert_refused
from tests.small_site import as_xlsx, run, small_site


def workbook(folder: Path, *rows: tuple[object, ...]) -> Table:
    """Return a workbook of one sheet as it is read."""
    path = folder / "x.xlsx"
    path.write_bytes(as_xlsx({"Sheet": rows}))
    (found,) = read_tables(path, None, WORDS, Inputs(), "readback")
    return found


def test_a_formula_in_a_long_sheet_is_told(tmp_path: Path) -> None:
    """As in a wide one: blank would mean that nothing was read."""
    found = workbook(tmp_path, ("tag", "setting", "value"), ("A", "channel", "=3+4"))

    assert found.columns["channel"].texts == ["=3+4"]


def test_numbers_in_cells_have_the_mark_that_the_sheet_declares(tmp_path: Path) -> None:
    """A number in a cell has no decimal mark of its own."""
    found = workbook(tmp_path, ("tag", "urv", "decimal_mark"), ("A", 1.5, "comma"))

    assert found.columns["urv"].texts == ["1,5"]


def test_a_folder_in_a_folder_is_told_where_it_holds_readbacks(tmp_path: Path) -> None:
    """Its nodes would count as not read. A folder of pictures, or one that is also named, is no concern."""
    for name in ("a.csv", "b.csv", "old/c.csv", "old/d.xlsx", "photos/e.jpg"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("tag,channel\nA,7\n")
    (tmp_path / "old/d.xlsx").write_bytes(as_xlsx({"Sheet": [("tag", "channel"), ("B", "7")]}))
    inputs = Inputs()
    read_readback([tmp_path], None, WORDS, ["S"], inputs)
    (warning,) = inputs.warnings
    assert warning.file == (tmp_path / "old").as_posix()
    assert warning.message == "a folder in a folder was not read; it contains c.csv and 1 more"

    inputs = Inputs()
    assert len(read_readback([tmp_path, tmp_path / "old"], None, WORDS, ["S"], inputs)) == 4
    assert inputs.warnings == []


def hidden(folder: Path, state: str, **pages: Sequence[tuple[object, ...]]) -> Path:
    """Return a workbook whose last sheet is hidden."""
    path = folder / "x.xlsx"
    path.write_bytes(as_xlsx(pages))
    book = openpyxl.load_workbook(path)
    book[book.sheetnames[-1]].sheet_state = state
    book.save(path)
    return path


FIRST = [("tag", "channel"), ("A", 7)]
AGAIN = [("tag", "channel"), ("A", 8), ("B", 8)]


@pytest.mark.parametrize("state", ["hidden", "veryHidden"])
@pytest.mark.parametrize("title", [[], [("Read once more",)]], ids=["headings", "a title"])
def test_a_hidden_sheet_with_readings_is_told(
    tmp_path: Path, state: str, title: list[tuple[object, ...]]
) -> None:
    """Its readings may be newer, and somebody who opens the workbook does not see it."""
    path, inputs = hidden(tmp_path, state, First=FIRST, Again=[*title, *AGAIN]), Inputs()
    (table,) = read_tables(path, None, WORDS, inputs, "readback")

    (warning,) = inputs.warnings
    assert table.sheet == "First"
    assert str(warning).startswith(f"{path.as_posix()} [Again]: is a hidden sheet and was not read; it has 2")
    assert inputs.files[warning.file].kind == "not read"


def test_a_hidden_sheet_of_other_things_is_no_concern(tmp_path: Path) -> None:
    """Our own sheets keep their drop-down lists in one."""
    inputs = Inputs()
    read_tables(
        hidden(tmp_path, "hidden", First=FIRST, Lists=[("on", 7), ("off", 8)]), None, WORDS, inputs, ""
    )

    assert inputs.warnings == []
    assert list(inputs.files) == [(tmp_path / "x.xlsx").as_posix()]


@pytest.mark.parametrize(
    ("cover", "mend"),
    [([("Site", "S"), ("by", "R.")], "unhide the sheet 'Again'"), ([], "including its hidden sheets")],
    ids=["a cover", "a blank sheet"],
)
def test_where_all_readings_are_hidden_that_is_told(
    tmp_path: Path, cover: list[tuple[object, ...]], mend: str
) -> None:
    """Not that the visible sheet needs a mapping."""
    with pytest.raises(InputProblems) as refused:
        read_tables(hidden(tmp_path, "hidden", Cover=cover, Again=AGAIN), None, WORDS, Inputs(), "readback")

    assert mend in refused.value.problems[0].mend


@pytest.mark.parametrize(
    ("name", "command", "kind"),
    [
        ("list.csv", "check", "a punch list"),
        ("list.xlsx", "check", "a punch list"),
        ("result.json", "check", "a result"),
        ("list.csv", "worklist", "a work list"),
        ("list.xlsx", "worklist", "a work list"),
        ("list.json", "worklist", "a work list"),
    ],
)
def test_what_was_written_into_the_folder_is_told_once(
    tmp_path: Path, name: str, command: str, kind: str
) -> None:
    """Not column by column, with the advice to map them."""
    site = small_site(tmp_path, found={"N-2": {"channel": "8"}})
    run(command, site.plan, *site.readbacks, "--quiet", "--out", tmp_path / name)
    site.readbacks.append(tmp_path / name)

    says = f"is {kind} of asfound, but a readback was expected"
    assert_refused(site, at=name, says=says, mend="out of the folder of readbacks")


def test_a_pipe_is_not_read(tmp_path: Path) -> None:
    """What is not in a file is not evidence; `-` is reported for what was meant by it."""
    site = small_site(tmp_path)
    site.readbacks[:] = [Path("-")]

    (problem,) = site.check().problems

    assert problem.startswith("-: standard input is not read")
    assert "write it to a file" in problem


def test_the_digest_of_a_mapping_with_a_code_is_withheld_beside_entries_too(tmp_path: Path) -> None:
    """A short code could be guessed from a digest; a file without a code of its own keeps its digest."""
    (tmp_path / "mapping.yaml").write_text(
        "asfound: mapping/1\nmappings: [{constants: {access_code: '4711'}}]\n"
    )
    entry = {"asfound": "entry/1", "tag": "A", "setting": "channel", "value": "7"}
    (tmp_path / "a.jsonl").write_text(json.dumps(entry) + "\n")
    (tmp_path / "b.csv").write_text("tag,channel\nA,7\n")
    inputs = Inputs()
    read_readback([tmp_path / "a.jsonl"], tmp_path / "mapping.yaml", WORDS, ["S"], inputs)
    assert inputs.files[(tmp_path / "mapping.yaml").as_posix()].sha256 is None

    read_readback([tmp_path / "b.csv"], tmp_path / "mapping.yaml", WORDS, ["S"], inputs)
    assert inputs.files[(tmp_path / "b.csv").as_posix()].sha256 is not None


def test_ditto_marks_in_columns_of_names_are_refused_once_a_column(tmp_path: Path) -> None:
    """Taken as names, they would be serial numbers, networks and gateways unknown to any plan."""
    path = tmp_path / "typed-off.csv"
    path.write_text('tag,network,channel\nA,North,7\nB,"""",7\nC, Do. ,8\n')
    with pytest.raises(InputProblems) as refused:
        read_readback([path], None, WORDS, ["S"], Inputs())

    (problem,) = refused.value.problems
    assert (problem.line, problem.column) == (3, "B")
    assert problem.message == "'\"' is a ditto mark, not a name, here and in 1 more row"
    assert problem.mend == "write the network in every row"

    path.write_text("tag,channel\nA,7\ndo.,8\n")
    with pytest.raises(InputProblems) as refused:
        read_readback([path], None, WORDS, ["S"], Inputs())
    assert [problem.message for problem in refused.value.problems] == ["'do.' is a ditto mark, not a name"]


def test_a_gateway_list_may_head_its_columns_as_lists_do(tmp_path: Path) -> None:
    """The same export serves `why`; it is known if a device type has a setting with the role."""
    heard = Setting(name="age", kind="integer", role="last_heard", unit="s")
    words = vocabulary([TYPE.model_copy(update={"settings": (*TYPE.settings, heard)})])
    path = tmp_path / "list.csv"
    path.write_text("tag,heard\nA,7\n")
    (table,) = read_readback([path], None, words, ["S"], Inputs())

    assert table.columns["age"].texts == ["7"]
