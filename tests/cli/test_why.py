"""asfound why: what it prints, its exit codes, its files, and wrong inputs."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from audit.resources import schema_text
from tests.cli.sites import ROOT, in_a_process
from tests.small_site import RADIO, SETTINGS, Outcome, SmallSite, node, run, small_site

OSTERVIK = ROOT / "examples" / "ostervik"
LIST = "serial,last_heard,read_at\n100001,12,2026-03-30\n100003,15,2026-03-30\n"
"""The list of GW-1: N-2 is missing."""


def site_with_a_missing_node(folder: Path, **parts: Any) -> SmallSite:
    """Return a small site in which N-2 is on another channel, and in no list."""
    site = small_site(folder, found={"N-2": {"channel": "8"}}, **parts)
    site.write("list.csv", LIST)
    return site


def why(site: SmallSite, *arguments: str | Path) -> Outcome:
    """Ask why N-2 does not join."""
    return run("why", "N-2", site.plan, *site.readbacks, "--gateway-list", site.folder / "list.csv",
               "--on", "2026-03-31", *arguments)  # fmt: skip


# What it tells


def test_the_verdict_comes_first(tmp_path: Path) -> None:
    """Which node, what and how probable; then the state, the evidence with file and row, and what to do."""
    outcome = why(site_with_a_missing_node(tmp_path), "--width", "200")

    lines = outcome.stdout.splitlines()
    assert outcome.code == 0
    assert lines[0].startswith("N-2 (Main, gateway GW-1): most probably its channel, air rate, network")
    assert "channel is 8, the gateway has 7" in outcome.stdout
    assert "found.csv row 4 column D (channel): '8'" in outcome.stdout
    assert lines.index(next(line for line in lines if line.startswith("NEXT CHECKS"))) < 40
    assert "authorises nothing" in outcome.stdout
    assert lines[0] in lines[-6:]


def test_a_seeded_fault_of_an_example() -> None:
    """TS-58 is set for the neighbouring network and is in its list."""
    outcome = run("why", "TS-58", OSTERVIK / "plan.yaml", OSTERVIK / "as-found", "--width", "200")

    assert "TS-58 (Harbour, gateway GW-11): most probably its channel, air rate, network identity" in (
        outcome.stdout
    )
    assert "it is in the list of GW-19 (Market), heard 2 min before it was made" in outcome.stdout


def test_json_fits_its_schema_and_says_the_same(tmp_path: Path) -> None:
    """The JSON is valid, begins with the verdict, and has everything that the probabilities are based on."""
    outcome = why(site_with_a_missing_node(tmp_path), "--format", "json")

    data = json.loads(outcome.stdout)
    assert list(Draft202012Validator(json.loads(schema_text("diagnosis"))).iter_errors(data)) == []
    assert list(data)[:2] == ["schema", "verdict"]
    assert data["schema"] == "asfound/diagnosis/1"
    (one,) = data["nodes"]
    assert one["causes"][0]["id"] == "radio-settings"
    assert sum(cause["posterior"] for cause in one["causes"]) == pytest.approx(1, abs=1e-4)
    assert data["weights"]["version"] == "9"
    assert len(data["weights"]["sha256"]) == 64
    assert {file["kind"] for file in data["inputs"]} >= {"plan", "readback", "gateway list"}


def test_posteriors_can_be_reckoned_from_the_json(tmp_path: Path) -> None:
    """Prior × likelihoods, normalised, is the posterior: nothing is hidden."""
    (one,) = json.loads(why(site_with_a_missing_node(tmp_path), "--format", "json").stdout)["nodes"]
    products = {cause["id"]: cause["prior"] for cause in one["causes"]}
    for evidence in one["evidence"]:
        products = {cause: p * evidence["likelihoods"][cause] for cause, p in products.items()}

    for cause in one["causes"]:
        assert cause["posterior"] == pytest.approx(products[cause["id"]] / sum(products.values()), abs=1e-4)


def test_the_same_input_gives_the_same_bytes(tmp_path: Path) -> None:
    """In processes of their own, with other seeds of hashing."""
    site = site_with_a_missing_node(tmp_path)
    arguments: list[str | Path] = [
        "why",
        "N-2",
        site.plan,
        *site.readbacks,
        "--gateway-list",
        tmp_path / "list.csv",
        "--on",
        "2026-03-31",
    ]

    one, other = (in_a_process(*arguments, "--format", form, PYTHONHASHSEED=seed).stdout
                  for form, seed in (("json", "1"), ("json", "2")))  # fmt: skip

    assert one == other != ""


def test_what_was_seen(tmp_path: Path) -> None:
    """Several may be given, separated by commas or one by one."""
    site = site_with_a_missing_node(tmp_path)

    outcome = why(site, "--saw", "lcd-blank, cold-snap", "--saw", "damage-seen", "--format", "json")

    saw = [one["id"] for one in json.loads(outcome.stdout)["nodes"][0]["evidence"] if one["source"] == "saw"]
    assert saw == ["lcd-blank", "damage-seen", "cold-snap"]


def test_the_list_of_evidence_needs_no_files() -> None:
    """It names every answer that --saw takes, and the causes that --record takes."""
    outcome = run("why", "--evidence")

    assert outcome.code == 0
    for name in ("lcd-blank", "siblings-silent", "rejected-attempts", "radio-settings"):
        assert f"\n  {name} " in outcome.stdout


def test_options_may_stand_anywhere(tmp_path: Path) -> None:
    """Readbacks after options are still readbacks."""
    site = site_with_a_missing_node(tmp_path)

    outcome = run("why", "N-2", "--was-joined", site.plan, "--saw", "lcd-lives", *site.readbacks)

    assert outcome.code == 0
    assert "channel is 8" in outcome.stdout


def test_a_tag_is_taken_as_it_is_typed(tmp_path: Path) -> None:
    """A tag may contain characters that a path would lose."""
    site = small_site(tmp_path, nodes=[{**node(1), "tag": "A//B/."}, node(2)])

    outcome = run("why", "A//B/.", site.plan)

    assert outcome.stdout.startswith("A//B/. (Main")


def test_files_are_written_in_the_format_of_their_ending(tmp_path: Path) -> None:
    """Text and JSON, whole."""
    site = site_with_a_missing_node(tmp_path)

    outcome = why(site, "--out", tmp_path / "why.json", "--out", tmp_path / "why.txt", "--quiet")

    assert (outcome.code, outcome.stdout) == (0, "")
    assert json.loads((tmp_path / "why.json").read_text(encoding="utf-8"))["nodes"][0]["node"] == "N-2"
    assert (tmp_path / "why.txt").read_text(encoding="utf-8").startswith("N-2 (Main")


def test_an_output_never_replaces_what_was_read(tmp_path: Path) -> None:
    """A gateway's list is somebody's work, and is not overwritten."""
    site = site_with_a_missing_node(tmp_path)
    site.write("list.json", json.dumps([{"serial": "100001"}]))

    outcome = run(
        "why", "N-2", site.plan, "--gateway-list", tmp_path / "list.json", "--out", tmp_path / "list.json"
    )

    assert outcome.code == 2
    assert "not written: it is one of the files that were read" in outcome.stderr


def test_hostile_texts_are_written_out(tmp_path: Path) -> None:
    """A terminal obeys nothing that comes from a file."""
    evil = "N-9\x1b[2J"
    site = small_site(tmp_path, nodes=[{**node(1), "location": "pump\x1b]0;x\x07 house"}, node(2)])
    site.write("list.csv", f"serial,tag,last_heard\n100002,{evil},12\n100001,\x1b[31mN-1,99999\n")

    outcome = run("why", "N-1", site.plan, "--gateway-list", tmp_path / "list.csv")

    assert "\x1b" not in outcome.written
    assert "\x07" not in outcome.written


def test_no_access_code_is_told(tmp_path: Path) -> None:
    """Codes in an export are not compared here, and not written anywhere."""
    from tests.small_site import ACCESS_CODE

    site = small_site(tmp_path, settings=(*SETTINGS, ACCESS_CODE), gateway_settings=(*RADIO, ACCESS_CODE),
                      found={"N-2": {"access_code": "9137", "channel": "8"}})  # fmt: skip
    outcome = run("why", "N-2", site.plan, *site.readbacks)
    machine = run("why", "N-2", site.plan, *site.readbacks, "--format", "json")

    assert "9137" not in outcome.written + machine.written


# All that are missing


def test_all_missing_nodes(tmp_path: Path) -> None:
    """Exit code 1 and a row for each, with its first check."""
    site = site_with_a_missing_node(tmp_path)

    outcome = run("why", "--all", site.plan, *site.readbacks, "--gateway-list", tmp_path / "list.csv")

    assert outcome.code == 1
    assert outcome.stdout.startswith("1 node is missing at 1 gateway\n")
    assert "N-2" in outcome.stdout


def test_none_is_missing(tmp_path: Path) -> None:
    """Exit code 0, and what this is based on."""
    site = small_site(tmp_path)
    site.write("list.csv", "serial,last_heard\n100001,1\n100002,1\n100003,1\n")

    outcome = run("why", "--all", site.plan, "--gateway-list", tmp_path / "list.csv")

    assert outcome.code == 0
    assert outcome.stdout.startswith(
        "no planned node is missing at any gateway, according to lists without a date\n"
    )


def test_a_gateway_without_a_list_may_hear_nobody(tmp_path: Path) -> None:
    """Exit code 1, what the list may mean, and how the gateway differs from the plan."""
    south = {"name": "South", "gateway": {"tag": "GW-2", "type": "gateway", "settings": {"channel": 9}},
             "node_type": "node", "nodes": [node(4)]}  # fmt: skip
    site = small_site(tmp_path)
    plan = yaml.safe_load(site.plan.read_text(encoding="utf-8"))
    site.write("plan.yaml", {**plan, "networks": [*plan["networks"], south]})
    gateways = site.write("gateways.csv", "network,tag,channel\nSouth,GW-2,8\n")
    site.write("list.csv", "gateway,serial,last_heard\nGW-1,100001,1\nGW-1,100002,1\nGW-1,100003,1\n")

    outcome = run(
        "why", "--all", site.plan, gateways, "--gateway-list", tmp_path / "list.csv", "--width", "400"
    )

    assert outcome.code == 1
    assert "is missing at the gateways whose lists were given, which are not all" in outcome.stdout
    assert "list.csv covers all gateways, it hears no nodes; channel is 8, planned 9" in outcome.stdout


def test_a_silent_gateway_comes_first_with_its_nodes_under_it(tmp_path: Path) -> None:
    """Its nodes are named and not diagnosed one by one."""
    site = small_site(tmp_path)
    site.write("list.csv", "serial,last_heard\n100001,999999\n100002,999999\n")

    outcome = run("why", "--all", site.plan, "--gateway-list", tmp_path / "list.csv", "--format", "json")
    text = run("why", "--all", site.plan, "--gateway-list", tmp_path / "list.csv", "--width", "200")

    data = json.loads(outcome.stdout)
    assert data["gateways"][0]["silent_gateway"]
    assert data["gateways"][0]["nodes"] == ["N-1", "N-2", "N-3"]
    assert data["nodes"] == []
    assert "first look at GW-1 (Main), which hears none of its nodes" in text.stdout.splitlines()[0]


def test_without_any_list_nobody_is_called_missing(tmp_path: Path) -> None:
    """It is not known which nodes are missing, so there is no verdict."""
    site = small_site(tmp_path)

    outcome = run("why", "--all", site.plan, *site.readbacks)

    assert outcome.code == 2
    assert "no gateway's list was given, so it is not known which nodes are missing" in outcome.stderr
    assert "--gateway-list" in outcome.stderr


def test_a_plan_without_nodes_has_none_missing(tmp_path: Path) -> None:
    """Nothing was asked for, and so there is no answer; that would be said with an exit code of its own."""
    site = small_site(tmp_path, nodes=[])

    outcome = run("why", "--all", site.plan, *site.readbacks)

    assert (outcome.code, outcome.stdout) == (2, "")
    assert "the plan has no nodes, so none can be missing" in outcome.stderr


def test_a_readback_is_no_gateways_list(tmp_path: Path) -> None:
    """With a table of settings, every node would count as joined."""
    site = small_site(tmp_path)

    outcome = run("why", "N-1", site.plan, "--gateway-list", *site.readbacks)

    assert outcome.code == 2
    assert "found.csv: is not a gateway's list: it has channel" in outcome.stderr


def test_the_missing_nodes_of_an_example() -> None:
    """Both seeded faults of the example that keep a node from joining, and no other node."""
    outcome = run("why", "--all", OSTERVIK / "plan.yaml", OSTERVIK / "as-found", "--format", "json")

    nodes = json.loads(outcome.stdout)["nodes"]
    assert [(one["node"], one["causes"][0]["id"]) for one in nodes] == [
        ("TS-58", "radio-settings"),
        ("TR-139", "radio-settings"),
    ]
    assert run("why", "--all", OSTERVIK / "plan.yaml", OSTERVIK / "as-left").code == 0


# Recording


def test_a_call_is_recorded_and_changes_the_weights(tmp_path: Path) -> None:
    """The log gets a line with what was known; a later run says how many calls it counts."""
    site, log = site_with_a_missing_node(tmp_path), tmp_path / "calls.jsonl"

    first = why(site, "--record", "battery", "--log", log)
    second = why(site, "--record", "battery", "--log", log)
    later = json.loads(why(site, "--log", log, "--format", "json").stdout)

    assert (first.code, second.code) == (0, 0)
    assert "recorded in" in first.stdout
    assert "N-2 was recorded before, at 2026-03-31" in " ".join(second.stdout.split())
    lines = [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]
    assert [line["cause"] for line in lines] == ["battery", "battery"]
    assert "radio-differs" in lines[0]["evidence"]
    assert later["weights"]["calls"] == 2
    before = json.loads(why(site, "--format", "json").stdout)

    def prior(data: dict[str, Any]) -> float:
        return next(float(c["prior"]) for c in data["nodes"][0]["causes"] if c["id"] == "battery")

    assert prior(later) > prior(before)


def test_a_log_is_never_one_of_the_files_read(tmp_path: Path) -> None:
    """Nothing is added to a plan or a list."""
    site = site_with_a_missing_node(tmp_path)
    before = site.plan.read_bytes()

    outcome = why(site, "--record", "battery", "--log", site.plan)

    assert outcome.code == 2
    assert site.plan.read_bytes() == before


# The talk


def typed(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    """Let a text come from the pipe."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(text))


