"""The report as it is printed: width, colours, what it does to a terminal, and that it is always the same."""

from __future__ import annotations

import io
import re
import shlex
from pathlib import Path

import pytest

from audit.cli import main
from tests.cli.sites import ROOT, in_a_process, with_a_finding
from tests.cli.terminals import Terminal
from tests.small_site import NODES, as_csv, as_planned, node, run, small_site

EXAMPLES = ["merrow-vale", "tarnbeck"]
ESCAPE = "\x1b["


def as_found(example: str, *arguments: str) -> str:
    """Return the text report of an example as found."""
    folder = Path("examples") / example
    outcome = run("check", folder / "plan.yaml", folder / "as-found", "--on", "2026-03-31", *arguments)
    assert outcome.code == 1
    return outcome.stdout


# Width


@pytest.mark.parametrize("width", [80, 100, 140])
@pytest.mark.parametrize("example", EXAMPLES)
def test_every_line_fits(monkeypatch: pytest.MonkeyPatch, example: str, width: int) -> None:
    """No line of an example's report is wider than asked for, except a single word that cannot be broken."""
    monkeypatch.chdir(ROOT)

    too_wide = [
        line for line in as_found(example, "--width", str(width), "--all").splitlines() if len(line) > width
    ]

    assert [line for line in too_wide if " " in line.strip()] == []


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_wide_terminal_is_used(monkeypatch: pytest.MonkeyPatch, example: str) -> None:
    """A wider report has fewer lines."""
    monkeypatch.chdir(ROOT)

    narrow, wide = (len(as_found(example, "--width", width).splitlines()) for width in ("80", "140"))

    assert wide < narrow


def test_file_names_stay_in_one_piece(tmp_path: Path) -> None:
    """A path that is longer than a line, or has blanks, is not broken, so that it can be searched for."""
    folder = tmp_path / "a-folder-with-a-long-name-of-a-site-at-the-end-of-the-valley" / "its revision c"

    report = with_a_finding(folder).check("--width", "80").stdout

    assert f"{folder.as_posix()}/plan.yaml" in report
    assert f"{folder.as_posix()}/found.csv" in report


def test_80_columns_where_there_is_no_terminal(tmp_path: Path) -> None:
    """Into a file or a pipe the report is 80 columns wide."""
    site = with_a_finding(tmp_path)

    assert site.check().stdout == site.check("--width", "80").stdout


# Colour


def coloured(folder: Path, stdout: io.StringIO, *arguments: str) -> bool:
    """Tell whether a check colours its report on a stream."""
    site = with_a_finding(folder)
    main.run(["check", str(site.plan), *map(str, site.readbacks), *arguments], stdout, io.StringIO())
    return ESCAPE in stdout.getvalue()


@pytest.fixture(autouse=True)
def _no_wishes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Remove what the environment of the tests asks for."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")


def test_colour_on_a_terminal_only(tmp_path: Path) -> None:
    """A terminal gets colour, a file or a pipe does not."""
    assert coloured(tmp_path, Terminal())
    assert not coloured(tmp_path, io.StringIO())


@pytest.mark.parametrize(("wish", "colour"), [("1", False), ("0", False), ("", True)])
def test_no_color_is_honoured(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, wish: str, colour: bool
) -> None:
    """NO_COLOR switches colour off, whatever its value, unless it is empty (its own informal standard)."""
    monkeypatch.setenv("NO_COLOR", wish)

    assert coloured(tmp_path, Terminal()) is colour


