"""The whole diagnosis of a node: what is most probable, why, and what to do first."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.diagnosis.asked import Asked, Tried, check_saw
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.log import Log
from audit.diagnosis.site import case_of as find
from audit.diagnosis.trip import gateway_way_minutes
from audit.diagnosis.verdicts import verdict_of
from audit.errors import InputProblems
from tests.diagnosis.calls import call
from tests.diagnosis.sites import THREE, case_of, diagnosed, examined, now, our_causes

LIST = {"list.csv": [{"tag": "B", "last_heard": 9}, {"tag": "C", "last_heard": 9}]}
ALL_SILENT = {"list.csv": [{"tag": "B", "last_heard": 99999}, {"tag": "C", "last_heard": 99999}]}


def ids(node: Any) -> list[str]:
    """Return the ids of what is known."""
    return [one.id for one in node.evidence]


MOST_PROBABLE: list[tuple[str, dict[str, Any], Asked]] = [
    ("radio-settings", {"gateway": {"channel": 7}, "found": {"channel": 8}, "lists": LIST}, Asked()),
    ("address-twice", {"found": [{"address": 32}, {"address": 32}], "lists": LIST}, Asked()),
    ("gateway", {"lists": ALL_SILENT}, Asked(joined="was")),
    ("gateway", {"gateway": {"channel": 7}, "gateway_found": {"channel": 9}, "found": {"channel": 7},
                 "lists": ALL_SILENT}, Asked()),
    ("full", {"lists": LIST, "networks": {"North": {"capacity": {"nodes": 2}}}}, Asked()),
    ("full", {"lists": LIST}, Asked(("gateway-full", "rejected-attempts"), "never")),
    ("battery", {"lists": LIST}, Asked(("lcd-blank", "cold-snap"), "was")),
    ("antenna", {"lists": LIST}, Asked(("signal-dropped", "storm"), "was")),
    ("path", {"lists": LIST}, Asked(("signal-slid", "leaves-out"), "was")),
    ("not-enrolled", {"lists": LIST}, Asked(("rejected-attempts",), "never")),
    ("variant", {"lists": LIST}, Asked(("variant-differs", "recent-work"), "never")),
    ("interference", {"lists": LIST}, Asked(("channel-noisy", "comes-and-goes", "siblings-some-silent"))),
    ("removed", {"lists": LIST}, Asked(("node-gone", "serial-differs"), "was")),
    ("hardware", {"lists": LIST},
     Asked(("damage-seen", "lcd-blank", "volts-steady", "storm", "silent-near"), "was")),
]  # fmt: skip


@pytest.mark.parametrize(("cause", "site", "asked"), MOST_PROBABLE,
                         ids=[f"{cause}-{n}" for n, (cause, _, _) in enumerate(MOST_PROBABLE)])  # fmt: skip
def test_what_speaks_for_a_cause_brings_it_to_the_top(
    tmp_path: Path, cause: str, site: dict[str, Any], asked: Asked
) -> None:
    """Each cause comes out first where the trade would expect it."""
    assert diagnosed(tmp_path, asked, **site).causes[0].id == cause


def test_nothing_known_gives_the_weights(tmp_path: Path) -> None:
    """Without evidence the ranking is that of the weights, half for each kind of node."""
    node = diagnosed(tmp_path)

    assert node.evidence == []
    for one in our_causes().causes:
        assert now(node, one.id) == pytest.approx((one.never_joined + one.was_joined) / 200, abs=1e-6)
    assert (node.joined_before, node.state) == ("unknown", "not known")


@pytest.mark.parametrize(("joined", "field"), [("was", "was_joined"), ("never", "never_joined")])
def test_whether_it_had_joined_may_be_stated(tmp_path: Path, joined: Any, field: str) -> None:
    """A statement selects one kind of node; what the other would give is shown too."""
    node = diagnosed(tmp_path, Asked(joined=joined))

    for one in our_causes().causes:
        assert now(node, one.id) == pytest.approx(getattr(one, field) / 100)
    assert node.joined_stated


def test_where_the_node_is_stands_with_it(tmp_path: Path) -> None:
    """Somebody has to find it, for most checks."""
    planned = [{"address": 31, "location": "Hill 2"}, {"address": 32}]

    assert diagnosed(tmp_path / "known", planned=planned).location == "Hill 2"
    assert diagnosed(tmp_path / "not").location is None


def test_what_is_seen_wins_over_the_files(tmp_path: Path) -> None:
    """A list may be old; what a person saw counts, and what the files say is shown with it."""
    node = diagnosed(tmp_path, Asked(("siblings-silent",)), LIST)

    (one,) = [one for one in node.evidence if one.question == "siblings"]
    assert (one.id, one.source) == ("siblings-silent", "saw")
    assert "the files say otherwise: all 2 other nodes are heard" in one.words


def test_evidence_for_and_against_is_numbered(tmp_path: Path) -> None:
    """Each number stands for a piece of evidence whose factor agrees."""
    node = diagnosed(tmp_path, Asked(("lcd-lives",)), LIST, gateway={"channel": 7}, found={"channel": 8})
    by_number = {one.number: one for one in node.evidence}

    for cause in node.causes:
        assert all(by_number[n].factors[cause.id] >= 1.25 for n in cause.speaks_for)
        assert all(by_number[n].factors[cause.id] <= 0.8 for n in cause.speaks_against)
    top = node.causes[0]
    assert "radio-differs" in {by_number[n].id for n in top.speaks_for}


def test_checks_whose_questions_are_answered_are_done(tmp_path: Path) -> None:
    """Nobody has to look up again what the files have shown."""
    asked = Asked(("no-attempts", "gateway-has-room"))
    node = diagnosed(tmp_path, asked, LIST, found=[{"address": 31}, {"address": 32}])

    assert node.done == ["siblings", "duplicates", "enrolment"]
    assert not {check.id for check in node.checks} & set(node.done)


def test_a_check_of_what_is_not_there_is_left_out(tmp_path: Path) -> None:
    """A site with one gateway has no neighbours' lists to look through."""
    south = {"tag": "S", "network": "South"}

    one, two = (diagnosed(tmp_path / str(n), planned=[*THREE, *more]) for n, more in enumerate([[], [south]]))

    assert "other-lists" not in [check.id for check in one.checks] + one.done
    assert "other-lists" in [check.id for check in two.checks]


