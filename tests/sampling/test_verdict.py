"""What a sample shows: decisions, what was not read, and which networks are read in full."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from audit.model.sample import ConfidenceTerms, Sample, TableTerms
from audit.sampling.by_chance import Unit
from audit.sampling.drawing import draw
from audit.sampling.verdict import judge
from tests.sampling.lots import ALWAYS, SITE, TERMS, drawn, site_of

EVERY = set(SITE)
SAMPLE = draw(SITE, TERMS, "audit 2025", site="Hill Farm", always=ALWAYS)
FIRST, SECOND = drawn(SAMPLE)[:2]
NONE: set[Unit] = set()


def test_the_bound_counts_a_waived_node_that_the_lot_does_not() -> None:
    """A waiver speaks for one node, not for those that nobody visited."""
    (lot,) = judge(SAMPLE, EVERY, NONE, waived={FIRST}).lots

    assert (lot.decision, lot.nonconforming, lot.waived) == ("accept", [], [FIRST.node])
    assert lot.bound == judge(SAMPLE, EVERY, {FIRST}).lots[0].bound


def test_the_bound_is_never_below_what_is_known() -> None:
    """Reading a network in full may show more faulty nodes than expected; the verdict on the lot stays."""
    outside = [unit for unit in SITE if unit not in drawn(SAMPLE) and unit not in ALWAYS]

    (usual,) = judge(SAMPLE, EVERY, set(outside[:3])).lots
    (more,) = judge(SAMPLE, EVERY, set(outside[:3]), waived={outside[3]}).lots
    (apart,) = judge(SAMPLE, EVERY, {*outside[:3], Unit("tanks", "T-002")}).lots

    assert usual.shows == "with 95 % confidence at most 3 of 78 nodes (3.85 %) are nonconforming"
    assert apart.bound == usual.bound
    assert more.decision == "accept"
    assert more.shows == (
        "4 of 78 nodes (5.13 %) are known to be nonconforming, more than the sample lets expect with 95 %"
        " confidence"
    )
    assert more.bound is not None
    assert (more.bound.most_defective, more.bound.most_defective_percent) == (4, 5.13)
    assert (more.bound.clopper_pearson_percent, more.bound.most_defective_wherever) == (None, None)


def test_a_bound_after_faults_says_what_it_supposes() -> None:
    """A shared-out sample has it for scattered faults; one drawn regardless of networks, wherever they are.

    Three networks of nine, of which 2, 2 and 1 are drawn, at 80 %: with all of the last and two of each
    other faulty, at most one is found with a chance of 0.34 (exact sum of hypergeometric chances), so that
    the bound for one does not hold with 80 %.
    """
    site = site_of({"north": 9, "south": 9, "west": 9})
    terms = TERMS.model_copy(update={"confidence": "80", "defective": "50", "accept": 1})
    shared, alike = (draw(site, terms, "1", site="x", spread=spread) for spread in ("networks", "none"))
    supposed = ", if these are scattered over the networks"

    assert judge(shared, set(site), {drawn(shared)[0]}).lots[0].shows.endswith(f"nonconforming{supposed}")
    assert judge(alike, set(site), {drawn(alike)[0]}).lots[0].shows.endswith("are nonconforming")
    assert judge(shared, set(site), NONE).lots[0].shows.endswith("are nonconforming")


def test_a_sample_without_failures_passes() -> None:
    """41 of 78 nodes were drawn and none is nonconforming: fewer than 4 are, which is 5 %."""
    verdict = judge(SAMPLE, EVERY, NONE)

    assert verdict.decision == "accept"
    assert verdict.reasons == [
        f"Hill Farm: none of {len(drawn(SAMPLE))} drawn nodes nonconforming; none may be"
    ]
    (lot,) = verdict.lots
    assert lot.shows == "with 95 % confidence at most 3 of 78 nodes (3.85 %) are nonconforming"
    assert lot.bound is not None
    assert lot.bound.most_defective_percent < 5 < (lot.bound.clopper_pearson_percent or 0)
    assert verdict.read_in_full == []


def test_the_first_failure_demands_its_network() -> None:
    """Accept number 0: one nonconforming node rejects the lot, and its network is read in full."""
    read = set(drawn(SAMPLE)) | set(ALWAYS)
    verdict = judge(SAMPLE, read, {FIRST})

    assert verdict.decision == "reject"
    assert verdict.lots[0].nonconforming == [FIRST.node]
    assert "1 of 41 drawn nodes nonconforming; 1 or more reject the lot" in verdict.reasons[0]
    (full,) = verdict.read_in_full
    assert (full.network, full.because_of) == (FIRST.network, [FIRST.node])
    in_network = sum(unit.network == FIRST.network for unit in read)
    assert full.left == 40 - in_network
    assert judge(SAMPLE, EVERY, {FIRST}).read_in_full[0].left == 0


def test_what_was_not_read_has_not_been_shown() -> None:
    """With accept number 0 one unread node keeps the lot open, and the bound counts it as defective."""
    verdict = judge(SAMPLE, EVERY - {FIRST}, NONE)

    assert verdict.decision == "open"
    assert verdict.lots[0].not_read == [FIRST.node]
    assert "1 not read; with these there may be 1 or more, enough to reject the lot" in verdict.reasons[0]
    assert verdict.lots[0].bound == judge(SAMPLE, EVERY, {FIRST}).lots[0].bound


def test_leaving_nodes_unread_never_helps() -> None:
    """A lot that fails cannot be brought to pass by not reading the rest."""
    assert judge(SAMPLE, {FIRST}, {FIRST}).decision == "reject"
    assert judge(SAMPLE, NONE, NONE).decision == "open"


def test_a_lot_passes_where_the_unread_cannot_change_it() -> None:
    """Accept number 2: one nonconforming and one not read are two at most."""
    sample = draw(SITE, TERMS.model_copy(update={"accept": 2}), "1", site="Hill Farm")
    first, second = drawn(sample)[:2]
    verdict = judge(sample, EVERY - {second}, {first})

    assert verdict.decision == "accept"
    assert verdict.reasons[0].endswith("1 not read; even if these were nonconforming too, the lot would pass")
    assert [full.network for full in verdict.read_in_full] == [first.network]


def test_a_node_visited_for_a_reason_is_no_part_of_the_statistics() -> None:
    """A nonconforming one is a finding and has its network read; not chosen by chance, it fails no lot."""
    bad = Unit("tanks", "T-002")
    verdict = judge(SAMPLE, EVERY, {bad})

    assert verdict.decision == "accept"
    assert verdict.always_nonconforming == ["T-002"]
    assert "not part of the sample's statistics" in verdict.reasons[-1]
    assert verdict.lots[0].bound == judge(SAMPLE, EVERY, NONE).lots[0].bound
    assert [(full.network, full.because_of) for full in verdict.read_in_full] == [("tanks", ["T-002"])]


def test_a_node_that_has_to_be_visited_and_was_not_keeps_the_audit_open() -> None:
    """The lot passes; the audit does not."""
    verdict = judge(SAMPLE, EVERY - {Unit("tanks", "T-002")}, NONE)

    assert (verdict.decision, verdict.lots[0].decision) == ("open", "accept")
    assert verdict.reasons[-1] == "always to be visited, but not read: T-002"
    rejected = judge(SAMPLE, EVERY - {Unit("tanks", "T-002")}, {FIRST})
    assert rejected.decision == "reject"


def test_nodes_outside_the_sample_do_not_count() -> None:
    """A nonconforming node outside the sample: its network is to be read; the lot's statistics stay."""
    outside = next(unit for unit in SITE if unit not in drawn(SAMPLE) and unit not in ALWAYS)

    verdict = judge(SAMPLE, EVERY, {outside})

    assert verdict.lots == judge(SAMPLE, EVERY, NONE).lots
    assert [(network.network, network.because_of) for network in verdict.read_in_full] == [
        (outside.network, [outside.node])
    ]


