"""asfound worklist: arguments, formats, exit codes, and what it refuses."""

from __future__ import annotations

import csv
import io
import json
import shlex
from pathlib import Path

import openpyxl
import pytest
from jsonschema import Draft202012Validator

from audit.resources import schema_text
from tests.cli.sites import in_a_process
from tests.sampling.sites import drawn, fleet
from tests.small_site import (
    ACCESS_CODE,
    DEFAULT_REFUSED,
    NODES,
    SETTINGS,
    Outcome,
    SmallSite,
    run,
    small_site,
)
from tests.test_waiving import waiver
from tests.the_examples import EXAMPLES

TARNBECK = (EXAMPLES / "tarnbeck/plan.yaml", EXAMPLES / "tarnbeck/as-found", "--on", "2026-05-20")
SWAPPED = {"N-1": {"address": "12"}, "N-2": {"address": "11"}}


def worklist(site: SmallSite, *arguments: str | Path) -> Outcome:
    """Run `asfound worklist` on the plan and the readbacks of a site."""
    return run("worklist", site.plan, *site.readbacks, "--on", "2026-03-31", *arguments)


def test_nothing_to_do_exits_with_0(tmp_path: Path) -> None:
    """A site as planned has no steps."""
    outcome = worklist(small_site(tmp_path))

    assert outcome.code == 0
    assert "nothing to do" in outcome.stdout
    assert not outcome.stderr


def test_steps_exit_with_1_and_stand_in_order(tmp_path: Path) -> None:
    """An exchange of two addresses: check, one to a spare, then the other, then the first."""
    outcome = worklist(small_site(tmp_path, found=SWAPPED))

    assert outcome.code == 1
    wanted = ["WORK LIST", "authorises nothing", "BEFORE YOU START", "STEPS", "12 → ", "11 → 12", "→ 11"]
    places = [outcome.stdout.index(words) for words in wanted]
    assert places == sorted(places)


def test_a_check_that_failed_names_the_command_of_its_list(tmp_path: Path) -> None:
    """With the same files, and waivers, so that what is waived is no work; none where all is well."""
    failed = small_site(tmp_path / "a b", found=SWAPPED)
    unread = waiver(rule="node-not-read", node="N-1", setting=None, value=None)
    waivers = failed.write("waivers.json", json.dumps({"asfound": "waivers/1", "waivers": [unread]}))
    words = shlex.split(failed.result("--waivers", waivers, "--gate", "annual")["next_command"])

    assert words == [
        "asfound",
        "worklist",
        str(failed.plan),
        *map(str, failed.readbacks),
        "--waivers",
        str(waivers),
    ]
    assert run(*words[1:]).code == 1
    assert small_site(tmp_path / "good").result()["next_command"] == ""


def test_nodes_that_no_sample_has_drawn_are_no_work(tmp_path: Path) -> None:
    """What was found on one is set, its network is read in full, and the others are left alone."""
    site = fleet(tmp_path)
    tags = drawn(site.draw("--confidence", "95", "--defective", "10"))
    bad = next(tag for tag in tags if tag[0] == "N")
    site.read(tags, **{bad: {"range_high": "200"}})
    readback = sorted(tmp_path.glob("read-*.csv"))
    given: list[str | Path] = ["worklist", site.plan, *readback, "--on", "2026-05-01"]
    of_all, of_sample = tmp_path / "all.json", tmp_path / "sample-list.json"

    assert run(*given, "--quiet", "--out", of_all).code == 1
    assert run(*given, "--sample", site.file, "--quiet", "--out", of_sample).code == 1

    def findings(path: Path) -> list[str]:
        steps = json.loads(path.read_text(encoding="utf-8"))["steps"]
        return [name.split("/")[0] for step in steps for name in step["findings"]]

    assert findings(of_all).count("node-not-read") == 80 - len(tags)
    assert sorted(set(findings(of_sample))) == ["range-differs", "read-network-in-full", "sample-rejected"]


def test_a_ring_without_a_spare_is_refused_and_the_rest_listed() -> None:
    """The quarry has no spare address: the exchange is held back, three other changes are listed."""
    outcome = run("worklist", *TARNBECK, "--width", "400")

    assert outcome.code == 1
    assert "HELD BACK" in outcome.stdout
    assert "no address from 101 to 112 is free" in outcome.stdout
    assert outcome.stdout.count("→") == 3 + 3


