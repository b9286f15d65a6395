"""`asfound check --sample`: what a sample shows, and what is said about the sample itself."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from audit.reporting.formats import FORMATS
from tests.sampling.sites import DAY, Fleet, drawn, fleet, rows
from tests.small_site import run

BY_CONFIDENCE = ("--confidence", "95", "--defective", "5")
BY_TABLE = ("--aql", "4.0")
"""MIL-STD-105E: a lot of 51 to 90 at level II has letter E; 13 are drawn, 1 passes, 2 reject (Table II-A)."""
WRONG = {"range_high": "110"}


def read_all_but(site: Fleet, sample: dict[str, Any], unread: int = 0, bad: int = 0) -> None:
    """Read what was drawn, except the last few; the first few are wrong."""
    tags = drawn(sample)
    site.read(tags[: len(tags) - unread], **dict.fromkeys(tags[:bad], WRONG))


def rules(result: dict[str, Any]) -> list[str]:
    """Return the rules of the findings that no waiver excuses."""
    return [finding["rule"] for finding in result["findings"] if finding["waived"] is None]


@dataclass(frozen=True)
class Case:
    """A rule, a sample, and how it was read."""

    rule: str
    name: str
    terms: tuple[str, ...]
    unread: int = 0
    bad: int = 0
    says: str = ""

    def __str__(self) -> str:
        """Return the id of the case in the test report."""
        return f"{self.rule}: {self.name}"


FIRES = [
    Case("sample-rejected", "one where none may be", BY_CONFIDENCE, bad=1, says="1 or more reject the lot"),
    Case(
        "sample-rejected", "two where one may be", BY_TABLE, bad=2, says="2 of 13 drawn nodes nonconforming"
    ),
    Case("sample-rejected", "enough, though one is not read", BY_TABLE, bad=2, unread=1, says="1 not read"),
    Case(
        "sample-open", "one not read where none may be", BY_CONFIDENCE, unread=1, says="does not decide yet"
    ),
    Case("sample-open", "one bad, one not read", BY_TABLE, bad=1, unread=1, says="there may be 2 or more"),
    Case(
        "read-network-in-full",
        "one bad in an accepted lot",
        BY_TABLE,
        bad=1,
        says="more nodes to read in full",
    ),
]
SILENT = [
    Case("sample-rejected", "one where one may be", BY_TABLE, bad=1),
    Case("sample-open", "one not read where one may be", BY_TABLE, unread=1),
    Case("sample-open", "all read", BY_CONFIDENCE),
    Case("read-network-in-full", "all as planned", BY_CONFIDENCE),
]


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Case, tmp_path: Path) -> None:
    """What there is to say about a sample is a finding at the gate, with the sample's file as its place."""
    site = fleet(tmp_path)
    read_all_but(site, site.draw(*case.terms), case.unread, case.bad)

    result = site.result()

    found = [finding for finding in result["findings"] if finding["rule"] == case.rule]
    assert case.says in found[0]["message"]
    assert found[0]["evidence"][0]["file"].endswith("sample.json")
    assert result["verdict"] == "fail"


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Case, tmp_path: Path) -> None:
    """A sample in order is described in its section, and is not a finding."""
    site = fleet(tmp_path)
    read_all_but(site, site.draw(*case.terms), case.unread, case.bad)

    assert case.rule not in rules(site.result())


