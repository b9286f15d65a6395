"""What the files say about a node: each answer from a small site, with its place."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from audit.diagnosis.asked import Asked
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.evidence import Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering import GATHERERS
from audit.diagnosis.gathering.courses import course
from audit.diagnosis.gathering.work import past
from audit.diagnosis.site import case_of as find
from tests.diagnosis.sites import case_of, diagnosed, examined, now, our_causes, record

OWN = {"channel": 7, "air_rate": "50", "network_id": "A7"}
"""The gateway's plan."""
_MHZ = {"channel": {"kind": "decimal", "unit": "MHz", "low": 863, "high": 870, "step": 0.1, "default": None}}
IN_MHZ = {"settings": _MHZ, "hub_settings": _MHZ, "gateway": {"channel": 868.3}}
"""Channels that are frequencies: within one step of the display they are the same."""
TWO_NETWORKS: dict[str, Any] = {
    "planned": [{"address": 31}, {"address": 32}, {"tag": "S", "address": 31, "network": "South"}],
    "gateway": {"channel": 7},
}

TWO_AIRS = [{"address": 31}, {"address": 32}, {"tag": "S", "address": 45, "network": "South"}]
AT_45 = [{"address": 45}, {"address": 32}, {"tag": "S", "address": 45, "network": "South"}]
NEIGHBOUR: dict[str, Any] = {
    "planned": [{}, {"tag": "S", "network": "South"}],
    "gateway": OWN,
    "networks": {"South": {"gateway": {"network_id": "B9"}}},
}


def heard(*tags: str, **more: Any) -> list[dict[str, Any]]:
    """Return rows of a gateway's list."""
    return [{"tag": tag, "last_heard": 10, **more} for tag in tags]


def dated(role: str, *readings: tuple[str, Any]) -> dict[str, Any]:
    """Return readbacks of node A, one file a day."""
    files = {f"{day}.csv": [{"tag": "A", "read_at": day, role: value}] for day, value in readings}
    return {"found": files}


RETUNED: dict[str, Any] = {"from": 7, "to": 8}
READ: dict[str, Any] = {"found": {"read_at": "2026-03-31", "channel": 7}}
READ_AT_NIGHT: dict[str, Any] = {
    "lists": {"list.csv": [{"tag": "B", "last_heard": 9, "read_at": "2026-03-31T02:00"}]},
    "found": {"1.csv": [{"tag": "A", "read_at": "2026-03-01", "channel": 7}],
              "2.csv": [{"tag": "A", "read_at": "2026-03-31T03:30", "channel": 7, "battery_volts": 3.5}]},
}  # fmt: skip