def test_a_check_with_several_questions_waits_for_all(tmp_path: Path) -> None:
    """With only the trend of the signal known, that of the battery remains to be looked at."""
    assert "trend" not in diagnosed(tmp_path / "a", Asked(("signal-slid",))).done
    assert "trend" in diagnosed(tmp_path / "b", Asked(("signal-slid", "volts-steady"))).done


FOUND_BY: list[tuple[tuple[str, ...], str, set[str]]] = [
    (("volts-steady",), "trend", {"path", "antenna", "interference"}),
    (("no-attempts",), "enrolment", {"full"}),
    (("gateway-has-room",), "enrolment", {"not-enrolled", "address-twice", "variant"}),
    (("lcd-lives",), "phone", {"removed", "joined-elsewhere", "antenna", "variant", "hardware"}),
    (("lcd-lives", "node-there", "looks-whole"), "phone", set()),
    (("volts-low",), "loaded-volts", set()),
    (("volts-steady",), "loaded-volts", {"battery"}),
    (("radio-same",), "menu", {"removed", "variant", "address-twice"}),
    (("radio-same", "serial-as-planned", "address-alone"), "menu", set()),
]


@pytest.mark.parametrize(("saw", "name", "finds"), FOUND_BY)
def test_what_is_answered_is_not_looked_for(
    tmp_path: Path, saw: tuple[str, ...], name: str, finds: set[str]
) -> None:
    """The answered questions of a check drop out; when none is left, it is done."""
    node = diagnosed(tmp_path, Asked(saw))

    assert {cause for check in node.checks if check.id == name for cause in check.finds} == finds
    assert (name in node.done) == (not finds)


def test_only_what_was_read_after_the_loss_answers_a_check_at_the_node(tmp_path: Path) -> None:
    """Settings of a month ago may have changed since; those of tonight are what the menu would show."""
    lists = {"list.csv": [{"tag": "B", "last_heard": 9, "read_at": "2026-03-31T02:00"}]}
    before, after = (
        diagnosed(tmp_path / at[:7], None, lists, gateway={"channel": 7}, found={"channel": 7, "read_at": at})
        for at in ("2026-02-28T03:30", "2026-03-31T03:30")
    )
    menu = [
        {c for check in node.checks if check.id == "menu" for c in check.finds} for node in (before, after)
    ]

    assert "radio-settings" in menu[0]
    assert "radio-settings" not in menu[1]
    assert "lcd-lives" in ids(after)
    assert "lcd-lives" not in ids(before)


def test_a_gateways_list_is_not_read_at_the_node(tmp_path: Path) -> None:
    """A list may repeat old settings of a silent node, which nobody has seen since."""
    row = {"tag": "A", "last_heard": 86_400, "channel": 7, "read_at": "2026-03-31T02:00"}

    assert "lcd-lives" not in ids(diagnosed(tmp_path, None, {"list.csv": [row, {**LIST["list.csv"][0]}]}))