def test_a_talk_from_a_pipe(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Answers come one to a line; the last line may lack its end."""
    typed(monkeypatch, "?\nmenu found\nq")

    outcome = why(site_with_a_missing_node(tmp_path), "--interactive")

    assert outcome.code == 0
    assert "menu: found, not found or unclear?" in outcome.stdout
    assert "remedy: Set the node to its gateway's radio settings" in outcome.stdout
    assert outcome.stderr == ""


def test_a_talk_with_nobody(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty pipe ends it with the verdict."""
    typed(monkeypatch, "")

    outcome = why(site_with_a_missing_node(tmp_path), "--interactive")

    assert outcome.code == 0
    assert "Stopped before a check settled it." in outcome.stdout


def test_a_talk_in_a_process_of_its_own(tmp_path: Path) -> None:
    """With standard input from the system's null device."""
    site = site_with_a_missing_node(tmp_path)

    done = in_a_process("why", "N-2", site.plan, *site.readbacks, "--interactive")

    assert done.returncode == 0
    assert "authorises nothing" in " ".join(done.stdout.split())


# Wrong inputs

WRONG: list[tuple[list[str], str]] = [
    (["why"], "TAG and PLAN are not given"),
    (["why", "N-2"], "PLAN is not given"),
    (["why", "--all"], "PLAN is not given"),
    (["why", "plan.yaml", "N-2"], "plan.yaml is a file; the node comes first"),
    (["why", "--all", "N-2", "plan.yaml"], "leave out the TAG, or --all"),
    (["why", "N-22", "plan.yaml"], "there is no node 'N-22' in the plan"),
    (["why", "GW-1", "plan.yaml"], "'GW-1' is a gateway"),
    (["why", "N-2", "plan.yml"], "plan.yml: there is no such file"),
    (["why", "N-2", "plan.yaml", "--gateway-list", "no.csv"], "no.csv: there is no such file"),
    (["why", "N-2", "plan.yaml", "--gateway-list", "empty.csv"], "empty.csv: is empty"),
    (["why", "N-2", "plan.yaml", "--gateway-list", "junk.csv"], "junk.csv"),
    (["why", "N-2", "plan.yaml", "--gateway-list", "other.csv"], "is a readback of the site 'Elsewhere'"),
    (["why", "N-2", "plan.yaml", "--saw", "lcd-blnk"], "nearest: lcd-blank"),
    (["why", "N-2", "plan.yaml", "--saw", "lcd-blank,lcd-lives"], "answer the same question"),
    (["why", "N-2", "plan.yaml", "--record", "battery"], "name it with --log FILE"),
    (["why", "N-2", "plan.yaml", "--record", "batery", "--log", "c.jsonl"], "nearest: battery"),
    (["why", "N-2", "plan.yaml", "--log", "c.jsonl"], "the log does not exist"),
    (["why", "N-2", "plan.yaml", "--log", "list.csv"], "is not a call: it is not JSON"),
    (["why", "N-2", "plan.yaml", "--causes", "plan.yaml"], "a file of causes was expected"),
    (["why", "N-2", "plan.yaml", "--interactive", "--format", "json"], "--interactive is a dialogue"),
    (["why", "--all", "plan.yaml", "--saw", "lcd-blank"], "--all is about every missing node"),
    (["why", "N-2", "plan.yaml", "--out", "why.pdf"], "no format is known for its ending"),
    (["why", "N-2", "plan.yaml", "--on", "yesterday"], "is not a date"),
]


@pytest.mark.parametrize(
    ("arguments", "says"), WRONG, ids=[" ".join(words[1:]) or "none" for words, _ in WRONG]
)
def test_2_is_no_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], says: str
) -> None:
    """One clear message, exit code 2, nothing on stdout, and nothing written."""
    site = site_with_a_missing_node(tmp_path)
    site.write("empty.csv", "")
    site.write("junk.csv", b"\x00\x01\x02")
    site.write("other.csv", "serial,site\n100001,Elsewhere\n")
    before = site.files()
    monkeypatch.chdir(tmp_path)

    outcome = run(*arguments)

    assert (outcome.code, outcome.stdout) == (2, "")
    assert says in outcome.stderr
    assert site.files() == before


