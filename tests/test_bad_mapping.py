"""Slips in a mapping: reported in the mapping, since that is the file to correct."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.refusing import assert_refused, refusal
from tests.small_site import small_site

SLIPS: list[Any] = [
    # what the schema of a mapping finds
    pytest.param({"column": {"tag": "tag"}}, "unknown key 'column'", "columns", id="key"),
    pytest.param({"decimal": ";"}, "';' is not allowed", "','", id="decimal mark"),
    pytest.param({"decimal": ",", "grouping": ","}, "are the same", "grouping", id="one mark for two things"),
    pytest.param({"delimiter": "semicolon"}, "'semicolon'", "the character itself", id="delimiter in words"),
    pytest.param({"delimiter": "\\t"}, "more than one", 'a tab is "\\t"', id="a tab as \\t"),
    pytest.param({"skip_rows": -1}, "-1", "at least 0", id="fewer than no rows to skip"),
    pytest.param({"skip_rows": "two"}, "found 'two'", "a number", id="rows to skip in words"),
    pytest.param({"form": "lnog"}, "'lnog' is not allowed", "long", id="form"),
    pytest.param({"values": {"ein": "on"}}, "(in mappings > entry 1 > values > ein)",
                 "values: {FIELD: {ein: ...}}", id="values without their field"),
    # what shows only once plan and readback are known
    pytest.param({"columns": {"tag": "tga"}}, "'tga', which is neither", "tag", id="field"),
    pytest.param({"columns": {"Tagg": "tag"}}, "no column 'Tagg'", "tag", id="heading"),
    pytest.param({"constants": {"netwrok": "Main"}}, "'netwrok', which is neither", "network",
                 id="constant"),
    pytest.param({"units": {"range_hihg": "bar"}}, "'range_hihg', which is neither", "range_high",
                 id="unit"),
    pytest.param({"values": {"chanel": {"a": "7"}}}, "'chanel', which is neither", "channel", id="values"),
    pytest.param({"constants": {"read_at": "yesterday"}}, "'yesterday'", "2026-03-31", id="time as constant"),
    pytest.param({"encoding": "utf-99"}, "unknown encoding 'utf-99'", "cp1252", id="encoding"),
    pytest.param({"encoding": "base64"}, "unknown encoding 'base64'", "cp1252",
                 id="encoding of something other than text"),
]  # fmt: skip


@pytest.mark.parametrize(("keys", "says", "mend"), SLIPS)
def test_slips_in_a_mapping(tmp_path: Path, keys: dict[str, Any], says: str, mend: str) -> None:
    """A slip in a mapping is one problem, reported at its place in the mapping."""
    site = small_site(tmp_path)

    assert_refused(site, "--mapping", site.mapping(**keys), at="mapping.yaml", says=says, mend=mend)


@pytest.mark.parametrize("files", [{}, {"files": ["*.csv"]}])
def test_a_mapping_behind_another_for_the_same_files(tmp_path: Path, files: dict[str, Any]) -> None:
    """Nobody who gives each sheet a mapping of its own may get the first sheet for all of them."""
    site = small_site(tmp_path)
    mappings = [files | {"sheet": name} for name in ("Upper", "Lower")]
    own = site.write("mapping.yaml", {"asfound": "mapping/1", "mappings": mappings})

    assert_refused(
        site, "--mapping", own, at="mapping.yaml", says="is never used", mend="a mapping file each"
    )


@pytest.mark.parametrize(
    ("keys", "at", "says", "mend"),
    [
        ({"delimiter": ";"}, "mapping.yaml", "found.csv into 1 cell, ',' into", "leave it out"),
        ({"heading_rows": 2}, "found.csv:2", "none of the headings is known", "`heading_rows: 2`"),
        ({"form": "long"}, "found.csv:1", "each row is a device", "leave `form: long` out"),
        ({"form": "across"}, "found.csv:1", "each row is a device", "leave `form: across` out"),
    ],
    ids=["delimiter", "heading rows", "long", "across"],
)  # fmt: skip
def test_a_key_that_the_table_does_not_need(
    tmp_path: Path, keys: dict[str, Any], at: str, says: str, mend: str
) -> None:
    """The file is in order, so what the mapping states of its form is what has to be corrected."""
    site = small_site(tmp_path).read("found.csv", "tag,channel,address\nN-1,7,11\nN-2,7,12\n")

    assert_refused(site, "--mapping", site.mapping(**keys), at=at, says=says, mend=mend)


def test_a_delimiter_that_stands_in_a_remark_alone(tmp_path: Path) -> None:
    """Rows with a remark are wider than the headings, which are no title for that."""
    site = small_site(tmp_path).read("found.csv", "tag,channel,note\nN-1,7,set anew; was 8\n")

    assert_refused(site, "--mapping", site.mapping(delimiter=";"), at="mapping.yaml",
                   says="found.csv into 1 cell, ',' into 3", mend="leave it out")  # fmt: skip


def test_a_row_too_many_of_headings_is_named_where_it_has_blanks(tmp_path: Path) -> None:
    """One heading is known nevertheless, since there is nothing below it in the first row."""
    rows = "tag,channel,address,location,read_by,read_at,note,plan_revision,serial\n"
    rows += "N-1,7,11,Yard,R. Sample,2026-04-20,ok,C,\n"
    site = small_site(tmp_path).read("found.csv", rows)

    for columns in ({}, {"columns": {"tag N-1": "tag"}}):
        more: dict[str, Any] = {"heading_rows": 2, **columns}
        assert_refused(site, "--mapping", site.mapping(**more), at="found.csv:2", says="columns are unknown",
                       mend="`heading_rows: 2` in the mapping may be wrong")  # fmt: skip


def test_a_mapping_that_matches_no_file_is_reported_first(tmp_path: Path) -> None:
    """The columns are unknown because the pattern was mistyped, which is what has to be corrected."""
    site = small_site(tmp_path).read("found.csv", "Name,Kanal\nN-1,7\n")
    mapping = site.mapping(files=["fuond*.csv"], columns={"Name": "tag", "Kanal": "channel"})

    first, *others = refusal(site, "--mapping", mapping).problems

    assert "mapping.yaml:" in first
    assert "none of the files given matches 'fuond*.csv'" in first
    assert "nearest: found.csv" in first
    assert others


def test_a_mapping_beside_a_file_that_is_given_alone(tmp_path: Path) -> None:
    """A mapping is read only if its folder is given; this is said before the unknown columns."""
    site = small_site(tmp_path / "as found").read("found.csv", "Name,Kanal\nN-1,7\n")
    site.mapping(columns={"Name": "tag", "Kanal": "channel"})

    first, *others = refusal(site).problems

    assert "found.csv: the mapping.yaml beside it was not read" in first
    mapping = (site.folder / "mapping.yaml").as_posix()
    assert f'give the folder instead of the file, or add --mapping "{mapping}"' in first
    assert others


def test_a_mapping_among_the_files_of_its_folder(tmp_path: Path) -> None:
    """`readback/*` includes the mapping: it applies to the files, as it does if the folder is given."""
    site = small_site(tmp_path)
    (tmp_path / "readback").mkdir()
    (tmp_path / "found.csv").rename(tmp_path / "readback/found.csv")
    mapping = site.mapping(columns={"Marke": "tag"})
    mapping.rename(tmp_path / "readback/mapping.yaml")
    site.replace("tag", "Marke", "readback/found.csv")

    site.readbacks[:] = [tmp_path / "readback"]
    whole = site.check()
    site.readbacks[:] = sorted((tmp_path / "readback").iterdir(), reverse=True)

    assert whole.code == 0
    assert site.check().stdout == whole.stdout


def test_a_mapping_alone_is_not_a_readback(tmp_path: Path) -> None:
    """A mapping named without any other file of its folder is reported as a mapping."""
    site = small_site(tmp_path)
    site.readbacks[:] = [site.mapping(columns={"Name": "tag"})]

    assert_refused(site, at="mapping.yaml", says="a readback was expected", mend="--mapping")


def test_a_misspelt_file_name_beside_a_mapping(tmp_path: Path) -> None:
    """A misspelt file name is one problem, even if there is a mapping beside it."""
    site = small_site(tmp_path)
    site.mapping(columns={"Name": "tag"})
    site.readbacks[:] = [tmp_path / "fuond.csv"]

    assert_refused(site, at="fuond.csv", says="", mend="check the name")


def test_a_mapping_of_another_name_among_the_readbacks(tmp_path: Path) -> None:
    """The message says how to give a mapping."""
    site = small_site(tmp_path)
    mapping = site.mapping(decimal=",").rename(tmp_path / "own.yaml")

    assert_refused(site, mapping, at="own.yaml:1:10",
                   says="is a mapping ('mapping/1'), but a readback", mend="--mapping")  # fmt: skip


def test_a_mapping_without_mappings(tmp_path: Path) -> None:
    """A mapping file that maps nothing is not finished, so it is refused."""
    site = small_site(tmp_path)
    mapping = site.write("mapping.yaml", "asfound: mapping/1\nmappings:\n")

    assert_refused(
        site, "--mapping", mapping, at="mapping.yaml:1", says="'mappings' is missing", mend="add it"
    )


def test_a_wrong_encoding(tmp_path: Path) -> None:
    """Text that is not in the encoding declared is refused, with that encoding named."""
    site = small_site(tmp_path).read("found.csv", "tag,note,channel\nN-1,Straße,7\n")

    assert_refused(site, "--mapping", site.mapping(encoding="ascii"), at="found.csv:2",
                   says="byte 0xc3 is not ascii", mend="encoding")  # fmt: skip


def test_more_rows_to_skip_than_there_are(tmp_path: Path) -> None:
    """If a mapping skips the whole file, its `skip_rows` is what to look at."""
    site = small_site(tmp_path)

    assert_refused(site, "--mapping", site.mapping(skip_rows=99), at="found.csv", says="", mend="skip_rows")


def test_the_only_row_is_skipped(tmp_path: Path) -> None:
    """One row is told of as one."""
    site = small_site(tmp_path)
    site.read("found.csv", "tag,channel\n")

    assert_refused(site, "--mapping", site.mapping(skip_rows=1), at="found.csv",
                   says="has no more than the 1 row that the mapping skips", mend="skip_rows")  # fmt: skip


def test_a_mapping_for_another_file_is_one_problem(tmp_path: Path) -> None:
    """Read in a wrong encoding, the whole file is one heading: no column is found, and no cell is quoted."""
    site = small_site(tmp_path).read("found.csv", f"Name;Kanal\n{'N-1;7 ' * 200}\n")
    mapping = site.mapping(encoding="utf-16", delimiter=";", columns={"Name": "tag", "Kanal": "channel"})

    problems = [one for one in refusal(site, "--mapping", mapping).problems if "mapping.yaml" in one]

    assert len(problems) == 1
    assert problems[0].startswith(f"{site.folder.as_posix()}/{site.line('Name', 'mapping.yaml')}:")
    assert "has none of the 2 columns that the mapping names: 'Name', 'Kanal'" in problems[0]
    assert "`encoding`" in problems[0]
    assert len(problems[0]) < 400
