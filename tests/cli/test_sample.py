"""`asfound sample`: what it draws, prints and writes, and what it refuses."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest

from audit.model.sampling_tables import InspectionLevel
from audit.reporting.formats import SAMPLE_FORMATS
from audit.resources import schema_text
from tests.baselines import seal
from tests.cli.sites import in_a_process
from tests.refusing import assert_clear
from tests.sampling.sites import NETWORKS, always, drawn, fleet, rows
from tests.small_site import GATEWAY, SmallSite, as_planned, node, run, small_site

BY_CONFIDENCE = ("--confidence", "95", "--defective", "5")


def test_the_first_line_says_how_many_to_visit(tmp_path: Path) -> None:
    """Then what passes, which nodes are visited for a reason, the route, and what to do next."""
    site = fleet(tmp_path, rows(N7={"duties": "safety, permit-limit"}, W3={"duties": "our insurer's list"}))

    outcome = run("sample", site.plan, *BY_CONFIDENCE, "--seed", "1", "--out", site.file, "--width", "100")

    text = " ".join(outcome.stdout.split())
    assert outcome.code == 0
    assert re.match(r"Visit (\d+) of 80 nodes: 2 always, (\d+) drawn\n", outcome.stdout)
    assert "95 % confidence that fewer than 5 % are nonconforming; accept number 0" in text
    assert "North N7 safety; permit-limit" in text
    assert "West W3 our insurer's list" in text
    assert outcome.stdout.count("[ ]") == 4 + len(drawn(json.loads(site.file.read_text()))) + 2
    assert f"asfound check {site.plan.as_posix()} READBACK --sample {site.file.as_posix()}" in text.replace(
        '"', ""
    )


def test_the_sheet_in_a_file_tells_the_next_step_as_the_printed_one_does(
    tmp_path: Path,
) -> None:
    """The text is what goes to the field; it says how to keep the sample."""
    site = fleet(tmp_path)
    text = tmp_path / "route.txt"
    terms = ("sample", site.plan, *BY_CONFIDENCE, "--seed", "1", "--quiet", "--out", text)

    run(*terms)
    alone = text.read_text()
    run(*terms, "--out", site.file)
    beside = text.read_text()

    run(*terms, "--out", tmp_path / "KEPT.JSON")
    assert "KEPT.JSON" in text.read_text()
    assert "not saved: add --out sample.json" in alone
    assert f"asfound check {site.plan.as_posix()} READBACK --sample {site.file.as_posix()}" in " ".join(
        beside.replace('"', "").split()
    )


def test_blanks_around_a_gateways_tag_are_none_of_it(tmp_path: Path) -> None:
    """As with those of nodes; the route still begins at the gateway."""
    site = small_site(tmp_path, gateway={**GATEWAY, "tag": " GW-1 "})

    outcome = run("sample", site.plan, *BY_CONFIDENCE, "--seed", "1", "--format", "csv")

    assert (outcome.code, outcome.stderr) == (0, "")
    assert outcome.stdout.splitlines()[1].startswith("Main,1,,GW-1,")


def test_the_same_seed_draws_the_same_nodes_whatever_the_order_of_rows(tmp_path: Path) -> None:
    """The recorded sample is the same to the byte, also from another process."""
    one, other = fleet(tmp_path / "a"), fleet(tmp_path / "b", rows()[::-1])
    one.draw(*BY_CONFIDENCE)
    other.draw(*BY_CONFIDENCE)
    again = in_a_process("sample", one.plan, *BY_CONFIDENCE, "--seed", "1", "--format", "json")

    assert one.file.read_bytes() == other.file.read_bytes()
    assert again.stdout == one.file.read_text()


def test_another_seed_draws_other_nodes(tmp_path: Path) -> None:
    """As many nodes, but not the same ones."""
    site = fleet(tmp_path)

    one, other = (site.draw(*BY_CONFIDENCE, "--seed", seed) for seed in ("1", "2"))

    assert len(drawn(one)) == len(drawn(other))
    assert drawn(one) != drawn(other)


def test_a_seed_that_was_made_up_is_said_and_draws_the_same_again(tmp_path: Path) -> None:
    """Whoever wants to check the draw needs the seed."""
    site = fleet(tmp_path)
    outcome = run("sample", site.plan, *BY_CONFIDENCE, "--out", site.file)
    seed = json.loads(site.file.read_text())["seed"]
    kept = site.file.read_text()

    site.draw(*BY_CONFIDENCE, "--seed", seed)

    assert f"--seed {seed} draws the same nodes again" in " ".join(outcome.stdout.split())
    assert site.file.read_text() == kept


@pytest.mark.parametrize("level", get_args(InspectionLevel))
def test_any_inspection_level_can_be_asked_for(tmp_path: Path, level: str) -> None:
    """The command takes those that the tables have."""
    assert fleet(tmp_path).draw("--aql", "4.0", "--level", level)["terms"]["level"] == level


def test_the_tables_give_size_and_numbers(tmp_path: Path) -> None:
    """MIL-STD-105E, AQL 4.0, level II: a lot of 80 has letter E, 13 drawn, Ac 1, Re 2 (Tables I and II-A)."""
    lot = fleet(tmp_path).draw("--aql", "4.0")["lots"][0]

    assert (lot["letter"], lot["size"], lot["accept"], lot["reject"]) == ("E", 13, 1, 2)


@pytest.mark.parametrize("left", [0, 1])
def test_a_lot_of_fewer_than_two_nodes_has_no_code_letter(left: int, tmp_path: Path) -> None:
    """The tables begin at two: the other lots have their letters, and the sheet is printed all the same."""
    duties = {f"W{n}": {"duties": "safety"} for n in range(1 + left, NETWORKS["West"] + 1)}
    site = fleet(tmp_path, rows(**duties))
    page = tmp_path / "route.html"

    outcome = run("sample", site.plan, "--aql", "4.0", "--lot", "network", "--seed", "1", "--out", page)

    lots = {line.split()[0]: line.split()[5:] for line in outcome.stdout.splitlines()
            if re.match(r" +(North|East|South|West) +\d", line)}  # fmt: skip
    assert (outcome.code, outcome.stderr) == (0, "")
    assert lots == {
        "North": ["D,", "plan", "of", "E"],
        "East": ["C,", "plan", "of", "B"],
        "South": ["C,", "plan", "of", "B"],
        "West": ["none"],
    }
    assert page.read_text(encoding="utf-8").count("<td>none</td>") == 1


def test_a_sheet_says_where_faults_are_supposed_to_be(tmp_path: Path) -> None:
    """Where one node may be nonconforming, the confidence for other places is not worked out."""
    site = fleet(tmp_path)
    terms = ("sample", site.plan, "--confidence", "95", "--defective", "25", "--accept", "1", "--seed", "1")
    supposed = "the confidence is that for nonconforming nodes scattered over the networks"

    shared, alike, each = (
        " ".join(run(*terms, *more).stdout.split())
        for more in ((), ("--spread", "none"), ("--lot", "network"))
    )

    assert supposed in shared
    assert "accept number 1" in alike
    assert "accept number 1" in each
    assert supposed not in alike + each


def test_each_network_is_a_lot_where_that_is_asked_for(tmp_path: Path) -> None:
    """Each with its own size and numbers."""
    sample = fleet(tmp_path).draw("--lot", "network", *BY_CONFIDENCE)

    assert {lot["lot"]: lot["rest"] for lot in sample["lots"]} == NETWORKS


@pytest.mark.parametrize(
    ("earlier", "inspection", "why"),
    [
        ("accept", "normal", "nothing calls for a change"),
        ("accept,reject,accept,accept,reject", "tightened", "4.7.1"),
        ("reject,reject,accept,accept,accept,accept,accept", "normal", "4.7.2"),
        (",".join(["accept"] * 10), "normal", "nothing calls for a change"),
    ],
)
def test_earlier_lots_give_the_inspection(earlier: str, inspection: str, why: str, tmp_path: Path) -> None:
    """By the switching rules of MIL-STD-105E, 4.7; the clause is named."""
    site = fleet(tmp_path)
    outcome = run(
        "sample", site.plan, "--aql", "4.0", "--earlier", earlier, "--seed", "1", "--out", site.file
    )

    assert json.loads(site.file.read_text())["terms"]["inspection"] == inspection
    text = " ".join(outcome.stdout.split())
    assert f"inspection is {inspection} after the earlier lots: " in text
    assert why in text


def sealed_site(folder: Path) -> tuple[SmallSite, Path]:
    """Return a small site whose readback is sealed on 2026-03-31."""
    site = small_site(folder)
    return site, seal(site, "2026.json")


def drawn_from(site: SmallSite, *arguments: str | Path) -> dict[str, list[str]]:
    """Return the nodes of the site that are always visited, with their reasons."""
    outcome = run("sample", site.plan, *BY_CONFIDENCE, "--seed", "1", "--format", "json", *arguments)
    assert outcome.code == 0, outcome.written
    return always(json.loads(outcome.stdout))


def test_nothing_has_changed_since_the_baseline(tmp_path: Path) -> None:
    """The plan that the baseline was sealed against gives no reason for a visit."""
    site, baseline = sealed_site(tmp_path)

    assert drawn_from(site, "--baseline", baseline) == {}


def test_what_has_changed_since_the_baseline_is_visited(tmp_path: Path) -> None:
    """A setting planned differently, another serial number, a node that was not there."""
    _, baseline = sealed_site(tmp_path)
    nodes = [node(1), node(2, high_alarm=760), node(3) | {"serial": "555003"}, node(4)]
    now = small_site(tmp_path, nodes=nodes)

    reasons = drawn_from(now, "--baseline", baseline)

    since = "changed since the baseline of 2026-03-31: "
    assert reasons == {
        "N-2": [f"{since}high_alarm"], "N-3": [f"{since}serial number"], "N-4": [f"{since}it was not there"],
    }  # fmt: skip


def test_what_was_wrong_in_the_baseline_is_visited(tmp_path: Path) -> None:
    """N-2 was sealed with its alarm off plan, N-3 was not read; and is left to chance."""
    rows = as_planned()
    site = small_site(tmp_path, readback_rows=[row | {"high_alarm": "870"} if row["tag"] == "N-2" else row
                                               for row in rows if row["tag"] != "N-3"])  # fmt: skip
    baseline = seal(site, "2026.json", "--even-failing")

    assert drawn_from(site, "--baseline", baseline) == {
        "N-2": ["wrong in the baseline of 2026-03-31: alarm-off-plan"]
    }


def test_change_records_since_the_baseline_are_visited(tmp_path: Path) -> None:
    """Older ones do not count; one that names nothing in the plan is reported."""
    site, baseline = sealed_site(tmp_path)
    records = [
        {"id": "C-1", "node": "N-1", "setting": "high_alarm", "from": 780, "to": 760, "date": "2026-03-30"},
        {"id": "C-2", "node": "N-2", "setting": "high_alarm", "from": 780, "to": 760, "date": "2026-03-31"},
        {"id": "C-3", "node": "N-9", "setting": "high_alarm", "from": 780, "to": 760, "date": "2026-04-02"},
    ]
    file = tmp_path / "changes.json"
    changes = [{"approved_by": "A. Sample", **record} for record in records]
    file.write_text(json.dumps({"asfound": "changes/1", "changes": changes}), encoding="utf-8")

    with_baseline = drawn_from(site, "--baseline", baseline, "--changes", file)
    alone = drawn_from(site, "--changes", file)
    told = run("sample", site.plan, *BY_CONFIDENCE, "--changes", file).stderr

    assert with_baseline == {"N-2": ["changed on 2026-03-31, C-2"]}
    assert set(alone) == {"N-1", "N-2"}
    assert "change C-3 names no device in the plan" in told


@pytest.mark.parametrize("form", SAMPLE_FORMATS, ids=lambda form: form.name)
def test_every_format_is_written(form: Any, tmp_path: Path) -> None:
    """By its ending, with every node to visit and why."""
    site = fleet(tmp_path, rows(N7={"duties": "safety"}))
    out = tmp_path / f"out{form.endings[0]}"

    outcome = run("sample", site.plan, *BY_CONFIDENCE, "--seed", "1", "--quiet", "--out", out)

    text = out.read_text(encoding="utf-8-sig")
    assert (outcome.code, outcome.stdout) == (0, "")
    assert "safety" in text
    assert "N7" in text
    if form.name == "json":
        jsonschema.validate(json.loads(text), json.loads(schema_text("sample")))
    if form.name == "csv":
        read = list(csv.DictReader(text.splitlines()))
        assert read[0]["tag"] == "GW-North"
        assert next(row["why"] for row in read if row["tag"] == "N7") == "safety"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((), "nothing says how much the sample has to show"),
        (("--confidence", "95"), "--confidence and --defective go together"),
        (("--confidence", "95", "--defective", "2,5"), "--defective: '2,5' is not a percentage"),
        (("--confidence", "100", "--defective", "5"), "'100' is not above 0 and below 100"),
        (("--confidence", "0.95", "--defective", "0.2"), "--confidence: 0.95 is below 50 %"),
        (("--confidence", "95", "--defective", "1/20"), "'1/20' is not a percentage"),
        ((*BY_CONFIDENCE, "--accept", "-1"), "--accept -1 is less than 0"),
        ((*BY_CONFIDENCE, "--accept", "9"), "a sample that accepts 9 shows nothing"),
        ((*BY_CONFIDENCE, "--level", "I"), "--level needs --aql"),
        ((*BY_CONFIDENCE, "--seed", " "), "the seed is empty"),
        ((*BY_CONFIDENCE, "--seed", "x" * 301), "--seed is longer than 300 characters"),
        ((*BY_CONFIDENCE, "--aql", "1.0"), "--confidence does not go with --aql"),
        (("--aql", "3"), "AQL 3 is not in the tables"),
        (("--aql", "nan", "--lot", "network"), "AQL 'nan' is not a number"),
        (("--aql", "1.0", "--earlier", "accept,perhaps"), "'perhaps' is not a decision"),
        (("--aql", "1.0", "--earlier", "accept", "--inspection", "normal"), "--earlier sets the inspection"),
        (
            ("--aql", "1.0", "--earlier", ",".join(["reject"] * 7)),
            "5 lots were rejected on tightened inspection",
        ),
    ],
)
def test_what_makes_no_sense_is_refused(arguments: tuple[str, ...], says: str, tmp_path: Path) -> None:
    """The message says what was given and what to give instead; nothing is written."""
    site = fleet(tmp_path)

    outcome = run("sample", site.plan, *arguments, "--out", site.file)

    assert_clear(outcome.stderr)
    assert any(says in problem for problem in outcome.problems), outcome.problems
    assert not site.file.exists()


def test_a_baseline_of_another_site_is_refused(tmp_path: Path) -> None:
    """Nothing of it can be compared."""
    _, baseline = sealed_site(tmp_path / "a")

    outcome = run("sample", fleet(tmp_path / "b").plan, *BY_CONFIDENCE, "--baseline", baseline)

    assert outcome.code == 2
    assert "is a baseline of 'Little Site'" in outcome.problems[0]


def test_no_file_that_was_read_is_written_over(tmp_path: Path) -> None:
    """Not even a plan that happens to be in JSON."""
    site = fleet(tmp_path)
    before = site.plan.read_text()
    plan = site.plan.rename(tmp_path / "plan.json")

    outcome = run("sample", plan, *BY_CONFIDENCE, "--out", plan)

    assert outcome.code == 2
    assert plan.read_text() == before


def test_a_recorded_sample_has_letters_as_they_are(tmp_path: Path) -> None:
    """People look for a tag in the file."""
    site = small_site(tmp_path, nodes=[{**node(1), "tag": "T\u00c4-1"}])

    outcome = run("sample", site.plan, *BY_CONFIDENCE, "--seed", "1", "--format", "json")

    assert '"T\u00c4-1"' in outcome.stdout
