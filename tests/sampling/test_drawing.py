"""Drawing: the same seed gives the same nodes, everywhere; every node has the same chance."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pydantic import ValidationError

from audit.engineering.sampling.size import size_for
from audit.engineering.sampling.spreading import allocate
from audit.errors import InputProblems
from audit.model.sample import ConfidenceTerms, Sample, TableTerms
from audit.reading.documents import read_model
from audit.resources import schema_text
from audit.sampling.by_chance import Unit, random_order
from audit.sampling.drawing import draw, not_as_drawn
from tests.sampling.lots import ALWAYS, SITE, TERMS, drawn, site_of


def test_a_sample_of_an_example() -> None:
    """Every digit of the digest counts: these nodes have to come out on every machine, for ever."""
    small = site_of({"north": 6, "south": 4})
    sample = draw(small, TERMS.model_copy(update={"defective": "40"}), "audit 2025", site="Hill Farm")

    assert [unit.node for unit in drawn(sample)] == ["N-003", "N-004", "N-006", "S-001", "S-004"]


def test_the_order_is_that_of_the_digest_as_documented() -> None:
    """Anyone can repeat it: SHA-256 of the JSON list of seed, network and node."""
    import hashlib

    def digest(unit: Unit) -> str:
        text = f'["seed 1","{unit.network}","{unit.node}"]'
        return hashlib.sha256(text.encode("ascii")).hexdigest()

    assert random_order("seed 1", SITE) == sorted(SITE, key=digest)


@given(st.randoms(use_true_random=False))
def test_the_order_of_the_nodes_makes_no_difference(chance: Random) -> None:
    """A plan with its rows in another order gives the same sample."""
    shuffled, reasons = list(SITE), list(ALWAYS.items())
    chance.shuffle(shuffled)
    chance.shuffle(reasons)

    again = draw(shuffled, TERMS, "1", site="Hill Farm", always=dict(reasons))
    assert again == draw(SITE, TERMS, "1", site="Hill Farm", always=ALWAYS)


def test_an_accent_may_be_typed_in_two_ways() -> None:
    """é as one character or as two gives the same order and digest."""
    one, two = [[Unit("caf" + accent, f"N{i}") for i in range(9)] for accent in ("\u00e9", "e\u0301")]

    assert [unit.node for unit in random_order("s", one)] == [unit.node for unit in random_order("s", two)]
    assert draw(one, TERMS, "s", site="x").nodes_sha256 == draw(two, TERMS, "s", site="x").nodes_sha256


def test_other_processes_draw_the_same() -> None:
    """Python's own hash seed plays no part."""
    code = (
        "from audit.sampling.drawing import draw; from tests.sampling.lots import *;"
        "print(draw(set(SITE), TERMS, '7', site='x', always=ALWAYS).model_dump_json())"
    )
    root = Path(__file__).parents[2]
    outputs = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=root,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "1")
    }

    assert outputs == {draw(SITE, TERMS, "7", site="x", always=ALWAYS).model_dump_json() + "\n"}


@given(
    st.dictionaries(st.sampled_from("abcdefgh"), st.integers(1, 30), min_size=1),
    st.sampled_from(["site", "network"]),
    st.sampled_from(["networks", "none"]),
    st.data(),
)
def test_what_every_sample_is(nodes: dict[str, int], lot: str, spread: str, chance: st.DataObject) -> None:
    """As many as the terms demand, each once, none that is visited for a reason, shared out fairly."""
    site = site_of(nodes)
    chosen = chance.draw(st.sets(st.sampled_from(site), max_size=6))
    sample = draw(
        site,
        TERMS,
        chance.draw(st.text("ab1 é", min_size=1).filter(str.strip)),
        site="Hill Farm",
        always=dict.fromkeys(chosen, ("safety",)),
        lot=lot,  # type: ignore[arg-type]
        spread=spread,  # type: ignore[arg-type]
    )

    units = drawn(sample)
    assert len(set(units)) == len(units)
    assert set(units) <= set(site) - chosen
    assert sum(lot.rest for lot in sample.lots) == len(site) - len(chosen)
    for part in sample.lots:
        assert part.size == (size_for(part.rest, Fraction(95, 100), Fraction(5, 100)) if part.rest else 0)
        by_network = Counter(place.network for place in part.drawn)
        assert all(share.drawn == by_network[share.network] for share in part.shares)
        if spread == "networks":
            free = {share.network: share.nodes - share.always for share in part.shares}
            fair = allocate(part.size, free)
            assert all(abs(fair[name] - by_network[name]) <= 1 for name in free)
    assert not_as_drawn(sample, site) == ""


