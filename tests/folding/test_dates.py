"""Folding of texts that a spreadsheet turned into dates."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, fold, nodes
from tests.site_builder import audit_of

CHAMBERS = ["3-1", "3-2", "3-3"]


def tags(texts: list[str], **settings: Any) -> list[dict[str, Any]]:
    """Return rows with these tags, and serial numbers by which they are paired."""
    return [{**row, "tag": tag} for tag, row in zip(texts, serials(len(texts), **settings), strict=True)]


def serials(count: int, **settings: Any) -> list[dict[str, Any]]:
    """Return rows with serial numbers S1, S2 …."""
    return nodes(count, serial=[f"S{n + 1}" for n in range(count)], **settings)


def test_a_column_of_tags_is_one_cause(tmp_path: Path) -> None:
    """A sheet of chambers 3-1 to 3-3 that was saved as CSV has one fault, not three."""
    cause = fold(tmp_path, "texts-became-dates", planned=tags(CHAMBERS),
                 found=tags(["2026-03-01", "2026-03-02", "2026-03-03"]))  # fmt: skip

    assert cause.others == CHAMBERS
    assert cause.message == (
        "a spreadsheet turned what was typed for 3 devices into dates: 3-1 became 2026-03-01, "
        "3-2 became 2026-03-02, 3-3 became 2026-03-03"
    )
    assert [d.split("/")[0] for d in cause.dependents] == ["tag-became-date"] * 3


def test_texts_numbers_and_tags_of_one_sheet_have_one_cause(tmp_path: Path) -> None:
    """Dates in a text, in a number and in a tag were made by the same program."""
    planned = tags(["3-4", "N02", "N03"], seal="7-8", range_high=[100, 3.4, 5.6])
    found = tags(["2026-04-03", "N02", "N03"], seal=["7-8", "2026-08-07", "7-8"],
                 range_high=[100, "3.4", "2026-06-05"])  # fmt: skip

    cause = fold(tmp_path, "texts-became-dates", planned=planned, found=found)

    assert sorted(d.split("/")[0] for d in cause.dependents) == [
        "reading-unclear",
        "setting-differs",
        "tag-became-date",
    ]
    assert cause.level == "error"


def test_a_number_that_became_a_date_says_what_was_planned(tmp_path: Path) -> None:
    """A single date where 3.4 is planned is reported as what it is."""
    (finding,) = audit_of(tmp_path, rules="reading-unclear", planned={"range_high": 3.4},
                          found={"range_high": "2026-04-03"})  # fmt: skip

    assert finding.message.endswith("it is the date that a spreadsheet turns the planned 3.4 into")


@pytest.mark.parametrize(
    "texts", [["2026-03-01", "3-2", "3-3"], ["3-1", "2026-09-09", "2026-09-08"]], ids=str
)
def test_one_date_and_other_dates_stay_by_themselves(texts: list[str], tmp_path: Path) -> None:
    """One date is one finding; a date that the planned text does not become is a wrong value."""
    rules = {
        f.rule for f in causes(tmp_path, planned=serials(3, seal=CHAMBERS), found=serials(3, seal=texts))
    }

    assert rules == {"setting-differs"}


FIRES: list[Fires] = [
    fires("texts-became-dates", "two day serials in a column of numbers", node=None, others=["N01", "N02"],
          planned=nodes(2, range_high=[3.4, 5.6]), found=nodes(2, range_high=["46115", "46178"]),
          says="for 2 devices into dates: 3.4 became 46115, 5.6 became 46178", at=[("found.csv", 2, "B")]),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("texts-became-dates", "dates as planned", idle=None, planned=nodes(3, seal="2026-04-03"),
           found=nodes(3, seal="2026-04-03")),
    silent("texts-became-dates", "one node", idle=None, planned=nodes(2, seal="3-4"),
           found=nodes(2, seal=["2026-04-03", "3-4"])),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the network, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
