"""The suggestion as text: how many changes there are, and what becomes of them."""

from __future__ import annotations

import pytest

from audit.model.suggestion import PlanChange, Suggestion
from audit.reporting.suggestion_text import render

CHANGE = PlanChange(
    network="North", node="A", setting="address", before="12", after="13", why="B has it", place=None
)


def words(changes: int, by_hand: int, kept: int = 7) -> str:
    """Return the text of a suggestion with so many changes, without its line breaks."""
    suggestion = Suggestion(
        schema_="asfound/suggestion/1", site="Small Site", plan="plan.yaml", what="addresses",
        changes=[CHANGE] * changes, by_hand=["A: address 12 → 13"] * by_hand, impossible=[], kept=kept,
        quality="Proven", not_looked_at=[], assumed=[], cautions=[],
    )  # fmt: skip
    return " ".join(render(suggestion).split())


@pytest.mark.parametrize(
    ("changes", "by_hand", "says"),
    [
        (1, 0, "`--format diff` shows it as a patch"),
        (2, 0, "`--format diff` shows them as a patch"),
        (3, 1, "`--format diff` shows 2 of the 3 as a patch"),
        (1, 1, "No patch can make it: it is in a workbook"),
        (2, 2, "No patch can make them: they are in a workbook"),
    ],
)
def test_what_a_patch_can_make(changes: int, by_hand: int, says: str) -> None:
    """Whoever reads it knows which changes are left to be made by hand."""
    assert says in words(changes, by_hand)


@pytest.mark.parametrize(
    ("changes", "kept", "says"),
    [
        (1, 1, "1 change to the plan of Small Site; 1 node stays as planned"),
        (2, 7, "2 changes to the plan of Small Site; 7 nodes stay as planned"),
        (0, 1, "Nothing to change: 1 node of Small Site stays as planned"),
    ],
)
def test_how_many_stay_as_planned(changes: int, kept: int, says: str) -> None:
    """The first line counts."""
    assert says in words(changes, 0, kept)