def test_an_outcome_does_not_tell_again_what_is_answered(tmp_path: Path) -> None:
    """With the battery's trend known, `not found` for that check is about the signal only."""
    case = case_of(tmp_path)
    known, tried = Asked(("volts-fell",)), Asked(("volts-fell",), tried=(Tried("trend", "not found"),))
    before, after = diagnose(case, known), diagnose(case, tried)

    assert now(after, "antenna") < now(before, "antenna")
    assert now(after, "battery") > now(before, "battery")


def test_a_trip_waits_for_the_desk(tmp_path: Path) -> None:
    """With nothing known the desk comes first, and the report says so, with chance and minutes."""
    node = diagnosed(tmp_path)

    assert node.trip
    assert node.trip.worth == "after the desk"
    assert "chance that the checks before it find the cause" in node.trip.words
    where = [check.where for check in node.checks]
    assert where.count("desk") > 1
    assert set(where[: where.index("site")]) == {"desk"}


def test_a_silent_gateway_is_looked_at_before_the_node(tmp_path: Path) -> None:
    """First remotely, then at the gateway, with its travel counted; no trip to the node comes before."""
    node = diagnosed(tmp_path, Asked(joined="was"), ALL_SILENT)
    order = [check.id for check in node.checks]
    trip = [check.where for check in node.checks].index("site")

    assert order[0] == "gateway-desk"
    assert order.index("gateway-site") < trip
    assert node.none_finds < 0.1
    assert node.trip
    assert "chance that the checks before it find the cause" in node.trip.words


def test_the_way_to_the_gateway_is_paid(tmp_path: Path) -> None:
    """Its minutes are those of the visit; the order also counts travel, as stated or from its position."""
    far, near = (
        diagnosed(tmp_path / str(minutes), Asked(("siblings-silent",), "was", travel_minutes=minutes))
        for minutes in (600, 0)
    )
    by_start = case_of(tmp_path / "c", gateway={"position": {"x_m": 10_000, "y_m": 0}})

    assert near.expected_minutes < far.expected_minutes
    assert [c.minutes for c in near.checks if c.id == "gateway-site"] == [15]
    assert gateway_way_minutes(by_start, Asked(start=(0, 0))) == pytest.approx(39)
    assert gateway_way_minutes(by_start, Asked(start=(0, 0), tried=(Tried("menu", "found"),))) > 0


def test_a_trip_that_finds_hardly_anything(tmp_path: Path) -> None:
    """If the gateway is silent, driving to the node is of no use."""
    gateway = Asked(("siblings-silent", "gateway-off-plan", "radio-differs", "gateway-full"), "was")
    node = diagnosed(tmp_path, gateway)

    assert node.causes[0].id == "gateway"
    assert node.trip
    assert node.trip.worth == "hardly"


def test_a_trip_that_is_worth_it_now(tmp_path: Path) -> None:
    """A cause that was already found at the desk is fixed at the node."""
    near = Asked(joined="never", travel_minutes=20)
    node = diagnosed(tmp_path, near, LIST, gateway={"channel": 7}, found={"channel": 8})

    assert node.trip
    assert node.trip.worth == "now"
    assert node.checks[0].id == "menu"
    assert node.trip.take[0] == "plan of the node and its gateway"


@pytest.mark.parametrize(
    ("asked", "position", "minutes", "basis"),
    [
        (Asked(), {}, 90, "assumed"),
        (Asked(travel_minutes=25), {}, 25, "as stated"),
        (Asked(start=(0, 0)), {"x_m": 10_000, "y_m": 0}, 39, "26.0 km there and back"),
        (Asked(start=(0, 0)), {}, 90, "assumed: the plan has no position of A"),
        (Asked(start=(59.0, 10.0)), {"latitude": 59.0, "longitude": 10.0}, 0, "0.0 km"),
        (Asked(tried=(Tried("menu", "not found"),)), {}, 0, "you are there"),
    ],
)
def test_the_way_to_the_node(
    tmp_path: Path, asked: Asked, position: dict[str, Any], minutes: float, basis: str
) -> None:
    """As stated, or 1.3 times the straight line and back at 40 km/h, or assumed; the report says which."""
    node = diagnosed(tmp_path, asked, planned=[{**THREE[0], **position}, *THREE[1:]])

    assert node.trip
    assert node.trip.travel_minutes == pytest.approx(minutes, abs=0.1)
    assert basis in node.trip.travel_basis


def test_a_start_that_is_nowhere(tmp_path: Path) -> None:
    """Metres are no degrees: the message says how to write them."""
    with pytest.raises(InputProblems, match="not a latitude and longitude"):
        diagnosed(tmp_path, Asked(start=(2000, 900)), planned=[{"latitude": 59.0, "longitude": 10.0}, {}])