def test_a_good_sample_passes_with_most_of_the_site_unread(tmp_path: Path) -> None:
    """Exit code 0; nodes that nobody was to visit are listed as not checked, without a finding."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    site.read(drawn(sample))

    outcome = site.check()

    text = " ".join(outcome.stdout.split())
    assert outcome.code == 0, text
    assert "SAMPLE: The decision is to accept." in text
    assert "with 95 % confidence at most 3 of 80 nodes (3.75 %) are nonconforming" in text
    assert "NOT CHECKED not sampled in North:" in text
    result = site.result()
    left = [tag for network in result["sample"]["networks"] for tag in network["not_sampled"]]
    assert sorted(left + drawn(sample)) == sorted(row["tag"] for row in rows())


def test_one_failure_puts_its_network_on_the_list_until_all_of_it_is_read(tmp_path: Path) -> None:
    """The network of the bad node is to be read in full; once it is, only the rejection remains."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    bad = drawn(sample, "South")[0]
    site.read(drawn(sample), **{bad: WRONG})

    before = site.result()
    finding = next(f for f in before["findings"] if f["rule"] == "read-network-in-full")
    site.read(sorted({*drawn(sample), *(f"S{n}" for n in range(1, 17))}), **{bad: WRONG})
    after = site.result()

    assert (finding["network"], finding["others"]) == ("South", [bad])
    assert finding["message"].startswith(f"{16 - len(drawn(sample, 'South'))} more nodes to read in full")
    assert before["sample"]["verdict"]["decision"] == "reject"
    assert "read-network-in-full" not in rules(after)
    assert "sample-rejected" in rules(after)


def test_the_fault_stands_before_what_follows_from_it(tmp_path: Path) -> None:
    """What was found on the node, then the network to read, then the rejected lot."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    site.read(drawn(sample), **{drawn(sample, "North")[0]: WRONG})

    assert rules(site.result()) == ["range-differs", "read-network-in-full", "sample-rejected"]


def test_faults_outside_the_sample_are_findings_and_no_statistics(tmp_path: Path) -> None:
    """A node read in addition fails the gate and puts its network on the list; the sample accepts."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    other = next(row["tag"] for row in rows() if row["tag"] not in drawn(sample))
    site.read([*drawn(sample), other], **{other: WRONG})

    result = site.result()

    assert (result["verdict"], result["sample"]["verdict"]["decision"]) == ("fail", "accept")
    assert sorted(rules(result)) == ["range-differs", "read-network-in-full"]


def test_a_waived_difference_is_not_nonconforming(tmp_path: Path) -> None:
    """Nor does this put a network on the list."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    bad = drawn(sample)[0]
    site.read(drawn(sample), **{bad: WRONG})
    waiver = {"id": "W-1", "rule": "range-differs", "node": bad, "setting": "range_high", "value": "110",
              "reason": "agreed", "owner": "O. Example", "approver": "A. Sample", "issued": "2026-03-01",
              "expires": "2026-09-01"}  # fmt: skip
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": [waiver]}), encoding="utf-8")

    result = site.result("--waivers", file)

    (lot,) = result["sample"]["verdict"]["lots"]
    assert result["sample"]["verdict"]["decision"] == "accept"
    assert result["verdict"] == "pass"
    assert lot["reason"].endswith(f"drawn nodes nonconforming, not counting 1 waived ({bad}); none may be")
    assert lot["shows"].endswith(
        "are nonconforming, waived ones included, if these are scattered over the networks"
    )


def test_the_bound_counts_a_node_with_a_waived_blank(tmp_path: Path) -> None:
    """What was not read of it may be wrong, waiver or not."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    blank = drawn(sample)[0]
    site.read(drawn(sample), **{blank: {"range_high": ""}})
    waiver = {"id": "W-1", "rule": "setting-not-read", "node": blank, "setting": "range_high", "value": "",
              "reason": "agreed", "owner": "O. Example", "approver": "A. Sample", "issued": "2026-03-01",
              "expires": "2026-09-01"}  # fmt: skip
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": [waiver]}), encoding="utf-8")

    (unread,), (lot,) = (
        site.result(*more)["sample"]["verdict"]["lots"] for more in ((), ("--waivers", file))
    )

    assert (unread["decision"], unread["not_read"]) == ("open", [blank])
    assert (lot["decision"], lot["waived"]) == ("accept", [blank])
    assert lot["bound"] == unread["bound"]