CASES = [
    # question, answer, part of the words, file of the first place, site
    ("siblings", "siblings-heard", "all 2 other nodes are heard", "list.csv",
     {"lists": {"list.csv": heard("B", "C")}}),
    ("siblings", "siblings-silent", "none of the 2 other nodes is heard", "list.csv",
     {"lists": {"list.csv": [{"tag": "B", "last_heard": 99999}]}}),
    ("siblings", "siblings-some-silent", "1 of the 3 other nodes is heard", "list.csv",
     {"planned": [{}, {}, {}, {}], "lists": {"list.csv": heard("B")}}),
    ("siblings", "siblings-most-silent", "1 of the 4 other nodes is heard", "list.csv",
     {"planned": [{}, {}, {}, {}, {}], "lists": {"list.csv": heard("B")}}),
    ("settings", "radio-differs", "channel is 8, the gateway has 7", "found.csv",
     {"gateway": OWN, "found": {"channel": 8}}),
    ("settings", "radio-differs", "the gateway was not read, but is planned to have 7", "found.csv",
     {"gateway": OWN, "gateway_found": None, "found": {"channel": 8}}),
    ("settings", "radio-differs", "the gateway was read without it, but is planned to have 7", "found.csv",
     {"gateway": OWN, "gateway_found": {"local_lock": "on"}, "found": {"channel": 8}}),
    ("settings", "radio-differs", "channel was not read, 7 is planned, the gateway has 8", "North.csv",
     {"planned": [{"channel": 7}, {}], "gateway": OWN, "gateway_found": {"channel": 8}, "found": {}}),
    ("off-plan", "gateway-off-plan", "GW-North is off plan and A was not read: the plan has channel 7",
     "North.csv",
     {"planned": [{"channel": 7}, {}], "gateway": OWN, "gateway_found": {"channel": 8}, "found": {}}),
    ("settings", "radio-same", "channel 7, air_rate 50 kbit/s", "found.csv",
     {"gateway": OWN, "found": {"channel": 7, "air_rate": "50"}}),
    ("settings", "radio-differs", "address is 45, planned 31; channel 7: the same as its", "found.csv",
     {"gateway": {"channel": 7}, "found": [{"address": 45, "channel": 7}, {"address": 32}]}),
    ("settings", "radio-differs", "address is 45, planned 31; channel is 8, the gateway has 7", "found.csv",
     {"gateway": {"channel": 7}, "found": [{"address": 45, "channel": 8}, {"address": 32}]}),
    ("settings", "radio-same", "channel 7: the same as its gateway", "found.csv",
     {"gateway": {"channel": 7}, "found": [{"address": 32, "channel": 7}, {"address": 32}]}),
    ("off-plan", "node-off-plan", "address is 45, planned 31", "found.csv", {"found": {"address": 45}}),
    ("off-plan", "node-off-plan", "address is 45, planned 31", "found.csv",
     {"gateway": OWN, "gateway_found": {**OWN, "channel": 9}, "found": {"address": 45, "channel": 7}}),
    ("off-plan", "node-off-plan", "channel is 8, planned 7", "plan.yaml",
     {"gateway": OWN, "found": {"channel": 8}}),
    ("off-plan", "gateway-off-plan", "GW-North is off plan and A is not", "found.csv",
     {"gateway": OWN, "gateway_found": {**OWN, "channel": 9}, "found": {"channel": 7}}),
    ("off-plan", "gateway-off-plan", "GW-North is off plan and A is not", "found.csv",
     {**IN_MHZ, "gateway_found": {"channel": 869.5}, "found": {"channel": 868.34}}),
    ("slip", "slip-likely", "likely slip: ", "",
     {"gateway": {"channel": 17}, "found": {"channel": 1}}),
    ("slip", "slip-unlikely", "unlikely to be a keying slip", "",
     {"gateway": {"network_id": "A7C2"}, "found": {"network_id": "XQ90"}}),
    ("slip", "slip-likely", "network_id B9: the same as GW-South (South), perhaps set up for that", "",
     {**NEIGHBOUR, "found": {"network_id": "B9", "channel": 7}}),
    ("slip", "slip-likely", "the same as GW-South (South) (planned; not read), perhaps", "",
     {**NEIGHBOUR, "gateway_found": None, "found": {"network_id": "B9"}}),
    ("slip", "slip-unlikely", "unlikely to be a keying slip", "",
     {**NEIGHBOUR, "found": {"network_id": "B9", "channel": 12}}),
    ("address", "address-shared", "address 32, planned 31, is also held by B (as planned)", "found.csv",
     {"found": [{"address": 32}, {"address": 32}]}),
    ("address", "address-shared", "address 31 is also held by B (planned 32)", "found.csv",
     {"found": [{"address": 31}, {"address": 31}]}),
    ("address", "address-shared", "B (planned; not read)", "found.csv", {"found": [{"address": 32}]}),
    ("address", "address-shared", "planned 31, is also held by S of South, with the same radio (as planned)",
     "found.csv", {**TWO_NETWORKS, "gateway": OWN, "planned": TWO_AIRS, "found": AT_45}),
    ("address", "address-off-plan", "seen to hold it; it is the one planned for S (South)", "found.csv",
     {"gateway": OWN, "planned": TWO_AIRS, "found": AT_45,
      "networks": {"South": {"gateway": {"channel": 9}}}}),
    ("address", "address-default", "other device was seen to hold it; it is the factory default", "found.csv",
     {"found": [{"address": 247}, {"address": 32}]}),
    ("address", "address-shared", "Z9 (not in the plan)", "found.csv",
     {"found": [{"address": 31}, {"tag": "Z9", "address": 31}]}),
    ("address", "address-off-plan", "address 45, planned 31", "found.csv",
     {"found": [{"address": 45}, {"address": 32}]}),
    ("address", "address-off-plan", "seen to hold it; address 45 is outside the block of North", "found.csv",
     {"found": [{"address": 45}, {"address": 32}],
      "networks": {"North": {"addresses": {"first": 31, "last": 40}}}}),
    ("address", "address-off-plan", "A has the address planned for B (32), and B", "found.csv",
     {"found": [{"address": 32}, {"address": 31}]}),
    ("address", "address-alone", "address 31 is held by no other device", "found.csv",
     {"found": [{"address": 31}, {"address": 32}]}),
    ("address", "address-alone", "address 31 is held by no other device", "found.csv",
     {"found": [{"address": 31}, {"address": 32}, *[{"tag": None, "address": 31, "channel": 1}] * 2]}),
    ("address", "address-alone", "which was not read", "North.csv", {"found": [{"tag": "B", "address": 32}]}),
    ("elsewhere", "heard-elsewhere", "in the list of GW-South (South), heard 10 s before", "list.csv",
     {**TWO_NETWORKS, "lists": {"list.csv": heard("A", gateway="GW-South")}}),
    ("elsewhere", "listed-elsewhere", "in the list of GW-South (South)", "list.csv",
     {**TWO_NETWORKS, "lists": {"list.csv": heard("A", gateway="GW-South", last_heard=99999)}}),
    ("elsewhere", "listed-elsewhere", "in the list of GW-South (South), heard 10 s before", "old.csv",
     {**TWO_NETWORKS, "lists": {"old.csv": heard("A", gateway="GW-South", read_at="2026-01-01"),
                                "new.csv": heard("B", gateway="GW-North", read_at="2026-02-01")}}),
    ("elsewhere", "not-listed-elsewhere", "not in the list of the other gateway", "list.csv",
     {**TWO_NETWORKS, "lists": {"list.csv": heard("S", gateway="GW-South")}}),
    ("volts", "volts-fell", "battery 3.2 V on 2026-03-01, 3.6 V on 2026-01-01: 11 % less", "2026-03-01.csv",
     dated("battery_volts", ("2026-01-01", 3.6), ("2026-03-01", 3.2))),
    ("volts", "volts-steady", "steady", "2026-03-01.csv",
     dated("battery_volts", ("2026-01-01", 3.6), ("2026-03-01", 3.59))),
    ("signal", "signal-slid", "over 3 readings: 9 dB weaker, gradually", "2026-01-01.csv",
     dated("rssi", ("2026-01-01", -70), ("2026-02-01", -75), ("2026-03-01", -79))),
    ("signal", "signal-slid", "over 3 readings: 18 dB weaker, gradually", "2026-01-01.csv",
     dated("rssi", ("2026-01-01", -75), ("2026-02-01", -82), ("2026-03-01", -93))),
    ("signal", "signal-dropped", "15 dB weaker, suddenly", "2026-02-01.csv",
     dated("rssi", ("2026-01-01", -70), ("2026-02-01", -70), ("2026-02-08", -85))),
    ("signal", "signal-steady", "steady within 2 dB", "2026-01-01.csv",
     dated("rssi", ("2026-01-01", -70), ("2026-02-01", -72))),
    ("display", "lcd-lives", "display works: its channel was read there on 2026-03-31 03:30, after", "2.csv",
     READ_AT_NIGHT),
    ("place", "node-there", "it is where it should be: its channel was read there", "2.csv", READ_AT_NIGHT),
    ("window", "joining-closed", "closed at GW-North", "gateways.csv",
     {"gateway": {"join_window": "closed"}, "found": {}}),
    ("window", "joining-open", "open at GW-North", "gateways.csv",
     {"gateway": {"join_window": "open"}, "found": {}}),
    ("room", "gateway-has-room", "1 node is in the list of GW-North, which can hold 2", "list.csv",
     {"networks": {"North": {"capacity": {"nodes": 2}}}, "lists": {"list.csv": heard("B")}}),
    ("room", "gateway-full", "2 nodes are in the list of GW-North, which can hold 2", "list.csv",
     {"networks": {"North": {"capacity": {"nodes": 2}}}, "lists": {"list.csv": heard("B", "C")}}),
    ("room", "gateway-full", "which can hold 2; in that list, but not in the plan: Z9", "list.csv",
     {"networks": {"North": {"capacity": {"nodes": 2}}}, "lists": {"list.csv": heard("B", "Z9")}}),
    ("room", "gateway-full", "but planned for another gateway: S (planned for South)", "list.csv",
     TWO_NETWORKS | {"networks": {"North": {"capacity": {"nodes": 2}}},
                     "lists": {"list.csv": heard("B", "S", gateway="GW-North")}}),
    ("room", "gateway-has-room", "can hold 3", "list.csv",
     {"networks": {"North": {"capacity": {"nodes": 3}}}, "lists": {"list.csv": heard("B", "C")}}),
    ("variant", "variant-differs", "band is low band", "found.csv",
     {"plan": {"approved": [{"setting": "band", "values": ["high band"]}]}, "found": {"band": "low band"}}),
    ("variant", "variant-differs", "firmware 0.9, planned 1.2", "found.csv",
     {"planned": [{"firmware": "1.2"}, {}], "found": {"firmware": "0.9"}}),
    ("variant", "variant-differs", "0.8", "found.csv",
     {"plan": {"approved": [{"setting": "firmware", "values": ["1.2"]}]}, "found": {"firmware": "0.8"}}),
    ("variant", "variant-differs", "meter", "found.csv",
     {"planned": [{"type": "probe"}, {}], "found": {"type": "meter"}}),
    ("variant", "variant-as-planned", "firmware 1.2: as planned or approved", "found.csv",
     {"planned": [{"firmware": "1.2"}, {}], "found": {"firmware": "1.2"}}),
    ("variant", "variant-as-planned", "firmware 1.3: as planned or approved", "found.csv",
     {"plan": {"approved": [{"setting": "firmware", "values": ["1.2", "1.3"]}]},
      "planned": [{"firmware": "1.2"}, {}], "found": {"firmware": "1.3"}}),
    ("variant", "variant-as-planned", "band high band: as planned or approved", "found.csv",
     {"plan": {"approved": [{"setting": "band", "values": ["high band"]}]}, "found": {"band": "high band"}}),
    ("identity", "serial-differs", "serial 999 was found under its tag; 100 is planned", "found.csv",
     {"planned": [{"serial": "100"}, {}], "found": {"serial": "999"}}),
    ("identity", "serial-as-planned", "serial 100 is the planned one", "found.csv",
     {"planned": [{"serial": "100"}, {}], "found": {"serial": "100"}}),
    ("work", "recent-work", "A was set on 2026-03-20", "found.csv",
     {"found": {"read_at": "2026-03-31", "configured_at": "2026-03-20"}}),
    ("work", "no-recent-work", "A was set on 2025-03-20", "found.csv",
     {"found": {"read_at": "2026-03-31", "configured_at": "2025-03-20"}}),
    ("work", "recent-work", "channel of A went from 7 to 8 by 2026-03-01", "2026-03-01.csv",
     dated("channel", ("2026-01-01", 7), ("2026-03-01", 8))),
    ("work", "record-gone", "A removed on 2025-03-20 by change CR-2025-03-20", "changes.json",
     {**READ, "changes": [record("removed", "2025-03-20")]}),
    ("work", "record-gateway", "channel of GW-North set from 7 to 8 on 2026-03-20 by change", "changes.json",
     {**READ, "changes": [record(node="GW-North", setting="channel", **RETUNED)]}),
    ("work", "record-exchanged", "A exchanged from S1 to S2 on 2026-03-20", "changes.json",
     {**READ, "changes": [record("exchange", **{"from": "S1", "to": "S2"})]}),
    ("work", "record-set", "channel of all of North set to 8 on 2026-03-20", "changes.json",
     {**READ, "changes": [record(network="North", setting="channel", to=8)]}),
    ("work", "recent-work", "report_interval of A set to 60 on 2026-03-20", "changes.json",
     {**READ, "changes": [record(setting="report_interval", to=60)]}),
    ("work", "no-recent-work", "no record says that A or GW-North was changed", "changes.json",
     {**READ, "changes": [record(node="B", setting="channel", to=8)]}),
]  # fmt: skip