@pytest.mark.parametrize(
    ("option", "text"),
    [("--travel", "-5"), ("--travel", "1,5"), ("--travel", "nan"), ("--start", "59.91"), ("--start", "a,b"),
     ("--start", "nan,1"), ("--start", "1,2,3")],
)  # fmt: skip
def test_2_is_wrong_usage(tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str, text: str) -> None:
    """Travel time and start are numbers; the parser refuses anything else."""
    site = small_site(tmp_path)

    with pytest.raises(SystemExit) as stopped:
        run("why", "N-2", site.plan, option, text)

    assert stopped.value.code == 2
    assert option in capsys.readouterr().err


def test_a_comma_for_a_point_in_a_list(tmp_path: Path) -> None:
    """The decimal mark is declared in a mapping, for lists as for readbacks."""
    site = site_with_a_missing_node(tmp_path)
    site.write("list.csv", "Seriennr;gehört\n100001;12,5\n100003;15,0\n")
    mapping = site.mapping(columns={"Seriennr": "serial", "gehört": "last_heard"}, decimal=",", delimiter=";")

    outcome = run("why", "N-2", site.plan, "--gateway-list", tmp_path / "list.csv", "--mapping", mapping,
                  "--width", "200")  # fmt: skip

    assert "all 2 other nodes are heard in the list of GW-1" in outcome.stdout


