"""When to inspect more and when less: the switching rules of MIL-STD-105E, 4.7 and 4.8.

Source: 10 May 1989, 4.7.1 to 4.7.4 and 4.8, read in a published transcription of these clauses; the
scan was not read. 4.6, that inspection starts as normal, is cited from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, takewhile
from typing import Literal

from audit.model.sampling_tables import Inspection

Next = Inspection | Literal["discontinued"]
LOTS_ON_NORMAL = 10
"""This many lots on normal inspection, all accepted, come before reduced inspection (4.7.3a)."""


@dataclass(frozen=True, slots=True)
class PastLot:
    """What a sample of an earlier lot showed when the lot was first inspected, not after correction."""

    inspection: Inspection
    nonconforming: int
    accept: int
    reject: int

    @property
    def accepted(self) -> bool:
        """Tell whether the lot passed: fewer than Re."""
        return self.nonconforming < self.reject

    @property
    def between(self) -> bool:
        """Tell whether it passed with more than Ac, which reduced plans allow."""
        return self.accept < self.nonconforming < self.reject


@dataclass(frozen=True, slots=True)
class Switch:
    """The inspection of the next lot, and why."""

    inspection: Next
    reason: str


def next_inspection(
    lots: Sequence[PastLot],
    *,
    limit_number: int | None = None,
    steady: bool = True,
    reduced_wanted: bool = False,
) -> Switch:
    """Return how the next lot is inspected, after all earlier ones, oldest first.

    `limit_number` is the number of Table VIII for the AQL and the nodes read in the last ten lots. That
    table is not kept here; without its number, reduced inspection never begins. `steady` says whether
    lots come regularly, `reduced_wanted` whether the people responsible want reduced inspection.
    """
    if not lots:
        return Switch("normal", "the first lot: inspection starts as normal")
    now = lots[-1].inspection
    run = list(takewhile(lambda lot: lot.inspection == now, reversed(lots)))[::-1]
    if now == "tightened":
        return _from_tightened(run)
    if now == "reduced":
        return _from_reduced(run, steady)
    return _from_normal(run, limit_number, steady, reduced_wanted)


def _from_normal(
    run: Sequence[PastLot], limit_number: int | None, steady: bool, reduced_wanted: bool
) -> Switch:
    rejected = [index for index, lot in enumerate(run) if not lot.accepted]
    if any(later - earlier < 5 for earlier, later in pairwise(rejected)):
        return Switch("tightened", "2 of 5 or fewer consecutive lots were rejected (4.7.1)")
    last = run[-LOTS_ON_NORMAL:]
    if (
        not reduced_wanted
        or not steady
        or len(last) < LOTS_ON_NORMAL
        or not all(lot.accepted for lot in last)
    ):
        return Switch("normal", "nothing calls for a change")
    found = sum(lot.nonconforming for lot in last)
    if limit_number is None:
        return Switch(
            "normal", "10 lots were accepted, but the limit number of Table VIII was not given (4.7.3)"
        )
    if found > limit_number:
        return Switch(
            "normal",
            f"{found} nonconforming in 10 lots are more than the limit number {limit_number} (4.7.3)",
        )
    return Switch("reduced", f"10 lots accepted, {found} nonconforming of at most {limit_number} (4.7.3)")


def _from_tightened(run: Sequence[PastLot]) -> Switch:
    if sum(not lot.accepted for lot in run) >= 5:
        return Switch(
            "discontinued", "5 lots were rejected on tightened inspection: first correct the cause (4.8)"
        )
    if len(run) >= 5 and all(lot.accepted for lot in run[-5:]):
        return Switch("normal", "5 consecutive lots were accepted (4.7.2)")
    return Switch("tightened", "fewer than 5 consecutive lots were accepted since (4.7.2)")


def _from_reduced(run: Sequence[PastLot], steady: bool) -> Switch:
    if any(not lot.accepted for lot in run):
        return Switch("normal", "a lot was rejected (4.7.4a)")
    if any(lot.between for lot in run):
        return Switch("normal", "a lot passed with more than its accept number (4.7.4b)")
    if not steady:
        return Switch("normal", "lots come irregularly (4.7.4c)")
    return Switch("reduced", "nothing calls for a change")
