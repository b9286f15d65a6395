"""Which format goes where: by the ending, by --format, to several files, to stdout."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from audit.reporting.formats import FORMATS
from tests.cli.sites import ROOT, with_a_finding

BEGINS = {
    "text": b"FAIL  ", "json": b'{\n  "schema": "asfound/result/1"', "sarif": b'{\n  "$schema": ',
    "junit": b"<?xml version=", "punch-csv": b"\xef\xbb\xbf", "punch-xlsx": b"PK", "markdown": b"#",
    "html": b"<!DOCTYPE html>",
}  # fmt: skip
"""Format → how a file of it begins."""


def test_every_format_is_in_the_readme_and_its_beginning_known() -> None:
    """The README's table under Reports names an ending of each."""
    table = re.findall(r"^\| (\..*?) \|", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE)

    assert set(BEGINS) == {form.name for form in FORMATS}, "add it to BEGINS"
    listed = set(", ".join(table).split(", "))
    assert {form.endings[0] for form in FORMATS} <= listed, "add a row to the table"


@pytest.mark.parametrize(("ending", "name"), [(end, form.name) for form in FORMATS for end in form.endings])
def test_the_ending_names_the_format(tmp_path: Path, ending: str, name: str) -> None:
    """Every ending gives its format, in any case of letters."""
    for file in (f"r{ending}", f"R{ending.upper()}"):
        with_a_finding(tmp_path).check("--quiet", "--out", tmp_path / file)

        assert (tmp_path / file).read_bytes().lstrip().startswith(BEGINS[name])


@pytest.mark.parametrize("name", BEGINS)
def test_format_names_that_of_other_endings(tmp_path: Path, name: str) -> None:
    """A file with an unknown ending takes the format named; one with a known ending keeps its own."""
    outs: list[str | Path] = ["--out", tmp_path / "report", "--out", tmp_path / "r.json"]
    with_a_finding(tmp_path).check("--quiet", "--format", name, *outs)

    assert (tmp_path / "report").read_bytes().lstrip().startswith(BEGINS[name])
    assert (tmp_path / "r.json").read_bytes().startswith(BEGINS["json"])


@pytest.mark.parametrize("name", [name for name in BEGINS if name != "punch-xlsx"])
def test_stdout_is_the_same_as_a_file(tmp_path: Path, name: str) -> None:
    """`-` writes to stdout what a file would get, and --quiet does not silence what was asked for."""
    site = with_a_finding(tmp_path)
    site.check("--quiet", "--format", name, "--out", tmp_path / "report")
    outcome = site.check("--quiet", "--format", name, "--out", "-")

    assert outcome.code == 1
    assert outcome.stdout.encode() == (tmp_path / "report").read_bytes()


def test_a_workbook_goes_through_a_pipe(tmp_path: Path) -> None:
    """Bytes reach stdout unchanged."""
    site = with_a_finding(tmp_path)
    command = [sys.executable, "-m", "audit", "check", *map(str, (site.plan, *site.readbacks))]
    command += ["--format", "punch-xlsx", "--out", "-"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, check=False)

    assert done.returncode == 1, done.stderr
    assert openpyxl.load_workbook(io.BytesIO(done.stdout)).sheetnames


def test_only_reports_of_every_device_list_them(tmp_path: Path) -> None:
    """A result in JSON is the same whatever else is written; --detail adds the devices."""
    site = with_a_finding(tmp_path)
    site.check("--quiet", "--out", tmp_path / "a.json")
    site.check("--quiet", "--out", tmp_path / "b.json", "--out", tmp_path / "b.html")
    site.check("--quiet", "--out", tmp_path / "c.json", "--detail")

    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()
    assert json.loads((tmp_path / "a.json").read_bytes())["devices"] is None
    assert [d["gateway"] for d in json.loads((tmp_path / "c.json").read_bytes())["devices"]][:2] == [
        True,
        False,
    ]


def test_nothing_is_written_where_one_cannot_be(tmp_path: Path) -> None:
    """A name that cannot be used is reported before anything is done."""
    outcome = with_a_finding(tmp_path).check(
        "--out", tmp_path / "r.html", "--out", tmp_path / "none" / "r.json"
    )

    assert outcome.code == 2
    assert not (tmp_path / "r.html").exists()