def test_each_outcome_of_a_check_moves_its_causes(tmp_path: Path) -> None:
    """`found` raises what the check can find, `not found` lowers it; none is asked again."""
    case = case_of(tmp_path)
    before = diagnose(case, Asked())
    found, not_found, unclear = (
        diagnose(case, Asked(tried=(Tried("loaded-volts", outcome),)))
        for outcome in ("found", "not found", "unclear")
    )

    assert now(found, "battery") > 0.8 > now(before, "battery") > now(not_found, "battery")
    assert now(unclear, "battery") == now(before, "battery")
    for node in (found, not_found, unclear):
        assert "loaded-volts" not in [check.id for check in node.checks]


def test_recorded_calls_move_the_weights(tmp_path: Path) -> None:
    """Fifty calls about the antenna weigh as much as all judgement."""
    case = case_of(tmp_path)
    log = Log("log", "", [call("antenna")] * 50)

    node = diagnose(case, Asked(joined="was"), log)

    assert now(node, "antenna") == pytest.approx((0.15 * 50 + 50) / 100, abs=1e-6)


def test_cautions_go_with_the_types(tmp_path: Path) -> None:
    """Moving outputs and hazardous areas if the type has them; that it authorises nothing, always."""
    plain = diagnosed(tmp_path / "a")
    moving = diagnosed(tmp_path / "b", type_keys={"moves_outputs": True, "hazardous_area": True})

    assert "authorises nothing" in plain.cautions[0]
    assert not any("Outputs" in caution for caution in plain.cautions)
    assert any("Outputs" in caution for caution in moving.cautions)
    assert any("60079" in caution for caution in moving.cautions)
    for caution in moving.cautions:
        assert "safe" not in caution.casefold().split()
        assert "compliant" not in caution.casefold()


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("GW-North", "is a gateway"),
        ("Q", "there is no node 'Q' in the plan"),
        ("Z9", "was found here, but is not in the plan"),
        ("D", "is planned 2 times: North, South"),
    ],
)
def test_a_name_that_is_no_node(tmp_path: Path, name: str, says: str) -> None:
    """A gateway, a typing slip, an unplanned device, a tag planned twice: each gets a message of its own."""
    twice = [{"tag": "A"}, {"tag": "D", "serial": "1"}, {"tag": "D", "serial": "2", "network": "South"}]
    known = examined(tmp_path, planned=twice, found=[{"tag": "A"}, {"tag": "Z9"}])

    with pytest.raises(InputProblems, match=says):
        find(known, name)


@pytest.mark.parametrize("name", ["PT 07", "pt-7", "PT-7", "000123", "123"])
def test_a_node_by_tag_or_serial_number_however_typed(tmp_path: Path, name: str) -> None:
    """Somebody on the road does not type dashes and zeros as the plan has them."""
    known = examined(tmp_path, planned=[{"tag": "PT-07", "serial": "000123"}, {"tag": "PT-08"}])

    assert find(known, name).tag == "PT-07"


@pytest.mark.parametrize(
    ("saw", "says"),
    [
        (["lcd-blnk"], "unknown evidence 'lcd-blnk'"),
        (["lcd-blank", "lcd-lives"], "lcd-blank and lcd-lives answer the same question"),
    ],
)
def test_evidence_that_cannot_be(saw: list[str], says: str) -> None:
    """A misspelt name, and two answers to one question, are refused."""
    with pytest.raises(InputProblems, match=says):
        check_saw(saw, our_causes())


def test_the_verdict_in_words(tmp_path: Path) -> None:
    """One sentence: which node, what, how probable; also if no cause stands out, or the node has joined."""
    clear = verdict_of(diagnosed(tmp_path / "a", lists=LIST, gateway={"channel": 7}, found={"channel": 8}))
    open_ = verdict_of(diagnosed(tmp_path / "b"))
    joined = verdict_of(diagnosed(tmp_path / "c", lists={"list.csv": [{"tag": "A", "last_heard": 9}]}))

    assert clear.startswith("A (North, gateway GW-North): most probably its channel, air rate, network")
    assert "no cause stands out; perhaps its channel" in open_
    assert "heard 9 s before it was made, so it has joined; if it is missing nevertheless, " in joined


@pytest.mark.parametrize(("chance", "words"), [(0.4951, "most probably its"), (0.494, "no cause stands out")])
def test_what_is_shown_as_half_stands_out(tmp_path: Path, chance: float, words: str) -> None:
    """Of nodes of one gateway, all shown with 50 %, some were put down to it and some were not."""
    node = diagnosed(tmp_path)
    causes = [node.causes[0].model_copy(update={"posterior": chance}), *node.causes[1:]]

    assert words in verdict_of(node.model_copy(update={"causes": causes}))