def test_the_gates_level_says_what_is_nonconforming(tmp_path: Path) -> None:
    """What was not tried leaves a sample open at a gate that fails on it, and counts at no other gate."""
    site = fleet(tmp_path, settings={"comment": {"kind": "text", "required": False}})
    sample = site.draw(*BY_CONFIDENCE)
    site.read(drawn(sample))
    path = tmp_path / "read-nodes.csv"
    path.write_text(path.read_text().replace(",100,yes", ",100,not tried", 1))

    strict = site.result("--gate", "handover")
    own = {"asfound": "site-rules/1", "title": "T", "version": "1", "gates": [{"id": "own", "title": "Own"}]}
    rules = tmp_path / "own.yaml"
    rules.write_text(json.dumps(own), encoding="utf-8")
    lenient = site.result("--rules", rules, "--gate", "own")

    assert strict["sample"]["verdict"]["decision"] == "open"
    assert lenient["sample"]["verdict"]["decision"] == "accept"


def test_a_blank_cell_leaves_a_sample_open_and_rejects_nothing(tmp_path: Path) -> None:
    """A node that was read in part counts as one that was not read, and not against the lot."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    tag = drawn(sample)[0]
    site.read(drawn(sample), **{tag: {"range_high": ""}})

    verdict = site.result()["sample"]["verdict"]

    assert (verdict["decision"], verdict["lots"][0]["not_read"]) == ("open", [tag])
    assert verdict["read_in_full"] == []


def test_a_reading_that_means_nothing_leaves_a_sample_open(tmp_path: Path) -> None:
    """It counts as not read: nobody knows yet if the node is wrong, and no lot is rejected because of it."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    unclear, wrong = drawn(sample)[:2]
    site.read(drawn(sample), **{unclear: {"range_high": "1OO"}})
    alone = site.result()
    site.read(drawn(sample), **{unclear: {"range_high": "1OO", "address": "199"}})
    also_wrong = site.result()
    site.read(drawn(sample), **{unclear: {"range_high": "1OO"}, wrong: WRONG})
    another_wrong = site.result()

    verdict = alone["sample"]["verdict"]
    assert rules(alone) == ["reading-unclear", "sample-open"]
    assert (verdict["decision"], verdict["lots"][0]["not_read"]) == ("open", [unclear])
    assert verdict["read_in_full"] == []
    assert also_wrong["sample"]["verdict"]["lots"][0]["nonconforming"] == [unclear]
    assert another_wrong["sample"]["verdict"]["lots"][0]["nonconforming"] == [wrong]
    assert another_wrong["sample"]["verdict"]["decision"] == "reject"


def test_a_list_of_the_host_is_no_visit(tmp_path: Path) -> None:
    """A node that is only in such a list was not read: no finding outside the sample, open inside it."""
    host = {
        "host_high": {"kind": "decimal", "role": "host_high", "unit": "kPa", "step": 0.1, "read_at": "host"}
    }
    site = fleet(tmp_path, settings=host)
    sample = site.draw(*BY_CONFIDENCE)
    site.read(drawn(sample)[1:])
    listed = "".join(f"{row['tag']},100\n" for row in rows())
    (tmp_path / "read-host.csv").write_text(f"tag,host_high\n{listed}", encoding="utf-8")

    result = site.result()

    assert result["sample"]["verdict"]["lots"][0]["not_read"] == drawn(sample)[:1]
    assert {f["node"] for f in result["findings"] if f["node"]} <= {drawn(sample)[0]}