def test_a_mapping_for_lists_in_a_folder(tmp_path: Path) -> None:
    """It is for a file in that folder, and nobody is told that it is for none."""
    site = site_with_a_missing_node(tmp_path)
    site.write("lists/list.csv", LIST.replace("serial", "Seriennr"))
    mapping = site.mapping(files=["list.csv"], columns={"Seriennr": "serial"})

    outcome = run("why", "N-2", site.plan, *site.readbacks, "--gateway-list", tmp_path / "lists",
                  "--mapping", mapping)  # fmt: skip

    assert (outcome.code, outcome.stderr) == (0, "")


def test_lists_in_a_folder_with_a_byte_order_mark(tmp_path: Path) -> None:
    """A folder of exports is a folder of lists; the newest shows who is missing, older ones who joined."""
    site = site_with_a_missing_node(tmp_path)
    site.write("lists/1.csv", b"\xef\xbb\xbf" + b"serial,read_at\n100001,2026-03-01\n100002,2026-03-01\n")
    site.write("lists/2.csv", "serial,read_at\n100001,2026-03-30\n100003,2026-03-30\n")

    outcome = run("why", "N-2", site.plan, "--gateway-list", tmp_path / "lists", "--width", "200")

    assert "it is not in the list of GW-1 of 2026-03-30" in outcome.stdout
    assert "it was in the list of GW-1 of 2026-03-01: the weights for nodes that had joined" in outcome.stdout