def test_a_dumb_terminal_gets_no_colour(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal that says it is dumb would print the codes."""
    monkeypatch.setenv("TERM", "dumb")

    assert not coloured(tmp_path, Terminal())


def test_the_option_wins(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """--color is asked for in this run, so it wins over terminal and environment."""
    monkeypatch.setenv("NO_COLOR", "1")

    assert coloured(tmp_path, io.StringIO(), "--color", "always")
    assert not coloured(tmp_path, Terminal(), "--color", "never")


def test_colour_adds_nothing_but_colour(tmp_path: Path) -> None:
    """Without its colours a coloured report is the plain one: nothing is said by colour alone."""
    site = with_a_finding(tmp_path)

    plain, colour = (site.check("--color", choice).stdout for choice in ("never", "always"))

    assert re.sub(r"\x1b\[[\d;]*m", "", colour) == plain


# What a terminal would obey

HARMFUL = {
    "colour": "N-\x1b[31m9",
    "title of the window": "N-\x1b]0;gone\x079",
    "control sequence in one character": "N-\x9b31m9",
    "line end": "N-9\nPASS  Little Site",
    "carriage return": "N-9\rPASS",
    "right to left": "N-\u202e9",
    "nothing to see": "N-\u200b9",
}


@pytest.mark.parametrize("tag", list(HARMFUL.values()), ids=list(HARMFUL))
def test_a_tag_cannot_act_on_the_terminal(tmp_path: Path, tag: str) -> None:
    """Tags come from files that anybody may have written; the report escapes their control characters."""
    rows = [*as_planned(), {"tag": tag, "serial": "900009", "network": "Main", "channel": "7"}]
    site = small_site(tmp_path).read("found.csv", as_csv(rows))

    outcome = site.check("--all")

    assert "unplanned-node" in outcome.stdout
    assert all(line.isprintable() for line in outcome.written.split("\n"))
    assert [line for line in outcome.stdout.splitlines() if line.startswith("PASS  ")] == [
        "PASS  Little Site, plan revision A"
    ]


@pytest.mark.parametrize("part", ["tag", "location", "serial"])
def test_a_plan_cannot_act_on_the_terminal(tmp_path: Path, part: str) -> None:
    """The same holds for a plan, where YAML can spell any character."""
    harmful = {**NODES[0], part: "9\x1b[31m\u202e"}
    site = small_site(tmp_path, nodes=[harmful, *NODES[1:]], found={harmful["tag"]: {"channel": "8"}})

    outcome = site.check("--all")

    assert outcome.code == 1
    assert all(line.isprintable() for line in outcome.written.split("\n"))


# Always the same


@pytest.mark.parametrize("example", EXAMPLES)
def test_same_input_same_bytes(tmp_path: Path, example: str) -> None:
    """Fresh processes with different hash seeds print and write the same bytes."""
    folder = f"examples/{example}"
    written = set()
    for seed in ("0", "1", "4711"):
        out = tmp_path / f"{seed}.json"
        files = (f"{folder}/plan.yaml", f"{folder}/as-found")
        done = in_a_process("check", *files, "--on", "2026-03-31", "--out", out, PYTHONHASHSEED=seed)
        written.add((done.returncode, done.stdout, done.stderr, out.read_bytes()))

    assert len(written) == 1


@pytest.mark.parametrize("example", EXAMPLES)
def test_same_bytes_from_anywhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, example: str) -> None:
    """From another folder the result is the same except for the file names, which are as given."""
    written: list[str] = []
    for cwd, folder in (
        (ROOT, f"examples/{example}"),
        (ROOT / "examples", example),
        (tmp_path, (ROOT / "examples" / example).as_posix()),
    ):
        out = tmp_path / f"{len(written)}.json"
        monkeypatch.chdir(cwd)
        run("check", f"{folder}/plan.yaml", f"{folder}/as-found", "--on", "2026-03-31", "--out", out)
        text = out.read_text(encoding="utf-8").replace(f"{folder}/", "")
        written.append(text.replace("'", ""))  # a folder with a blank in its name is quoted in the command

    assert written[0] == written[1] == written[2]


def test_the_order_of_readbacks_does_not_matter(tmp_path: Path) -> None:
    """Files given in another order give the same findings."""
    rows = as_planned(found={"N-2": {"channel": "8"}, "N-3": {"high_alarm": "78"}})
    site = small_site(tmp_path)
    one, other = site.write("one.csv", as_csv(rows[:2])), site.write("other.csv", as_csv(rows[2:]))

    site.readbacks[:] = [one, other]
    forwards = site.result()["findings"]
    site.readbacks[:] = [other, one]

    assert site.result()["findings"] == forwards


def test_quiet_still_tells_what_was_not_read(tmp_path: Path) -> None:
    """A problem with the input is reported even if it does not stop the run."""
    site = small_site(tmp_path)
    site.write("found/of/more.csv", "tag\nN-1\n")
    site.read("found/found.csv", as_csv(as_planned())).readbacks[:] = [tmp_path / "found"]

    outcome = site.check("--quiet")

    assert (outcome.code, outcome.stdout) == (0, "")
    assert "warning: a folder in a folder was not read" in outcome.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ("check", "PLAN", "READBACK"),
        ("seal", "PLAN", "READBACK", "--signed-by", "R. Sample", "--even-failing", "--out", "./-2026.json"),
        ("sheet", "PLAN", "--out", "./-sheet.csv"),
        ("sample", "PLAN", "--confidence", "95", "--defective", "50", "--out", "./-sample.json"),
    ],
    ids=lambda arguments: arguments[0],
)
def test_what_is_said_to_come_next_can_be_pasted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...]
) -> None:
    """Also where files have names that begin with a dash, which a program takes for options."""
    folder = tmp_path / "-north"
    folder.mkdir()
    with_a_finding(folder)
    monkeypatch.chdir(tmp_path)
    files = {"PLAN": "./-north/plan.yaml", "READBACK": "./-north/found.csv"}
    said = run(*(files.get(word, word) for word in arguments)).stdout
    (command,) = re.findall(r"(?m)^next.*?:\s(asfound .*)$", said)
    words = [files.get(word, word) for word in shlex.split(command)[1:]]

    assert run(*words).code in (0, 1)


def test_what_a_plan_alone_lacks_is_suggested_next(tmp_path: Path) -> None:
    """Two nodes of one address are resolved by a command; without a block of addresses there is none."""
    twice = [node(1), node(2, address=11)]
    site = small_site(tmp_path / "1", nodes=twice, network_extra={"addresses": {"first": 11, "last": 20}})
    told = run("check", site.plan, "--width", "300").stdout
    without = run("check", small_site(tmp_path / "2", nodes=twice).plan).stdout

    assert f"next: asfound plan {site.plan.as_posix()} --suggest addresses" in told
    assert "1 change to the plan" in run("plan", site.plan, "--suggest", "addresses").stdout
    assert "--suggest" not in without.splitlines()[-1]
