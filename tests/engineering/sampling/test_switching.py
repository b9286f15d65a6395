"""Switching between kinds of inspection, rule by rule."""

from __future__ import annotations

import pytest

from audit.engineering.sampling.switching import PastLot, next_inspection
from audit.model.sampling_tables import Inspection

PLANS: dict[str, tuple[Inspection, int, int]] = {
    "n": ("normal", 2, 3),
    "t": ("tightened", 1, 2),
    "r": ("reduced", 1, 3),
}


def lots(text: str) -> list[PastLot]:
    """Return lots as `n0 n3 t1`: the kind of inspection and how many were nonconforming."""
    return [PastLot(PLANS[word[0]][0], int(word[1:]), *PLANS[word[0]][1:]) for word in text.split()]


TEN_GOOD = "n0 n0 n0 n1 n0 n0 n0 n0 n1 n0"


@pytest.mark.parametrize(
    ("past", "after", "clause"),
    [
        ("", "normal", "first lot"),
        ("n0 n3", "normal", "nothing"),
        ("n3 n3", "tightened", "4.7.1"),
        ("n3 n0 n0 n0 n3", "tightened", "4.7.1"),
        ("n3 n0 n0 n0 n0 n3", "normal", "nothing"),
        ("n3 n3 n0 n0 n0 n0 n0", "tightened", "4.7.1"),  # overdue since the second lot
        ("n3 n3 t0 t0 t0 t0", "tightened", "4.7.2"),
        ("n3 n3 t0 t0 t0 t0 t1", "normal", "4.7.2"),
        ("t2 t0 t0 t0 t0", "tightened", "4.7.2"),
        ("t2 t0 t2 t0 t2 t0 t2 t0 t2", "discontinued", "4.8"),
        ("t2 t2 t2 t2 n0 t2", "tightened", "4.7.2"),  # only those since the last change count
        ("n3 t0 t0 t0 t0 t0 n3", "normal", "nothing"),  # the rejection before tightened inspection is past
        ("r0 r1", "reduced", "nothing"),
        ("r0 r3", "normal", "4.7.4a"),
        ("r0 r2", "normal", "4.7.4b"),
    ],
)
def test_the_next_lot(past: str, after: str, clause: str) -> None:
    """The reason names the clause."""
    switch = next_inspection(lots(past))

    assert switch.inspection == after
    assert clause in switch.reason


@pytest.mark.parametrize(
    ("past", "limit", "after"),
    [
        (TEN_GOOD, 2, "reduced"),
        (TEN_GOOD, 1, "normal"),
        (TEN_GOOD, None, "normal"),
        (TEN_GOOD.removeprefix("n0 "), 99, "normal"),  # nine lots
        ("n3 " + TEN_GOOD.removeprefix("n0 "), 99, "normal"),  # one of the ten was rejected
        ("n3 " + TEN_GOOD, 99, "reduced"),  # eleven ago
        ("t0 " + TEN_GOOD.removeprefix("n0 "), 99, "normal"),  # one of the ten was on tightened inspection
    ],
)
def test_reduced_inspection_takes_ten_good_lots_and_the_limit_number(
    past: str, limit: int | None, after: str
) -> None:
    """4.7.3: all accepted, all on normal inspection, few enough nonconforming, steady, and wanted."""
    assert next_inspection(lots(past), limit_number=limit, reduced_wanted=True).inspection == after
    assert next_inspection(lots(past), limit_number=limit).inspection == "normal"
    irregular = next_inspection(lots(past), limit_number=limit, reduced_wanted=True, steady=False)
    assert irregular.inspection == "normal"


def test_without_its_number_reduced_inspection_is_never_taken_up() -> None:
    """Table VIII is not kept here; the reason says what is missing."""
    assert "Table VIII" in next_inspection(lots(TEN_GOOD), reduced_wanted=True).reason


def test_irregular_lots_end_reduced_inspection() -> None:
    """4.7.4c: where lots come irregularly, normal inspection returns."""
    assert next_inspection(lots("r0 r0"), steady=False).inspection == "normal"
    assert next_inspection(lots("t0 t0"), steady=False).inspection == "tightened"
