"""Files as bytes and as text: links, and encodings that do not fit."""

from __future__ import annotations

import json
import os
import unicodedata
from collections.abc import Callable
from pathlib import Path
from typing import Literal

import pytest
from xlsxwriter import Workbook

from audit.errors import InputProblems
from audit.reading.entries import read_entries
from audit.reading.files import FileBytes, beside, decode, fetched_later, marked, read_bytes
from audit.run import Order, run
from tests.folding.sites import QUIET
from tests.reading.made import WORDS, file
from tests.site_builder import SiteOf
from tests.small_site import node, small_site


@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
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


@pytest.mark.parametrize("read", [decode, lambda found: read_entries(found, WORDS)], ids=["text", "entries"])
def test_an_unfinished_merge_is_told(read: Callable[[FileBytes], object]) -> None:
    """Otherwise both people's lines would count, or the marks would be called bad JSON line by line."""
    merged = b"tag,CH\n<<<<<<< ours\nA,7\n=======\nA,8\n>>>>>>> theirs\n"
    with pytest.raises(InputProblems) as refused:
        read(file("x.csv", merged))

    (problem,) = refused.value.problems
    assert problem.place() == "x.csv:2"
    assert "merge that was not finished" in problem.message


@pytest.mark.parametrize("text", ["a\n<<<<<<< b\n", "a <<<<<<< b\n>>>>>>> c\n", ">>>>>>> a\n<<<<<<< b\n"])
def test_other_angle_brackets_are_text(text: str) -> None:
    """A mark begins a line, and has its counterpart below."""
    assert decode(file("x.csv", text.encode())) == text


@pytest.mark.parametrize("ending", ["csv", "json", "yaml", "jsonl", "xlsx"])
def test_an_accent_in_a_character_of_its_own_makes_no_other_tag(tmp_path: Path, ending: str) -> None:
    """Nobody sees which of the two forms a program writes: they would differ, and yet look alike."""
    serial = "00410011"
    order = SiteOf(
        planned=[{"tag": "T\u00c4-11", "serial": serial, "channel": 7}], gateway_found=None, **QUIET
    )
    row = {"tag": "T\u00c4-11", "serial": serial, "Kan\u00e4le": "7"}
    row = {unicodedata.normalize("NFD", key): unicodedata.normalize("NFD", text) for key, text in row.items()}
    path, mapping = tmp_path / f"found.{ending}", tmp_path / "map.json"
    if ending == "xlsx":
        book = Workbook(path)
        sheet = book.add_worksheet(unicodedata.normalize("NFD", "S\u00fcd"))
        sheet.write_row(0, 0, [*row])
        sheet.write_row(1, 0, [*row.values()])
        book.close()
    elif ending == "csv":
        path.write_text("\n".join([",".join(row), ",".join(row.values())]), encoding="utf-8")
    else:
        record = json.dumps(row, ensure_ascii=False)
        path.write_text(record if ending == "jsonl" else f"[{record}]", encoding="utf-8")
    sheets = {"sheet": "S\u00fcd"} if ending == "xlsx" else {}
    maps = [{"columns": {"Kan\u00e4le": "channel"}, **sheets}]
    mapping.write_text(json.dumps({"asfound": "mapping/1", "mappings": maps}), encoding="utf-8")

    result = run(Order(order.write(tmp_path).plan, [path], mapping=mapping, run_on="2026-05-01"))

    assert [finding.rule for finding in result.findings] == ["gateway-not-read"]


FORMS: tuple[Literal["NFC", "NFD"], ...] = ("NFC", "NFD")
"""How a letter with an accent may be spelt: as one character, or as two."""


@pytest.mark.parametrize("written", FORMS)
@pytest.mark.parametrize("on_disk", FORMS)
def test_an_accent_in_a_character_of_its_own_makes_no_other_file(
    tmp_path: Path, written: Literal["NFC", "NFD"], on_disk: Literal["NFC", "NFD"]
) -> None:
    """Archives made on macOS unpack to names in which it is one; our texts are composed."""
    path = tmp_path / unicodedata.normalize(on_disk, "S\u00fcd/T\u00fcr.yaml")
    path.parent.mkdir()
    path.write_text("asfound: device-type/1", encoding="utf-8")

    reference = unicodedata.normalize(written, "S\u00fcd/T\u00fcr.yaml")
    assert beside(tmp_path / "plan.yaml", reference, "plan.yaml").is_file()


def test_a_file_of_the_plan_that_was_not_fetched_is_told(tmp_path: Path) -> None:
    """File managers show it as a file, so that its name cannot be the fault."""
    (tmp_path / ".nodes.csv.icloud").write_bytes(b"")

    with pytest.raises(InputProblems, match=r"'nodes\.csv' is not on this disk"):
        beside(tmp_path / "plan.yaml", "nodes.csv", "plan.yaml")


@pytest.mark.parametrize("reference", ["S\u00fcd/T\u00fcr.yaml", "T\u00fcr.yaml"])
def test_a_file_with_an_accent_that_is_not_there_is_told(tmp_path: Path, reference: str) -> None:
    """Neither is its folder, in the first case."""
    with pytest.raises(InputProblems, match=f"there is no file '{reference}'"):
        beside(tmp_path / "plan.yaml", reference, "plan.yaml")


@pytest.mark.parametrize("on_disk", FORMS)
def test_an_accent_in_the_name_of_a_file_makes_no_other_tag(
    tmp_path: Path, on_disk: Literal["NFC", "NFD"]
) -> None:
    """The mapping is for the file, and the tag that its name gives is the planned one."""
    site = small_site(tmp_path, nodes=[node(1) | {"tag": "T\u00c4-11"}])
    name = unicodedata.normalize(on_disk, "T\u00c4-11.csv")
    site.read(f"found/{name}", "network,Kanal,address\nMain,8,11\n")
    mapping = site.mapping(files=["T\u00c4-*.csv"], tag_from="file", columns={"Kanal": "channel"})

    findings = site.result("--mapping", mapping)["findings"]
    assert [one["node"] for one in findings if one["rule"] == "channel-differs"] == ["T\u00c4-11"]
    assert "tag-serial-mismatch" not in [one["rule"] for one in findings]


def test_a_file_that_was_not_fetched_is_known_by_its_hidden_mark() -> None:
    """Another file may end as marks do."""
    path = Path("read/found.csv")

    assert marked(fetched_later(path)) == path
    assert marked(Path("read/found.icloud")) is None


@pytest.mark.parametrize(
    ("name", "hint"),
    [("Node.yaml", "; nearest: node.yaml"), ("plan", "; nearest: plan.yaml"), ("x.csv", ""), ("x/y.csv", "")],
    ids=["other capital letters", "without its ending", "nothing like it", "no such folder"],
)
def test_a_file_that_is_not_there_is_told_with_what_is(tmp_path: Path, name: str, hint: str) -> None:
    """Names that Windows takes for the same differ on other systems."""
    for there in ("node.yaml", "plan.yaml", ".Node.yaml.swp"):
        (tmp_path / there).touch()

    for look in (
        lambda: read_bytes(tmp_path / name),
        lambda: beside(tmp_path / "plan.yaml", name, "plan.yaml"),
    ):
        with pytest.raises(InputProblems) as missing:
            look()
        (problem,) = missing.value.problems
        assert problem.mend == f"check the name and the folder{hint}"