@pytest.mark.parametrize(("question", "answer", "words", "file", "site"), CASES,
                         ids=[f"{answer}-{n}" for n, (_, answer, *_) in enumerate(CASES)])  # fmt: skip
def test_an_answer_with_its_place(
    tmp_path: Path, question: str, answer: str, words: str, file: str, site: dict[str, Any]
) -> None:
    """Each answer comes with the values that it rests on, and their places."""
    told = GATHERERS[question](case_of(tmp_path, **site))

    assert isinstance(told, Answered)
    assert told.answer == answer
    assert words in told.words
    assert [Path(place.file).name for place in told.places[:1]] == ([file] if file else [])


def test_every_answer_from_files_is_tried() -> None:
    """The cases above have every answer, except about the link and low volts, and what no file can say."""
    told = {answer for _, answer, *_ in CASES}
    of_files = {
        answer.id for question in our_causes().questions if question.id in GATHERERS
        for answer in question.answers
    }  # fmt: skip

    assert of_files - told == {
        "volts-low", "path-loss-odd", "margin-weak", "margin-good", "lcd-blank", "node-gone"
    }  # fmt: skip


@pytest.mark.parametrize(
    ("volts", "answer", "words"),
    [
        ([2.6], "volts-low", "battery 2.6 V on 2026-01-01, below the device's cut-off of 2.7 V"),
        ([3.1], "volts-low", "battery 3.1 V on 2026-01-01, below 3.2 V, at which it is due to be changed"),
        ([3.6, 2.6], "volts-low", "below the device's cut-off of 2.7 V; 3.6 V on 2026-01-01: 28 % less"),
        ([2.61, 2.6], "volts-low", "below the device's cut-off"),
        ([2.6, 3.6], "volts-steady", "steady"),
        ([2.7], None, "only one dated reading"),
    ],
)
def test_a_battery_below_its_limits_is_low(
    tmp_path: Path, volts: list[float], answer: str | None, words: str
) -> None:
    """For that, one reading is enough, the newest, compared with the limits of the device type."""
    battery = {"capacity_ah": 19, "sleep_ua": 10, "transmit_ma": 30, "low_v": 3.2, "cutoff_v": 2.7}
    if volts == [2.7]:
        battery["volts_per_kelvin"] = 0.005  # it may be cold there
    read = dated("battery_volts", *((f"2026-01-{day:02}", one) for day, one in enumerate(volts, 1)))
    told = GATHERERS["volts"](case_of(tmp_path, type_keys={"battery": battery}, **read))

    assert getattr(told, "answer", None) == answer
    assert told
    assert words in told.words