def test_the_log_of_calls_is_never_written_over(tmp_path: Path) -> None:
    """`--log calls.json --out calls.json` keeps the calls."""
    site = site_with_a_missing_node(tmp_path)
    log = tmp_path / "calls.json"
    why(site, "--record", "battery", "--log", log)
    before = log.read_bytes()

    outcome = why(site, "--log", log, "--out", log)

    assert (outcome.code, log.read_bytes()) == (2, before)


def test_recording_and_writing_are_two_runs(tmp_path: Path) -> None:
    """What was asked for but not done is reported."""
    site = site_with_a_missing_node(tmp_path)

    outcome = why(site, "--record", "battery", "--log", tmp_path / "c.jsonl", "--out", tmp_path / "d.json")

    assert outcome.code == 2
    assert "--record only adds to the log" in outcome.stderr
    assert not (tmp_path / "c.jsonl").exists()


def test_a_talk_with_standard_input_closed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program may be started this way; nothing is printed before."""
    monkeypatch.setattr(sys, "stdin", None)

    outcome = why(site_with_a_missing_node(tmp_path), "--interactive")

    assert (outcome.code, outcome.stdout) == (2, "")
    assert "there is nobody to ask" in outcome.stderr


def test_the_node_comes_first(tmp_path: Path) -> None:
    """A plan in the place of the tag is recognised, whatever follows it."""
    site = site_with_a_missing_node(tmp_path)

    for words in ([site.plan], [site.plan, *site.readbacks], [site.plan, tmp_path]):
        assert "is a file; the node comes first" in run("why", *words).stderr


def test_a_call_that_was_cut_off_is_told(tmp_path: Path) -> None:
    """A power failure may have cut it; it does not count, and this is reported."""
    site = site_with_a_missing_node(tmp_path)
    log = site.write("c.jsonl", '{"asfound": "joining-call/1", "ti')

    outcome = why(site, "--log", log)

    assert outcome.code == 0
    assert "c.jsonl:1: warning: a call that was cut off while being written; left out" in outcome.stderr