def test_nodes_orphaned_by_their_gateway_are_as_planned(tmp_path: Path) -> None:
    """The gateway's finding fails the gate; its nodes are not nonconforming."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    site.read(drawn(sample))
    gateways = tmp_path / "read-gateways.csv"
    gateways.write_text(gateways.read_text().replace("GW-North,North,7", "GW-North,North,9"))

    result = site.result()

    assert result["verdict"] == "fail"
    assert any(f["caused_by"] for f in result["findings"])
    assert result["sample"]["verdict"]["decision"] == "accept"


def test_nodes_that_were_set_together_with_their_gateway_are_nonconforming(tmp_path: Path) -> None:
    """They are off plan themselves, and so are probably those of their network that nobody visited."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    moved, *left_behind = drawn(sample, "North")
    site.read(drawn(sample), **{moved: {"channel": "9"}})
    gateways = tmp_path / "read-gateways.csv"
    gateways.write_text(gateways.read_text().replace("GW-North,North,7", "GW-North,North,9"))

    result = site.result()

    (lot,) = result["sample"]["verdict"]["lots"]
    assert {f["node"] for f in result["findings"] if f["caused_by"]} == {moved, *left_behind}
    assert (lot["decision"], lot["nonconforming"]) == ("reject", [moved])


def test_nodes_that_share_a_fault_with_their_gateway_are_nonconforming(tmp_path: Path) -> None:
    """A finding about the gateway and its nodes alike is not caused by the gateway."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    site.read(drawn(sample), **{tag: {"default_refused": "no"} for tag in drawn(sample, "North")})
    gateways = tmp_path / "read-gateways.csv"
    gateways.write_text(gateways.read_text().replace("GW-North,North,7,yes", "GW-North,North,7,no"))

    result = site.result()

    assert "same-finding-on-many-nodes" in {f["rule"] for f in result["findings"]}
    assert result["sample"]["verdict"]["lots"][0]["nonconforming"] == sorted(drawn(sample, "North"))


def test_a_node_that_the_plan_names_twice_is_one_of_the_lot(tmp_path: Path) -> None:
    """The sample stays as drawn; its duties are those of the first entry."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    again = {**rows()[0], "range_high": 900, "duties": "safety"}
    fleet(tmp_path, [*rows(), again])

    assert site.draw(*BY_CONFIDENCE)["lots"] == sample["lots"]
    assert site.draw(*BY_CONFIDENCE)["always"] == []


def _node_added(site: Fleet) -> None:
    fleet(site.folder, [*rows(), {"tag": "W11", "network": "West", "serial": "79999", "address": 11}])


def _tampered(site: Fleet) -> None:
    data = json.loads(site.file.read_text())
    place = next(place for place in data["lots"][0]["drawn"] if place["network"] == "North")
    place["node"] = next(f"N{n}" for n in range(1, 31) if f"N{n}" not in drawn(data))
    site.file.write_text(json.dumps(data))


def _duty_given(site: Fleet) -> None:
    other = next(row["tag"] for row in rows() if row["tag"] not in drawn(json.loads(site.file.read_text())))
    fleet(site.folder, rows(**{other: {"duties": "safety"}}))


def _of_another_site(site: Fleet) -> None:
    site.file.write_text(site.file.read_text().replace("Testwick", "Otherwick"))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_node_added, "the nodes of the plan are no longer those that the sample was drawn from"),
        (_tampered, "the sample is not the one that the seed '1' gives"),
        (_duty_given, "by the plan's duties"),
        (_of_another_site, "is a sample of 'Otherwick (invented)'"),
        (lambda site: site.file.write_text("{}"), "'asfound' is missing"),
        (lambda site: site.file.write_text(""), "is empty"),
    ],
)
def test_a_sample_that_says_nothing_of_this_plan_is_refused(
    change: Callable[[Fleet], object], says: str, tmp_path: Path
) -> None:
    """One message with the file, and how to draw again; exit code 2, and no verdict."""
    site = fleet(tmp_path)
    site.read(drawn(site.draw(*BY_CONFIDENCE)))
    change(site)

    outcome = site.check()

    assert outcome.code == 2
    assert len(outcome.problems) == 1
    assert says in outcome.problems[0]
    assert "sample.json" in outcome.problems[0]
    if change in (_node_added, _tampered, _duty_given):
        assert "draw it again: asfound sample" in outcome.problems[0]
        assert "--confidence 95 --defective 5" in outcome.problems[0]