def test_a_node_found_nonconforming_counts_as_read() -> None:
    """For instance a node with another serial number, or one that is not there at all."""
    assert judge(SAMPLE, EVERY - {FIRST}, {FIRST}) == judge(SAMPLE, EVERY, {FIRST})


def test_between_its_numbers_a_reduced_plan_passes_and_ends() -> None:
    """Reduced, letter F at AQL 4.0: 8 nodes, Ac 1, Re 3. Two may pass, and normal inspection returns."""
    terms = TableTerms(method="mil-std-105e", aql="4.0", inspection="reduced")
    site = site_of({"north": 120})
    sample = draw(site, terms, "1", site="x")
    (lot,) = sample.lots
    bad = drawn(sample)

    assert (lot.size, lot.accept, lot.reject) == (8, 1, 3)
    decisions = [judge(sample, set(site), set(bad[:count])) for count in range(4)]
    assert [verdict.decision for verdict in decisions] == ["accept", "accept", "accept", "reject"]
    assert [verdict.lots[0].normal_returns for verdict in decisions] == [False, False, True, False]
    assert "more than the accept number 1, so normal inspection returns" in decisions[2].reasons[0]


def test_each_network_has_a_verdict_of_its_own() -> None:
    """One rejected network rejects the whole; the others keep their verdicts."""
    terms = TERMS.model_copy(update={"defective": "20"})
    sample = draw(SITE, terms, "1", site="Hill Farm", lot="network")
    bad = next(unit for unit in drawn(sample) if unit.network == "west")
    verdict = judge(sample, EVERY, {bad})

    assert {lot.lot: lot.decision for lot in verdict.lots} == {
        "north": "accept", "south": "accept", "tanks": "accept", "west": "reject"
    }  # fmt: skip
    assert verdict.decision == "reject"