def test_every_gatherer_answers_a_question_of_its_own() -> None:
    """Every gatherer has its question in the data."""
    assert set(GATHERERS) <= {question.id for question in our_causes().questions}


NOT_TOLD = [
    ("siblings", "no list of GW-North was given", {}),
    ("siblings", "its gateway's only node", {"planned": {"address": 31}}),
    ("settings", "none of them was read", {"gateway": OWN, "found": {"address": 31}}),
    ("settings", "those of GW-North were neither read nor planned", {"found": {"channel": 9}}),
    ("address", "no other address in its network was read", {"found": {"address": 31}}),
    (
        "address",
        "no other address in its network was read",  # a list says who is heard, and not how it is set
        {"found": {"address": 31}, "lists": {"list.csv": heard("B", "C")}},
    ),
    ("elsewhere", "none was given", TWO_NETWORKS),
    ("volts", "only one dated reading", dated("battery_volts", ("2026-01-01", 3.6))),
    ("signal", "not read, or without dates", {"found": {"rssi": -70}}),
    (
        "signal",
        "18 dB weaker; whether suddenly or gradually is not known",
        dated("rssi", ("2025-04-19", -75), ("2026-04-19", -93)),
    ),
    (
        "signal",
        "15 dB weaker; whether suddenly or gradually is not known",
        dated("rssi", ("2026-01-01", -70), ("2026-02-01", -70), ("2026-03-01", -85)),
    ),
    ("window", "it was not read", {"gateway": {"join_window": "closed"}, "gateway_found": None, "found": {}}),
    ("identity", "not planned", {"found": {"serial": "1"}}),
    (
        "variant",
        "whether firmware 0.9, planned 1.2, keeps it out: B has the same and is heard",
        {
            "planned": [{"firmware": "1.2"}, {"firmware": "1.2"}],
            "found": [{"firmware": "0.9"}, {"firmware": "0.9"}],
            "lists": {"list.csv": heard("B")},
        },
    ),
    ("work", "no readback says when it was set", {"found": {"read_at": "2026-03-31"}}),
]


@pytest.mark.parametrize(
    ("question", "words", "site"), NOT_TOLD, ids=[f"{q}-{n}" for n, (q, _, _) in enumerate(NOT_TOLD)]
)
def test_what_is_not_known_is_said(tmp_path: Path, question: str, words: str, site: dict[str, Any]) -> None:
    """A question without an answer says why: it is never answered by what was not read."""
    told = GATHERERS[question](case_of(tmp_path, **site))

    assert isinstance(told, NotKnown)
    assert words in told.words