def test_a_spare_lets_the_ring_through() -> None:
    """With 113 stated, PT-103 uses it on the way."""
    outcome = run("worklist", *TARNBECK, "--spare", "113", "--width", "400")

    assert "HELD BACK" not in outcome.stdout
    order = ["ADDR (address), at RADIO > ADDR: 104 → 113", "103 → 104", "113 → 103"]
    places = [outcome.stdout.index(change) for change in order]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("readback", "code", "told"),
    [
        ("as-left", 0, "11 of 12 steps done, 0 open, 0 newly wrong"),
        ("as-found", 1, "0 of 12 steps done, 11 open"),
    ],
)
def test_after_the_work_the_list_is_ticked_off(readback: str, code: int, told: str) -> None:
    """As left, all that a readback can show is done; the one as found, given again, ticks nothing off."""
    outcome = run("worklist", *TARNBECK, "--spare", "113", "--done", EXAMPLES / "tarnbeck" / readback)

    assert outcome.code == code
    assert told in outcome.stdout


def test_nodes_still_silent_after_a_gateway_was_left_as_it_was() -> None:
    """They are listed after a single 'but', as one sentence."""
    folder = EXAMPLES / "sallow-creek"
    given = (folder / "plan.yaml", folder / "as-found", "--done", folder / "as-found")

    steps = json.loads(run("worklist", *given, "--on", "2026-07-15", "--format", "json").stdout)["steps"]

    left = next(step["as_left"] for step in steps if step["tag"] == "GW-3")
    assert left.startswith("14; but LT-301: last heard longer ago")
    assert (left.count("but "), left.count("last heard")) == (1, 7)


def test_every_format_holds_the_same_steps(tmp_path: Path) -> None:
    """Text, CSV, workbook, page and JSON, written in one go."""
    names = ("list.txt", "list.csv", "list.xlsx", "list.html", "list.json")
    outs = [part for name in names for part in ("--out", tmp_path / name)]
    outcome = run("worklist", *TARNBECK, "--quiet", *outs)

    assert (outcome.code, outcome.stdout) == (1, "")
    data = json.loads((tmp_path / "list.json").read_text(encoding="utf-8"))
    assert list(Draft202012Validator(json.loads(schema_text("worklist"))).iter_errors(data)) == []
    rows = list(csv.DictReader(io.StringIO((tmp_path / "list.csv").read_text(encoding="utf-8-sig"))))
    sheet = openpyxl.load_workbook(tmp_path / "list.xlsx")["Steps"]
    page = (tmp_path / "list.html").read_text(encoding="utf-8")
    text = (tmp_path / "list.txt").read_text(encoding="utf-8")
    for step in data["steps"]:
        assert rows[step["number"] - 1]["what to do"] == step["do"]
        assert sheet.cell(step["number"] + 1, 1).value == str(step["number"])
        assert f'id="step-{step["number"]}"' in page
        assert f"[ ] {step['number']}. " in text


def test_the_same_input_gives_the_same_bytes(tmp_path: Path) -> None:
    """In processes of their own, with other seeds of the hash."""
    made = []
    for seed in ("1", "2"):
        files = [tmp_path / f"{seed}.{ending}" for ending in ("csv", "xlsx", "html", "json")]
        outs = [part for file in files for part in ("--out", file)]
        done = in_a_process("worklist", *TARNBECK, "--spare", "113", *outs, PYTHONHASHSEED=seed)
        made.append([done.stdout, *(file.read_bytes() for file in files)])

    assert made[0] == made[1]


def test_another_format_on_stdout(tmp_path: Path) -> None:
    """As with a check."""
    outcome = worklist(small_site(tmp_path, found=SWAPPED), "--format", "csv")

    assert outcome.stdout.startswith("\ufeffstep,visit,network")


def test_a_start_is_read_from_the_command_line() -> None:
    """The visits are then ordered by distance, and the list says how."""
    plan, found = EXAMPLES / "ostervik/plan.yaml", EXAMPLES / "ostervik/as-found"
    outcome = run("worklist", plan, found, "--on", "2026-05-20", "--start", "1150,4800", "--width", "200")

    assert outcome.code == 1
    assert "shortest round, exact over 9 visits" in outcome.stdout


