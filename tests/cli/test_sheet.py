"""asfound sheet: where the sheets go, in which format, and what is never overwritten."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.cli.sites import in_a_process
from tests.refusing import assert_clear
from tests.sheets.filling import SHOWN, blank, filled, rich_site
from tests.small_site import Outcome, SmallSite, run

BEGINS = {
    "s.xlsx": b"PK",
    "s.csv": b"\xef\xbb\xbftag",
    "s.html": b"<!DOCTYPE html>",
    "s.HTM": b"<!DOCTYPE html>",
}


@pytest.fixture
def site(tmp_path: Path) -> SmallSite:
    """Return a site."""
    return rich_site(tmp_path)


def refused(outcome: Outcome, says: str, mend: str) -> None:
    """Assert that nothing was made, for one reason, which is given with its remedy."""
    assert outcome.code == 2
    assert outcome.stdout == ""
    assert_clear(outcome.stderr)
    (problem,) = outcome.problems
    assert says in problem.partition("\n")[0]
    assert mend in problem.partition("\n")[2]


@pytest.mark.parametrize("name", list(BEGINS))
def test_the_ending_names_the_format(site: SmallSite, name: str) -> None:
    """A file gets the format of its ending."""
    assert blank(site, name).read_bytes().startswith(BEGINS[name])


def test_several_files_at_once(site: SmallSite) -> None:
    """One run makes them all, says what is in each, and what comes next."""
    outs = [part for name in ("a.xlsx", "a.csv", "a.html") for part in ("--out", site.folder / name)]
    outcome = run("sheet", site.plan, *outs)
    folder = site.folder.as_posix()

    assert outcome.code == 0
    assert outcome.stdout == (
        f"{folder}/a.xlsx: 4 devices in 1 network, blind\n"
        f"{folder}/a.csv: 4 devices in 1 network, blind\n"
        f"{folder}/a.html: 4 devices in 1 network, blind\n"
        f"next, once filled in: asfound check {folder}/plan.yaml {folder}/a.xlsx\n"
    )


def test_cards_alone_are_not_to_be_checked(site: SmallSite) -> None:
    """What is written on paper has to be typed in first."""
    assert "next" not in run("sheet", site.plan, "--out", site.folder / "a.html").stdout


def test_quiet_says_nothing(site: SmallSite) -> None:
    """Only the exit code says that it worked."""
    assert run("sheet", site.plan, "--out", site.folder / "a.csv", "--quiet").stdout == ""


@pytest.mark.parametrize("where", [["--out", "-"], []], ids=["-", "no --out"])
def test_stdout_gets_what_a_file_gets(site: SmallSite, where: list[str]) -> None:
    """And nothing else, so that it can be piped."""
    outcome = run("sheet", site.plan, *where, "--format", "csv")

    assert outcome.code == 0
    assert outcome.stdout.encode() == blank(site, "s.csv").read_bytes()


def test_a_workbook_on_stdout(site: SmallSite) -> None:
    """Bytes go through a pipe unchanged."""
    target = site.folder / "piped.xlsx"
    with target.open("wb") as stream:
        done = in_a_process("sheet", site.plan, "--format", "xlsx", "--out", "-", stdout=stream.fileno())

    assert done.returncode == 0
    assert target.read_bytes() == blank(site, "s.xlsx").read_bytes()


def test_nothing_says_where_to(site: SmallSite) -> None:
    """Without --out and --format nothing is written to the terminal by surprise."""
    refused(run("sheet", site.plan), "nothing says where the sheets go", "--out FILE.xlsx")
    refused(run("sheet", site.plan, "--out", "-"), "nothing says in which format", "--format csv")


def test_an_ending_that_tells_nothing(site: SmallSite) -> None:
    """An unknown ending is refused with those that are known; --format helps."""
    refused(
        run("sheet", site.plan, "--out", site.folder / "s.ods"), "no format is known", ".xlsx, .csv, .html"
    )
    assert blank(site, "sheet", "--format", "csv").read_bytes().startswith(BEGINS["s.csv"])


def test_a_filled_in_sheet_is_not_written_over(site: SmallSite) -> None:
    """What somebody typed in the field is worth more than a blank sheet, unless --replace is given."""
    sheet = blank(site)
    content = filled(sheet, SHOWN)
    sheet.write_bytes(content)
    other = site.folder / "other.csv"

    outcome = run("sheet", site.plan, "--out", other, "--out", sheet)

    refused(outcome, "exists already, and may be filled in", "--replace")
    assert sheet.read_bytes() == content
    assert not other.exists(), "either all files are written, or none"
    assert run("sheet", site.plan, "--out", sheet, "--replace").code == 0
    assert sheet.read_bytes() != content


def test_the_very_same_sheet_may_be_made_again(site: SmallSite) -> None:
    """A run that changes nothing is not refused."""
    assert blank(site).read_bytes() == blank(site).read_bytes()


def test_a_file_of_the_plan_is_not_written_over(site: SmallSite) -> None:
    """Not even with --replace: a node table is a CSV too."""
    site.write("nodes.csv", "tag,serial,address\nN-7,100007,17\n")
    site.replace("  node_type: node", "  node_type: node\n  node_tables: [{file: nodes.csv}]")
    before = (site.folder / "nodes.csv").read_bytes()

    refused(run("sheet", site.plan, "--out", site.folder / "nodes.csv", "--replace"),
            "one of the files that were read", "another name")  # fmt: skip
    assert (site.folder / "nodes.csv").read_bytes() == before


@pytest.mark.parametrize(
    ("name", "says"), [("", "it is a folder"), ("no/such/s.csv", "its folder does not exist")]
)
def test_targets_that_cannot_be(site: SmallSite, name: str, says: str) -> None:
    """A target is checked before anything is made."""
    refused(run("sheet", site.plan, "--format", "csv", "--out", site.folder / name), says, "")


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_a_full_disk(site: SmallSite) -> None:
    """What cannot be written is reported, and leaves nothing behind."""
    before = site.files()
    done = in_a_process("sheet", site.plan, "--format", "csv", stdout=os.open("/dev/full", os.O_WRONLY))

    assert done.returncode == 2
    assert "cannot be written" in done.stderr
    assert site.files() == before


@pytest.mark.parametrize("plan", ["no.yaml", "."])
def test_no_plan(site: SmallSite, plan: str) -> None:
    """A plan that cannot be read makes no sheets."""
    outcome = run("sheet", site.folder / plan, "--format", "csv")

    assert (outcome.code, outcome.stdout) == (2, "")


def test_a_slip_in_the_plan_is_told(site: SmallSite) -> None:
    """Everything wrong with the plan is reported, with its place."""
    site.replace("node_type: node", "node_type: nodes")
    outcome = run("sheet", site.plan, "--format", "csv")

    assert outcome.code == 2
    assert "plan.yaml" in outcome.problems[0]
    assert "unknown device type 'nodes'" in outcome.problems[0]


def test_one_network_of_several(site: SmallSite) -> None:
    """--network chooses; an unknown one is refused."""
    refused(run("sheet", site.plan, "--format", "csv", "--network", "Mian"), "unknown network 'Mian'", "Main")
    assert "N-1" in run("sheet", site.plan, "--format", "csv", "--network", "Main").stdout


def test_with_plan_is_said_aloud(site: SmallSite) -> None:
    """Whoever makes such a sheet is told how little it proves."""
    outcome = run("sheet", site.plan, "--out", site.folder / "s.csv", "--with-plan")

    assert "with planned values: a readback copied from them proves nothing" in outcome.stdout


def test_help_names_every_option() -> None:
    """--help has examples, formats and exit codes."""
    text = in_a_process("sheet", "--help").stdout

    for word in ("--out", "--format", "--network", "--delimiter", "--with-plan", "--replace", "--quiet",
                 "exit codes", "asfound sheet plan.yaml --out sheets.xlsx"):  # fmt: skip
        assert word in text