def test_every_node_is_drawn_about_as_often() -> None:
    """Over 2,000 seeds each of 20 nodes is among the first 5 about 500 times, apart from chance."""
    units = site_of({"north": 20})
    counts = Counter(unit for seed in range(2000) for unit in random_order(str(seed), units)[:5])

    deviation = (2000 * 0.25 * 0.75) ** 0.5
    assert len(counts) == 20
    assert all(abs(count - 500) < 5 * deviation for count in counts.values())


def test_between_equal_networks_chance_decides_which_is_visited() -> None:
    """Of 40 networks of equal size, it is not always the first in the alphabet that have a node drawn."""
    site = site_of({f"{letter}{digit}": 2 for letter in "abcdefghij" for digit in "1234"})
    terms = ConfidenceTerms(method="confidence", confidence="80", defective="20")
    visited = [{unit.network for unit in drawn(draw(site, terms, str(seed), site="x"))} for seed in range(60)]

    assert all(len(networks) == 7 for networks in visited)
    assert set().union(*visited) == {unit.network for unit in site}


def test_a_sample_from_the_tables() -> None:
    """78 nodes at AQL 1.0 make letter E; five networks of the lot share its 13 nodes."""
    terms = TableTerms(method="mil-std-105e", aql="1.0")
    (lot,) = draw(SITE, terms, "1", site="Hill Farm", always=ALWAYS).lots

    assert (lot.rest, lot.letter, lot.letter_used, lot.size, lot.accept, lot.reject) == (
        78,
        "E",
        "E",
        13,
        0,
        1,
    )
    assert {share.network: (share.nodes, share.always, share.drawn) for share in lot.shares} == {
        "north": (40, 1, 6), "south": (25, 0, 4), "tanks": (3, 1, 1), "west": (12, 0, 2)
    }  # fmt: skip


def test_each_network_can_be_a_lot_of_its_own() -> None:
    """Then each has its own size; if a network has one node left to draw from, that node is read."""
    terms = TableTerms(method="mil-std-105e", aql="1.0")
    always = {Unit("tanks", "T-001"): ("safety",), Unit("tanks", "T-002"): ("safety",)}
    sample = draw(SITE, terms, "1", site="Hill Farm", always=always, lot="network")

    assert {lot.lot: (lot.letter, lot.size) for lot in sample.lots} == {
        "north": ("D", 13), "south": ("C", 13), "tanks": (None, 1), "west": ("B", 12)
    }  # fmt: skip


def test_a_lot_that_is_visited_in_full_for_reasons_has_nothing_drawn() -> None:
    """Safety nodes only: no sample is needed, and none is made up."""
    site = site_of({"tanks": 3})
    (lot,) = draw(site, TERMS, "1", site="x", always=dict.fromkeys(site, ("safety",))).lots

    assert (lot.rest, lot.size, lot.drawn) == (0, 0, ())


def test_the_cost_of_sharing_out_is_told_and_can_be_paid() -> None:
    """15 networks of 4: 95 % holds if faults are scattered, and with more nodes wherever they are."""
    site = site_of({f"{letter} net": 4 for letter in "abcdefghijklmno"})
    (scattered,) = draw(site, TERMS, "1", site="x").lots
    (wherever,) = draw(site, TERMS.model_copy(update={"wherever": True}), "1", site="x").lots
    (regardless,) = draw(site, TERMS, "1", site="x", spread="none").lots

    assert scattered.size == regardless.size < wherever.size
    assert float(scattered.confidence_wherever or 0) < 95 <= float(wherever.confidence_wherever or 0)
    assert regardless.confidence_wherever is None