@pytest.mark.parametrize(
    ("question", "site"),
    [
        ("elsewhere", {}),
        ("room", {"lists": {"list.csv": heard("B")}}),
        ("off-plan", {"gateway": OWN, "found": {"channel": 7}}),
        ("slip", {"gateway": OWN, "found": {"channel": 7}}),
        ("variant", {"found": {"band": "low band"}}),
    ],
)
def test_a_question_that_does_not_arise_is_not_asked(
    tmp_path: Path, question: str, site: dict[str, Any]
) -> None:
    """A site with one gateway has no other, and without a difference nothing is off plan."""
    assert GATHERERS[question](case_of(tmp_path, **site)) is None


def test_a_planned_value_that_stands_in_is_marked(tmp_path: Path) -> None:
    """If the gateway was not read, its plan is used instead, and is wrong more often."""
    site: dict[str, Any] = {"gateway": OWN, "found": {"channel": 8}}

    read = GATHERERS["settings"](case_of(tmp_path / "read", **site))
    unread = GATHERERS["settings"](case_of(tmp_path / "unread", gateway_found=None, **site))

    assert isinstance(read, Answered)
    assert isinstance(unread, Answered)
    assert (read.planned, unread.planned) == (False, True)


LINK = {"radio_power": 14, "frequency": 868, "air_rate": "50"}


def at(distance_m: float, **found: Any) -> dict[str, Any]:
    """Return a site whose node is this far from its gateway."""
    return {
        "planned": [{"x_m": 0, "y_m": distance_m, **LINK}, {}],
        "type_keys": {"sensitivity_dbm": {"50": -105}},
        "found": [{"read_at": "2026-03-01", **found}],
    }


@pytest.mark.parametrize(
    ("rssi", "distance_m", "answer"),
    [
        (-90, 1000, "margin-good"),
        (-101, 1000, "margin-weak"),
        (-104, 1000, "path-loss-odd"),
        (-91, 300, "margin-good"),
        (-101, 100, "path-loss-odd"),
    ],
)
def test_the_link_by_its_signal(tmp_path: Path, rssi: float, distance_m: float, answer: str) -> None:
    """Free space at 868 MHz loses 91.2 dB over 1 km (Rec. ITU-R P.525), so 14 dBm become −77 dBm."""
    case = case_of(tmp_path, **at(distance_m, rssi=rssi))
    case = _with_gateway_at_origin(case)

    told = GATHERERS["margin"](case)

    assert isinstance(told, Answered)
    assert told.answer == answer


def test_the_link_by_the_newest_of_its_signals(tmp_path: Path) -> None:
    """What it had before shows what it lost, and not what it has."""
    site = at(1000) | dated("rssi", ("2026-01-01", -70), ("2026-03-01", -101))

    told = GATHERERS["margin"](_with_gateway_at_origin(case_of(tmp_path, **site)))

    assert isinstance(told, Answered)
    assert (told.answer, told.words) == (
        "margin-weak", "signal -101 dBm on 2026-03-01, 4 dB above the sensitivity"
    )  # fmt: skip


def test_free_space_alone_proves_only_a_weak_link(tmp_path: Path) -> None:
    """Without a signal reading, only a link that is weak even in free space is reported."""
    far = _with_gateway_at_origin(case_of(tmp_path / "far", **at(100_000)))
    near = _with_gateway_at_origin(case_of(tmp_path / "near", **at(100)))

    weak, unknown = (GATHERERS["margin"](case) for case in (far, near))

    assert isinstance(weak, Answered)
    assert (weak.answer, weak.planned) == ("margin-weak", True)
    assert isinstance(unknown, NotKnown)
    assert "which proves little" in unknown.words


def _with_gateway_at_origin(case: Any) -> Any:
    """Put the gateway at the origin of the site's grid, which `tests/site_builder.py` cannot plan."""
    from audit.model.base import Position

    block, i = case.gateway
    block.positions[i] = Position(x_m=0.0, y_m=0.0)
    return case


@pytest.mark.parametrize(
    ("lists", "joined"),
    [
        ({}, "unknown"),
        ({"list.csv": heard("B")}, "unknown"),
        ({"list.csv": heard("A", "B")}, "was"),
        ({"1.csv": heard("A", read_at="2026-01-01"), "2.csv": heard("B", read_at="2026-02-01")}, "was"),
        ({"1.csv": heard("B", read_at="2026-01-01"), "2.csv": heard("B", read_at="2026-02-01")}, "never"),
    ],
)
def test_whether_it_had_joined_before(tmp_path: Path, lists: dict[str, Any], joined: str) -> None:
    """An earlier list with it shows that it had joined; lists of two days without it, that it never has."""
    assert past(case_of(tmp_path, lists=lists)).joined == joined


def test_another_gateways_list_is_no_joining_before(tmp_path: Path) -> None:
    """A node in another gateway's list may never have joined its own gateway."""
    case = case_of(tmp_path, **TWO_NETWORKS, lists={"list.csv": heard("A", gateway="GW-South")})

    assert past(case).joined == "unknown"


def test_a_signal_at_another_gateway_is_of_another_path(tmp_path: Path) -> None:
    """Heard at −75 dBm by its own gateway and at −98 dBm by the next, its signal has not dropped."""
    days = {
        f"{gateway}.csv": [
            {"tag": "A", "gateway": gateway, "rssi": rssi, "read_at": day, "battery_volts": 3.6}
        ]
        for gateway, rssi, day in (("GW-North", -75, "2026-01-01"), ("GW-South", -98, "2026-01-02"))
    }
    case = case_of(tmp_path, **TWO_NETWORKS, lists=days)

    assert GATHERERS["signal"](case) == NotKnown("the trend of its signal strength: only one dated reading")
    assert isinstance(GATHERERS["volts"](case), Answered)


