"""Naming: what findings of whole sites say about how a value came about, and where they say nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.model.result import Finding
from tests.site_builder import audit_of, result_of

PLAN = {"channel": 21, "network_id": "1A21"}


def found(folder: Path, rule: str, **site: Any) -> list[Finding]:
    """Return the findings of one rule on a site."""
    return audit_of(folder, rules=rule, **site)


def test_a_finding_names_its_slip_and_keeps_its_level(tmp_path: Path) -> None:
    """The name is added to the finding: same level, same values, same remedy."""
    (finding,) = found(tmp_path, "address-differs", planned={"address": 38}, found={"address": 83})

    assert finding.slip == "likely slip: two neighbouring digits swapped (99 %)"
    assert (finding.level, finding.planned, finding.found) == ("error", "38", "83")
    assert [(slip.id, slip.likely) for slip in finding.slips] == [("transposed", True)]
    assert "digit by digit" in finding.slips[0].advice
    assert finding.doubtful_side is None


def test_what_no_slip_explains_has_no_name(tmp_path: Path) -> None:
    """Silence rather than a guess."""
    (finding,) = found(tmp_path, "address-differs", planned={"address": 38}, found={"address": 116})

    assert (finding.slip, finding.slips, finding.hints) == (None, [], [])


def test_many_alike_are_named_by_what_explains_each_of_them(tmp_path: Path) -> None:
    """34 is one step off 35, but not off 36 and 38; for all of them it is the address of D."""
    planned = [{"address": address} for address in (35, 36, 38, 34)]
    (root,) = [
        f for f in audit_of(tmp_path, planned=planned, found=[{"address": 34}] * 4)
        if f.rule == "same-on-many-nodes" and f.setting == "address"
    ]  # fmt: skip

    assert root.slip == "likely slip: the address planned for D (99 %)"


def test_a_value_as_planned_that_differs_from_its_gateway_has_no_name(tmp_path: Path) -> None:
    """The node is right; there is nothing to name."""
    findings = found(
        tmp_path, "channel-differs", planned={}, gateway={"channel": 21}, gateway_found={"channel": 22},
        found={"channel": 21},
    )  # fmt: skip

    assert [finding.hints for finding in findings] == [[]]


ROWS = [
    {"address": 31, "range_high": 1000, "alarm_low": 280, "alarm_high": 780},
    {"address": 52, "range_high": 600, "alarm_low": 60, "alarm_high": 410},
    {"address": 77, "range_high": 350, "alarm_low": 90, "alarm_high": 300},
]


def test_the_row_of_the_neighbour(tmp_path: Path) -> None:
    """Four settings of B are those planned for C: one slip explains them all, whatever each looks like."""
    findings = audit_of(tmp_path, planned=ROWS, found=[ROWS[0], ROWS[2], ROWS[2]])
    named = {
        f.setting: f.slip for f in findings if f.node == "B" and f.rule.endswith(("differs", "off-plan"))
    }

    assert set(named) == {"address", "range_high", "alarm_low", "alarm_high"}
    assert set(named.values()) == {"likely slip: the values of the row above or below (99 %)"}


def test_two_settings_are_no_row(tmp_path: Path) -> None:
    """Below three the row is not named, but what fits the single value is."""
    changed = {**ROWS[1], "alarm_low": 90, "alarm_high": 300}
    findings = audit_of(tmp_path, planned=ROWS, found=[ROWS[0], changed, ROWS[2]])

    assert not [f for f in findings if "row" in (f.slip or "")]


def test_a_column_that_counts_up(tmp_path: Path) -> None:
    """Channels 35, 36, 37 where 34 is planned: the sheet filled a series, nobody mis-keyed three times."""
    nodes = [{"address": 31 + n} for n in range(4)]
    findings = found(
        tmp_path, "channel-differs", planned=nodes, gateway={"channel": 34},
        found=[{**node, "channel": 34 + n} for n, node in enumerate(nodes)],
    )  # fmt: skip

    assert [f.slip for f in findings] == [
        "likely slip: counted up row by row by the sheet (96 %)",
        "likely slip: counted up row by row by the sheet (99 %)",
        "likely slip: counted up row by row by the sheet (99 %)",
    ]


def test_a_unit_over_a_whole_device(tmp_path: Path) -> None:
    """280 for 28000 may be a point; three values a hundredth of their plans, as in bar, are a unit."""
    planned = {"range_high": 1000, "alarm_low": 280, "alarm_high": 780}
    alone = found(tmp_path, "alarm-off-plan", planned=planned, found={**planned, "alarm_low": 2.8})
    in_bar = {"range_high": 10, "alarm_low": 2.8, "alarm_high": 7.8}
    together = found(tmp_path, "alarm-off-plan", planned=planned, found=in_bar)

    assert [f.slips[0].likely for f in alone] == [False]
    assert {f.slip for f in together} == {"likely slip: entered in bar instead of kPa g (99 %)"}


def test_one_wrong_value_on_many_nodes_is_one_slip(tmp_path: Path) -> None:
    """The finding that represents all of them carries the name."""
    nodes = [{"alarm_low": 280} for _ in range(6)]
    (root,) = found(
        tmp_path, "same-on-many-nodes", planned=nodes, found=[{"alarm_low": 208} for _ in range(6)]
    )

    assert root.slip == "likely slip: two neighbouring digits swapped (99 %)"


def test_symptoms_of_another_cause_have_no_name(tmp_path: Path) -> None:
    """Two nodes with each other's address were exchanged; neither number was mis-keyed."""
    findings = audit_of(
        tmp_path, planned=[{"address": 103}, {"address": 104}], found=[{"address": 104}, {"address": 103}]
    )

    assert "address-pair-swapped" in {f.rule for f in findings}
    assert [f.hints for f in findings if f.rule == "address-differs"] == [[], []]


@pytest.mark.parametrize(
    ("planned", "text", "words"),
    [
        ({"address": 105}, "1O5", "likely slip: look-alike characters mixed up (99 %)"),
        ({"alarm_low": "3.5"}, "2026-03-05", "likely slip: turned into a date by a spreadsheet (99 %)"),
        (
            {"alarm_low": "280.5"},
            "280,5",
            "likely slip: comma and point mixed up, or the mark left out (99 %)",
        ),
        ({"address": 105}, "see photo", None),
    ],
)
def test_a_reading_that_is_no_value(
    tmp_path: Path, planned: dict[str, Any], text: str, words: str | None
) -> None:
    """Where a slip explains an unclear reading, it says so; where none does, nothing is said."""
    (finding,) = found(tmp_path, "reading-unclear", planned=planned, found=dict.fromkeys(planned, text))

    assert finding.slip == words


def test_access_codes_are_never_named(tmp_path: Path) -> None:
    """It does not even say that a code was mis-keyed: this would reveal something about the code."""
    result = result_of(
        tmp_path, planned=[{"access_code": "4711"}], found=[{"access_code": "4171"}], settings={}
    )
    text = result.model_dump_json()

    assert not [f for f in result.findings if "access_code" in f.settings and f.hints]
    assert "4711" not in text
    assert "4171" not in text


def test_the_file_of_slips_is_listed_where_names_rest_on_it(tmp_path: Path) -> None:
    """Whoever asks where 99 % comes from finds the version and the digest; nobody else sees them."""
    named = result_of(tmp_path, planned={"address": 38}, found={"address": 83})
    clean = result_of(tmp_path, planned={"address": 38}, found={"address": 38})

    assert "slips" in {pack.pack for pack in named.packs}
    assert "slips" not in {pack.pack for pack in clean.packs}