def test_a_lot_that_was_read_in_full_is_known() -> None:
    """No bound is inferred where every node was drawn."""
    site = site_of({"tanks": 5})
    sample = draw(site, TERMS, "1", site="x")
    (lot,) = judge(sample, set(site), NONE).lots

    assert lot.shows == "0 of all 5 nodes are nonconforming or not read"
    assert lot.bound is not None
    assert (lot.bound.most_defective, lot.bound.clopper_pearson_percent) == (0, None)
    (one_bad,) = judge(sample, set(site), {next(iter(site))}).lots
    assert one_bad.shows == "1 of all 5 nodes is nonconforming or not read"


def test_a_lot_of_nodes_with_reasons_has_no_bound() -> None:
    """Nothing was drawn, so nothing is inferred."""
    site = site_of({"tanks": 3})
    sample = draw(site, TERMS, "1", site="x", always=dict.fromkeys(site, ("safety",)))
    verdict = judge(sample, set(site), NONE)

    assert verdict.decision == "accept"
    assert verdict.lots[0].bound is None
    assert verdict.lots[0].shows == "no node was drawn"


def test_the_bound_wherever_faults_sit_is_told_for_samples_shared_out() -> None:
    """It is never below the bound for scattered faults; a sample drawn regardless of networks has none."""
    (lot,) = judge(SAMPLE, EVERY, NONE).lots
    regardless = draw(SITE, TERMS, "1", site="x", spread="none")

    assert lot.bound is not None
    assert (lot.bound.most_defective_wherever or 0) >= lot.bound.most_defective
    (other,) = judge(regardless, EVERY, NONE).lots
    assert other.bound is not None
    assert other.bound.most_defective_wherever is None


def test_the_confidence_of_the_bounds_is_that_of_the_terms() -> None:
    """Plans from the tables have none: 95 is usual."""
    tables = draw(SITE, TableTerms(method="mil-std-105e", aql="1.0"), "1", site="x")
    ninety = draw(SITE, TERMS.model_copy(update={"confidence": "90"}), "1", site="x")

    def told(sample: Sample) -> float:
        bound = judge(sample, EVERY, NONE).lots[0].bound
        assert bound is not None
        return bound.confidence_percent

    assert (told(tables), told(ninety)) == (95, 90)


@given(st.sets(st.sampled_from(SITE), max_size=5), st.sets(st.sampled_from(SITE), max_size=5))
def test_more_faults_never_make_a_better_verdict(bad: set[Unit], more: set[Unit]) -> None:
    """Further faults or unread nodes never lead back from reject to open to accept, or to a lower bound."""
    rank = {"accept": 0, "open": 1, "reject": 2}
    terms = ConfidenceTerms(method="confidence", confidence="95", defective="10", accept=1)
    sample = draw(SITE, terms, "1", site="x", always=ALWAYS)
    before = judge(sample, EVERY, bad)

    for after in (judge(sample, EVERY, bad | more), judge(sample, EVERY - more, bad)):
        assert rank[after.decision] >= rank[before.decision]
        assert after.lots[0].bound is not None
        assert before.lots[0].bound is not None
        assert after.lots[0].bound.most_defective >= before.lots[0].bound.most_defective