def test_a_list_shows_a_signal_as_it_was_when_the_node_was_heard(tmp_path: Path) -> None:
    """Some gateways list what they have lost: two lists show its signal of January, which is one reading."""
    days = {
        f"{day}.csv": [{"tag": "A", "rssi": rssi, "last_heard": ago, "read_at": f"{day}T08:00"}]
        for day, rssi, ago in (
            ("2026-01-01", -75, "20 s"), ("2026-02-01", -88, "27 d 1 h"), ("2026-03-01", -88, "55 d"),
        )
    }  # fmt: skip
    case = case_of(tmp_path, lists=days)

    read = [(one.at.isoformat(" ", "minutes"), one.shown) for one in course(case, "rssi", "dBm")]
    assert read == [("2026-01-01 07:59", "-75 dBm"), ("2026-01-05 07:00", "-88 dBm")]
    told = GATHERERS["signal"](case)
    assert isinstance(told, Answered)
    assert told.words == "signal -75 dBm on 2026-01-01, -88 dBm on 2026-01-05: 13 dB weaker, suddenly"


@pytest.mark.parametrize(
    ("january", "april", "words"),
    [
        ("999", "100", "serial 100 is the planned one"),
        ("100", "999", "serial 999 was found under its tag; 100 is planned"),
        ("999", "998", "serial 998 was found under its tag; 100 is planned"),
    ],
)
def test_the_newest_serial_number_under_its_tag_counts(
    tmp_path: Path, january: str, april: str, words: str
) -> None:
    """A unit that hung there in January, and hangs there no more, is not what keeps the node out."""
    read = {
        f"{day}.csv": [{"tag": "A", "serial": serial, "read_at": day}]
        for day, serial in (("2026-01-10", january), ("2026-04-10", april))
    }
    told = GATHERERS["identity"](case_of(tmp_path, planned=[{"serial": "100"}, {}], found=read))

    assert isinstance(told, Answered)
    assert told.words == words
    assert Path(told.places[0].file).name == "2026-04-10.csv"


def test_most_silent_siblings_are_several_to_causes_that_know_no_more(tmp_path: Path) -> None:
    """A site's own causes may have been written before there was an answer for most of them."""
    case = case_of(tmp_path, planned=[{}] * 5, lists={"list.csv": heard("B")})
    question = next(one for one in case.causes.questions if one.id == "siblings")
    fewer = tuple(one for one in question.answers if one.id != "siblings-most-silent")
    older = case.causes.model_copy(update={"questions": (question.model_copy(update={"answers": fewer}),)})
    told = GATHERERS["siblings"](replace(case, examined=replace(case.examined, causes=older)))

    assert isinstance(told, Answered)
    assert told.answer == "siblings-some-silent"


@pytest.mark.parametrize(
    ("march", "april", "answer"), [("200", "999", "serial-differs"), ("999", "200", "serial-as-planned")]
)
def test_a_foreign_unit_may_have_followed_the_one_that_a_record_brought(
    tmp_path: Path, march: str, april: str, answer: str
) -> None:
    """The record of an exchange says what hung there then."""
    read = {
        f"{day}.csv": [{"tag": "A", "serial": serial, "read_at": day}]
        for day, serial in (("2026-03-10", march), ("2026-04-10", april))
    }
    changes = [record("exchange", "2026-02-01", to="200")]
    case = case_of(tmp_path, planned=[{"serial": "100"}, {}], found=read, changes=changes)
    told = GATHERERS["identity"](case)

    assert isinstance(told, Answered)
    assert told.answer == answer


@pytest.mark.parametrize("april", ["2026-01-10", ""], ids=["same day", "no date"])
def test_a_foreign_serial_number_counts_unless_its_own_was_read_later(tmp_path: Path, april: str) -> None:
    """Which of two units hangs there is not shown: that it may be the wrong one is worth a look."""
    read = {"1.csv": [{"tag": "A", "serial": "999", "read_at": "2026-01-10"}],
            "2.csv": [{"tag": "A", "serial": "100", "read_at": april}]}  # fmt: skip
    told = GATHERERS["identity"](case_of(tmp_path, planned=[{"serial": "100"}, {}], found=read))

    assert isinstance(told, Answered)
    assert told.answer == "serial-differs"


def test_what_a_list_shows_of_a_lost_node_comes_before_what_was_read_at_it_since(tmp_path: Path) -> None:
    """Heard last on 10 January at 3.3 V, it was read with a new battery two days later."""
    sheet = {"sheet.csv": [{"tag": "A", "battery_volts": 3.6, "read_at": "2026-01-12T08:00"}]}
    listed = {"tag": "A", "battery_volts": 3.3, "last_heard": "10 d", "read_at": "2026-01-20T08:00"}
    case = case_of(tmp_path, found=sheet, lists={"list.csv": [listed]})

    read = [(one.at.isoformat(" ", "minutes"), one.shown) for one in course(case, "battery_volts", "V")]
    assert read == [("2026-01-10 08:00", "3.3 V"), ("2026-01-12 08:00", "3.6 V")]