def test_a_sample_says_nothing_without_a_readback(tmp_path: Path) -> None:
    """The message says so, and not that no node of the site was read."""
    site = fleet(tmp_path)
    site.draw(*BY_CONFIDENCE)

    outcome = site.check()

    assert (outcome.code, len(outcome.problems)) == (2, 1)
    assert "there is no readback" in outcome.problems[0]


@pytest.mark.parametrize("form", FORMATS, ids=lambda form: form.name)
def test_every_report_tells_of_the_sample(form: Any, tmp_path: Path) -> None:
    """As a finding in all of them; those for people also have a section."""
    site = fleet(tmp_path)
    read_all_but(site, site.draw(*BY_CONFIDENCE), bad=1)
    out = tmp_path / f"out{form.endings[0]}"

    site.check("--quiet", "--out", out)

    if form.name != "punch-xlsx":
        text = out.read_text(encoding="utf-8-sig")
        assert "sample-rejected" in text
        if form.name in ("text", "html", "markdown"):
            assert "The decision is to reject." in text
            assert "Clopper-Pearson" in text.replace("\\-", "-")


def test_a_baseline_made_on_a_sample_says_so(tmp_path: Path) -> None:
    """It holds nothing about nodes that nobody was to read, and tells whoever signs how many these are."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    site.read(drawn(sample))
    out = tmp_path / "baseline.json"
    readback = sorted(tmp_path.glob("read-*.csv"))

    outcome = run("seal", site.plan, *readback, "--sample", site.file, "--signed-by", "R. Sample",
                  "--on", DAY, "--out", out)  # fmt: skip

    unread = 80 - len(drawn(sample))
    assert outcome.code == 0, outcome.written
    assert f"made from a sample (accepted): it holds nothing on {unread} nodes" in " ".join(
        outcome.stdout.split()
    )
    assert json.loads(out.read_text())["content"]["sample"]["not_sampled"] == unread
    assert run("seal", "--verify", out).code == 0


def test_a_baseline_on_a_sample_that_leaves_nothing_out(tmp_path: Path) -> None:
    """Where all nodes were read after all, there is none on which the baseline holds nothing."""
    site = fleet(tmp_path)
    site.draw(*BY_CONFIDENCE)
    site.read([row["tag"] for row in rows()])

    outcome = run("seal", site.plan, *sorted(tmp_path.glob("read-*.csv")), "--sample", site.file,
                  "--signed-by", "R. Sample", "--on", DAY, "--out", tmp_path / "baseline.json")  # fmt: skip

    assert "made from a sample (accepted)" in outcome.stdout
    assert "holds nothing" not in outcome.stdout


def test_a_fault_of_the_plan_is_not_counted_against_its_nodes(tmp_path: Path) -> None:
    """The fault was there before the visit: it fails the gate, but the nodes are as they were meant to be."""
    site = fleet(tmp_path, rows(N2={"address": 1}))
    sample = site.draw("--confidence", "99.9", "--defective", "1")
    site.read(drawn(sample), N2={"address": "1"})

    result = site.result()

    assert len(drawn(sample)) == 80
    assert rules(result) == ["address-duplicate"]
    assert (result["verdict"], result["sample"]["verdict"]["decision"]) == ("fail", "accept")


def test_one_node_that_is_left_is_one(tmp_path: Path) -> None:
    """All but one of the network were read, and one of them is wrong."""
    site = fleet(tmp_path)
    sample = site.draw(*BY_CONFIDENCE)
    wrong = drawn(sample)[0]
    every = [row["tag"] for row in rows()]
    left = next(tag for tag in every if tag not in drawn(sample) and tag[0] == wrong[0])
    site.read([tag for tag in every if tag != left], **{wrong: WRONG})

    told = " ".join(site.check().stdout.split())

    assert f"has to be read in full, because of {wrong}: 1 of its nodes is not yet read in full." in told