def test_a_sample_survives_its_file(tmp_path: Path) -> None:
    """Written as JSON and read again, it is the same, and fits the schema."""
    sample = draw(SITE, TERMS, "1", site="Hill Farm", always=ALWAYS, plan_revision="C")
    file = tmp_path / "sample.json"
    file.write_text(sample.model_dump_json(indent=1, exclude_none=True), encoding="utf-8")

    assert read_model(file, Sample, "sample")[0] == sample
    validator = Draft202012Validator(json.loads(schema_text("sample")))
    assert list(validator.iter_errors(json.loads(file.read_text(encoding="utf-8")))) == []


def test_a_sample_that_was_altered_is_found_out() -> None:
    """A node exchanged for another, another seed, or one more node in the plan: each is reported."""
    sample = draw(SITE, TERMS, "1", site="Hill Farm", always=ALWAYS)
    (lot,) = sample.lots
    free = next(
        unit for unit in SITE if unit not in drawn(sample) and unit not in ALWAYS and unit.network == "north"
    )
    index = next(i for i, place in enumerate(lot.drawn) if place.network == "north")
    other = lot.drawn[index].model_copy(update={"node": free.node})
    exchanged = lot.model_copy(update={"drawn": (*lot.drawn[:index], other, *lot.drawn[index + 1 :])})

    assert not_as_drawn(sample, SITE) == ""
    altered = sample.model_copy(update={"lots": (exchanged,)})
    assert not_as_drawn(altered, SITE) == "the sample is not the one that the seed '1' gives"
    assert "seed '2'" in not_as_drawn(sample.model_copy(update={"seed": "2"}), SITE)
    assert "no longer those" in not_as_drawn(sample, [*SITE, Unit("north", "N-999")])


def test_a_sample_with_a_node_twice_is_not_taken() -> None:
    """No node is drawn twice, or drawn and visited for a reason; and the numbers agree with the nodes."""
    sample = draw(SITE, TERMS, "1", site="Hill Farm").model_dump()
    lot = sample["lots"][0]

    with pytest.raises(ValidationError, match="is in the sample twice"):
        Sample.model_validate({**sample, "always": ({**lot["drawn"][0], "reasons": ("safety",)},)})
    with pytest.raises(ValidationError, match="the number of nodes drawn is not"):
        Sample.model_validate({**sample, "lots": ({**lot, "drawn": lot["drawn"][1:]},)})


def test_all_that_stands_in_the_way_is_told_at_once() -> None:
    """A node twice, a reason for a stranger, one without reason, an empty seed, a confidence of 100."""
    with pytest.raises(InputProblems) as caught:
        draw(
            [*SITE, SITE[0]],
            TERMS.model_copy(update={"confidence": "100"}),
            " ",
            site="x",
            always={
                Unit("north", "N-404"): ("safety",),
                Unit("north", "S-007"): ("safety",),
                Unit("nort", "X"): ("safety",),
                Unit("west", "W-001"): (),
            },
        )

    assert [problem.message for problem in caught.value.problems] == [
        "the seed is empty",
        "node 'N-001' of 'north' is listed 2 times",
        "always visited: there is no node 'X' in 'nort'",
        "always visited: there is no node 'N-404' in 'north'",
        "always visited: there is no node 'S-007' in 'north'",
        "always visited: no reason is given for 'W-001'",
        "confidence: '100' is not above 0 and below 100",
    ]
    assert [problem.mend for problem in caught.value.problems[2:5]] == [
        "nearest: north",
        "nearest: N-004, N-014, N-024",
        "it is in 'south'",
    ]


def test_each_lot_that_cannot_be_sampled_is_named() -> None:
    """Accepting one in a network of 12, where 5 % is one node, shows nothing; nor does it in one of 3."""
    with pytest.raises(InputProblems) as caught:
        draw(SITE, TERMS.model_copy(update={"accept": 1}), "1", site="x", lot="network")

    assert [problem.message[:11] for problem in caught.value.problems] == ["lot 'tanks'", "lot 'west':"]


def test_an_empty_site_is_refused() -> None:
    """There is nothing to visit."""
    with pytest.raises(InputProblems, match="no node to draw from"):
        draw([], TERMS, "1", site="x")
    with pytest.raises(InputProblems, match="only possible with accept number 0"):
        draw(SITE, TERMS.model_copy(update={"accept": 1, "wherever": True}), "1", site="x")