@pytest.mark.parametrize(
    ("at", "known"),
    [("2026-03-01", False), ("2026-03-19", False), ("2026-03-20", True), ("2026-03-21", True),
     ("2026-03-20T07:00", False), ("2026-03-20T08:00", False), ("2026-03-20T08:01", True)],
)  # fmt: skip
def test_a_list_made_before_a_node_was_lost_does_not_show_where_it_went(
    tmp_path: Path, at: str, known: bool
) -> None:
    """Its own gateway heard it until 20 March, 8 o'clock; after that it may have joined elsewhere."""
    lists = {
        "own.csv": heard("A", gateway="GW-North", last_heard="5 d", read_at="2026-03-25T08:00"),
        "other.csv": heard("S", gateway="GW-South", read_at=at),
    }
    told = GATHERERS["elsewhere"](case_of(tmp_path, **TWO_NETWORKS, lists=lists))

    assert isinstance(told, Answered) == known
    if not known:
        assert told == NotKnown(
            "whether another gateway hears it now: GW-North still heard it when the newest list of another "
            "gateway was made; take a new list"
        )


def test_a_list_that_still_has_the_node_does_not_show_what_else_is_heard_now(tmp_path: Path) -> None:
    """Whoever asks has lost it since: its gateway may have failed since, and it may be elsewhere."""
    lists = {"list.csv": [*heard("A", "B", gateway="GW-North"), *heard("S", gateway="GW-South")]}
    case = case_of(tmp_path, **TWO_NETWORKS, lists=lists)

    assert GATHERERS["siblings"](case) == NotKnown(
        "whether other nodes are still heard: in the list of GW-North, A itself is still heard; "
        "take a new list"
    )
    assert isinstance(GATHERERS["elsewhere"](case), NotKnown)


@pytest.mark.parametrize(
    ("at", "known"), [("2026-03-24", False), ("2026-03-25", False), ("2026-03-26", True)]
)
def test_a_node_that_is_heard_in_an_older_list_may_have_gone_to_a_newer_one(
    tmp_path: Path, at: str, known: bool
) -> None:
    """Its own gateway's list of 25 March still has it."""
    lists = {
        "own.csv": heard("A", gateway="GW-North", read_at="2026-03-25T08:00"),
        "other.csv": heard("S", gateway="GW-South", read_at=at),
    }
    told = GATHERERS["elsewhere"](case_of(tmp_path, **TWO_NETWORKS, lists=lists))

    assert isinstance(told, Answered) == known


def test_a_node_that_another_gateway_hears_lives(tmp_path: Path) -> None:
    """It has joined there, so its battery, its antenna and its removal are hardly probable."""
    lists = {"list.csv": [*heard("B", gateway="GW-North"), *heard("A", gateway="GW-South")]}
    node = diagnosed(tmp_path, Asked(joined="was"), lists, **TWO_NETWORKS)

    assert node.heard_by == "GW-South"
    assert node.causes[0].id == "joined-elsewhere"
    assert sum(now(node, cause) for cause in ("battery", "antenna", "hardware")) < 0.2
    assert now(node, "removed") < 0.15


def test_a_node_that_is_set_as_another_gateway_is_set_wrong(tmp_path: Path) -> None:
    """Its settings were read and are not its gateway's: that it has joined elsewhere follows from them."""
    found = {"address": 31, "channel": 8}
    node = diagnosed(
        tmp_path, None, {"list.csv": heard("A", gateway="GW-South")}, **TWO_NETWORKS, found=found
    )

    assert [cause.id for cause in node.causes[:2]] == ["radio-settings", "joined-elsewhere"]


def test_a_node_that_is_as_planned_and_heard_by_the_gateway_exchanged_with_its_own(tmp_path: Path) -> None:
    """Both gateways are off plan, and the other one is where A is planned: A itself is right."""
    networks = {name: {"gateway": {"channel": planned}, "gateway_found": {"channel": 15 - planned}}
                for name, planned in (("North", 7), ("South", 8))}  # fmt: skip
    planned = [{"address": address} for address in range(31, 36)]
    found = [{**row, "channel": channel} for row, channel in zip(planned, (7, 8, 8, 7, 7), strict=True)]
    lists = {"list.csv": [*heard("A", gateway="GW-South"), *heard("B", "C", gateway="GW-North")]}
    node = diagnosed(tmp_path, None, lists, planned=planned, networks=networks, found=found)

    assert node.causes[0].id == "gateway"


def test_a_node_that_another_gateway_had_heard_has_not_joined_there(tmp_path: Path) -> None:
    """Its old row in that list does not show where it is now."""
    lists = {"list.csv": [*heard("B", gateway="GW-North"), *heard("A", gateway="GW-South", last_heard=99999)]}

    assert diagnosed(tmp_path, None, lists, **TWO_NETWORKS).heard_by is None


def test_an_address_that_is_off_the_plan_is_set_wrong(tmp_path: Path) -> None:
    """No other device holds it, and its radio is its gateway's: nothing else is wrong."""
    found = [{"address": 45, "channel": 7}, {"address": 32, "channel": 7}, {"address": 33, "channel": 7}]
    node = diagnosed(tmp_path, None, {"list.csv": heard("B", "C")}, gateway={"channel": 7}, found=found)

    assert now(node, "radio-settings") > 0.8
    assert now(node, "address-twice") < 0.03