def test_waived_findings_make_no_step() -> None:
    """The firmware of PD-54 is excused until December."""
    folder = EXAMPLES / "ostervik"
    arguments = (folder / "plan.yaml", folder / "as-found", "--on", "2026-05-20", "--width", "200")
    plain = run("worklist", *arguments)
    waived = run("worklist", *arguments, "--waivers", folder / "waivers.yaml")

    assert "PD-54" in plain.stdout
    assert "PD-54, serial" not in waived.stdout
    assert "waived, without a step" in waived.stdout


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--radio", "Main"], "--radio Main is not NETWORK=WAY"),
        (["--radio", "plan"], "--radio plan is not NETWORK=WAY"),
        (
            ["--radio", "Main=up"],
            "is not NETWORK=WAY\n    fix: write --radio North=plan, North=gateway or North=nodes",
        ),
        (["--radio", "Mian=plan"], "the plan has no network 'Mian'"),
        (["--spare", "999"], "--spare 999: no device accepts this address"),
        (["--spare", "11"], "--spare 11 is not free"),
        (["--out", "list.pdf"], "no format is known for its ending"),
        (["--on", "yesterday"], "is not a date"),
    ],
)
def test_wrong_arguments_are_refused(tmp_path: Path, arguments: list[str], message: str) -> None:
    """With one clear message, and exit code 2."""
    outcome = worklist(small_site(tmp_path, found=SWAPPED), *arguments)

    assert outcome.code == 2
    assert message in outcome.stderr
    assert "Traceback" not in outcome.stderr


@pytest.mark.parametrize("text", ["here", "1", "nan,1", "1e9,1", "-1e9,1"])
def test_a_start_is_two_numbers(tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str) -> None:
    """As with `asfound why`; both are on a map."""
    with pytest.raises(SystemExit) as stopped:
        worklist(small_site(tmp_path), f"--start={text}")

    assert stopped.value.code == 2
    assert "--start" in capsys.readouterr().err


def test_a_start_is_on_the_grid_where_the_plan_has_one(tmp_path: Path) -> None:
    """If positions have both, as with `asfound why`."""
    position = {"x_m": 10, "y_m": 20, "latitude": 56.1, "longitude": 10.2}
    site = small_site(tmp_path, nodes=[{**one, "position": position} for one in NODES], found=SWAPPED)

    assert worklist(site, "--start", "1200,3400").code == 1


def test_without_a_readback_there_is_no_list(tmp_path: Path) -> None:
    """A list is made from what was found."""
    outcome = run("worklist", small_site(tmp_path).plan)

    assert outcome.code == 2
    assert "no READBACK is given" in outcome.stderr


@pytest.mark.parametrize("content", ["", "tag\n", "\x00\x01junk", "tag;serial\nN-1;1\n"])
def test_a_bad_readback_is_refused(tmp_path: Path, content: str) -> None:
    """Empty, without rows, junk, or with the wrong delimiter: a message, never a traceback."""
    outcome = worklist(small_site(tmp_path).read("found.csv", content))

    assert outcome.code in (1, 2)
    assert "internal fault" not in outcome.stderr


def test_a_bad_readback_after_the_work_is_refused(tmp_path: Path) -> None:
    """It is named like any other file."""
    site = small_site(tmp_path, found=SWAPPED)
    outcome = worklist(site, "--done", tmp_path / "nowhere.csv")

    assert outcome.code == 2
    assert "nowhere.csv" in outcome.stderr


def test_an_output_never_replaces_an_input(tmp_path: Path) -> None:
    """Somebody typed the readback."""
    site = small_site(tmp_path, found=SWAPPED)
    before = site.readbacks[0].read_bytes()
    outcome = worklist(site, "--out", site.readbacks[0])

    assert outcome.code == 2
    assert site.readbacks[0].read_bytes() == before


def test_no_access_code_gets_into_a_list(tmp_path: Path) -> None:
    """A code that an export carries in clear appears in no format."""
    found = {"N-1": {"access_code": "1234", "default_refused": "no"}}
    site = small_site(tmp_path, settings=[*SETTINGS, ACCESS_CODE, DEFAULT_REFUSED], found=found)
    for form in ("text", "csv", "html", "json"):
        outcome = worklist(site, "--format", form)
        assert outcome.code == 1
        assert "1234" not in outcome.written
