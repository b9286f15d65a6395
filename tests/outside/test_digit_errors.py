"""Digit errors: the classes in the literature on check digits and spelling, and which of them our slips are.

Sources:

- J. Verhoeff, 'Error Detecting Decimal Codes', Mathematical Centre Tract 29, Amsterdam 1969: single errors
  (a to b), adjacent transpositions (ab to ba), twin errors (aa to bb), jump transpositions (acb to bca), jump
  twin errors, phonetic errors (a0 to 1a), omitting or adding a digit. Secondary: the list with its shares
  (single 60 to 95 %, transpositions 10 to 20 %, left out or added 10 to 20 %, the others below 2 % each)
  as N. R. Wagner, 'The Laws of Cryptography', 2002, gives it.
- F. J. Damerau, 'A Technique for Computer Detection and Correction of Spelling Errors', Communications of the
  ACM 7(3), March 1964, 171-176: a wrong, missing or extra letter or a single transposition. Abstract read.
- The library rapidfuzz is the reference for the Damerau-Levenshtein distance.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import OSA, DamerauLevenshtein

from audit.slips import Around
from audit.slips.case import case_of
from audit.slips.ranking import REACHES
from tests.slips.cases import IDENTIFIER, fitting, setting, value

NUMBERS = st.text("0123456789", min_size=2, max_size=9)
ONE_EDIT = ("one-step", "transposed", "dropped-doubled")
"""Our slips of single digits."""

VERHOEFF = [
    ("single error, next digit", "4025", "4035", {"one-step"}),
    ("single error, another digit", "4025", "4095", set()),
    ("adjacent transposition", "4025", "4205", {"transposed"}),
    ("jump transposition", "4025", "4520", set()),
    ("twin error", "4005", "4115", set()),
    ("jump twin error", "4045", "3035", set()),
    ("phonetic error", "4130", "4113", set()),
    ("digit omitted", "4025", "405", {"dropped-doubled"}),
    ("digit added, a double", "4025", "40025", {"dropped-doubled"}),
    ("digit added, another", "4025", "40725", set()),
]
"""Class, planned, found, and which of our slips it is."""


@pytest.mark.parametrize(("name", "planned", "found", "slips"), VERHOEFF, ids=[v[0] for v in VERHOEFF])
def test_verhoeffs_classes(name: str, planned: str, found: str, slips: set[str]) -> None:
    """A display's digits are stepped, so single errors are by one; larger ones have no name as a slip.

    Nor have the classes below 2 %, each of which would blur the odds of the others.
    """
    assert set(fitting(IDENTIFIER, planned, found)) == slips


@given(NUMBERS)
def test_each_slip_of_a_digit_is_one_edit_of_damerau(planned: str) -> None:
    """For any plan: a wrong, missing or extra character, or one transposition, and nothing more."""
    one = setting(**IDENTIFIER)
    case = case_of(one, value(planned, one), Around())
    assert case is not None

    for slip in ONE_EDIT:
        for found in REACHES[slip](case).values:
            assert DamerauLevenshtein.distance(planned, str(found)) == 1
            assert OSA.distance(planned, str(found)) == 1


@given(NUMBERS, st.data())
def test_every_transposition_and_omission_is_one_of_ours(planned: str, data: st.DataObject) -> None:
    """Every text that one transposition or one omission makes is recognised as such a slip."""
    candidates = {planned[:at] + planned[at + 1 :] for at in range(len(planned))}
    candidates |= {
        planned[:at] + planned[at + 1] + planned[at] + planned[at + 2 :] for at in range(len(planned) - 1)
    }
    found = data.draw(st.sampled_from(sorted(candidates - {planned})))

    assert DamerauLevenshtein.distance(planned, found) == 1
    assert {"transposed", "dropped-doubled"} & set(fitting(IDENTIFIER, planned, found))