def test_who_holds_an_address_in_two_columns_is_named_once(tmp_path: Path) -> None:
    """A device of an unplanned type has what the columns of two types say."""
    planned = [{"address": 31, "channel": 7}, {"type": "meter", "place": 5}]
    found = [
        {"address": 31, "channel": 7},
        {"place": 5},
        {"tag": "X", "network": "North", "address": 31, "place": 31},
    ]
    settings = {"address": None, "place": {"kind": "integer", "role": "address", "low": 1, "high": 247}}
    site = examined(tmp_path, planned=planned, found=found, meter_settings=settings)

    (held,) = [one for one in diagnose(find(site, "A"), Asked()).evidence if one.id == "address-shared"]

    assert held.words == "address 31 is also held by X (not in the plan)"


def told(case: Case, question: str) -> Answered:
    """Return what the files answer to a question."""
    answer = GATHERERS[question](case)
    assert isinstance(answer, Answered)
    return answer


def test_an_address_is_not_moved_to_where_another_node_stands(tmp_path: Path) -> None:
    """B was read with A's address, and C with B's: C moves first, or B moves to a spare address."""
    shared = told(case_of(tmp_path, found=[{"address": 31}, {"address": 31}, {"address": 32}]), "address")

    assert shared.mend == (
        "B: set its address from 31 to 32, once C (planned 33) no longer holds that; "
        "until then to a spare one",
    )


FACTORY: dict[str, Any] = {
    "gateway": OWN,
    "settings": {"channel": {"kind": "integer", "low": 1, "high": 40, "default": 1},
                 "network_id": {"kind": "text", "default": "00"},
                 "address": {"kind": "integer", "low": 1, "high": 247, "default": 1}},
    "found": [{"address": 1, "channel": 1, "network_id": "00"}, {"address": 1, "channel": 1},
              {"address": 33}],
}  # fmt: skip


def test_a_node_that_was_never_set_is_no_unlikely_slip(tmp_path: Path) -> None:
    """The difference is the factory setting, which is stronger evidence than any keying slip."""
    likely = told(case_of(tmp_path, **FACTORY), "slip")

    assert likely.answer == "slip-likely"
    assert likely.words == "channel 1, network_id 00: left at the factory setting, or lost"


@pytest.mark.parametrize(("channel", "its"), [(7, "; on the same visit its channel from 1 to 7"), (9, "")])
def test_where_its_radio_is_off_plan_as_well_it_is_set_on_the_same_visit(
    channel: int, its: str, tmp_path: Path
) -> None:
    """A node with only its address set is not heard; what the gateway does not have waits for a decision."""
    site = {**FACTORY, "gateway_found": {**OWN, "channel": channel}}

    shared = told(case_of(tmp_path, **site), "address")

    assert f"B: set its address from 1 to 32{its}" in shared.mend


def test_of_two_exchanged_addresses_each_node_tells_the_other(tmp_path: Path) -> None:
    """Setting one of them as planned would make a second holder."""
    off = told(case_of(tmp_path, "B", found=[{"address": 32}, {"address": 31}, {"address": 33}]), "address")

    assert off.answer == "address-off-plan"
    assert "A (planned 31) holds 32 now: move that device first, to a spare address" in off.words


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (
            {"network_id": "B9"},
            "network_id B9: the same as GW-South (South), perhaps set up for that network",
        ),
        (
            {"channel": 8},
            "channel 8: the same as GW-South (South), perhaps copied from there; or likely slip: one digit",
        ),
    ],
)
def test_what_another_gateway_has_is_its_network_only_by_its_identity(
    found: dict[str, Any], words: str, tmp_path: Path
) -> None:
    """A channel may also be a keying slip, and encryption has only two values."""
    networks = {"South": {"gateway": {"network_id": "B9", "channel": 8, "encryption": False}}}
    site = NEIGHBOUR | {"networks": networks, "gateway": OWN | {"encryption": True}}

    assert told(case_of(tmp_path, **site, found=OWN | found), "slip").words.startswith(words)
    off = told(case_of(tmp_path / "off", **site, found=OWN | {"encryption": False}), "slip")
    assert "GW-South" not in off.words


@pytest.mark.parametrize(("day", "counts"), [("2026-02-28", True), ("2026-03-31", False)])
def test_a_gateway_off_plan_that_has_heard_the_node_since_did_not_lose_it(
    day: str, counts: bool, tmp_path: Path
) -> None:
    """A node that was not read may have followed its gateway: its planned channel is a guess."""
    case = case_of(
        tmp_path, planned=[{"channel": 7}, {}], gateway=OWN, found={},
        gateway_found={"channel": 8, "read_at": "2026-03-01"},
        lists={"list.csv": heard("A", "B", read_at=f"{day}T08:00")},
    )  # fmt: skip

    assert isinstance(GATHERERS["settings"](case), Answered) == counts


def test_an_address_without_a_name_in_another_list_leaves_open_who_it_is(tmp_path: Path) -> None:
    """It may be this node, which is then not missing but elsewhere."""
    lists = {"list.csv": [{"address": 32, "joined_gateway": "GW-North"},
                          {"address": 31, "joined_gateway": "GW-South"}]}  # fmt: skip
    planned = [*TWO_NETWORKS["planned"][:2], {"tag": "S", "address": 45, "network": "South"}]
    unknown = GATHERERS["elsewhere"](case_of(tmp_path, lists=lists, planned=planned, gateway={"channel": 7}))

    assert isinstance(unknown, NotKnown)
    assert unknown.words.endswith(
        "the list of GW-South (South) has its address 31 in a row that names no device; find out which "
        "device it is"
    )
