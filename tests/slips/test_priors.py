"""The file of slips: what it says, and what it must not say."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pydantic import ValidationError

from audit.model.slips import SlipFile
from audit.slips.priors import kpa_in, slip_file, taken_for

SHARED = {
    ("untouched", "not-saved"): 20, ("digit-left-default",): 12, ("one-step",): 12, ("unit-slip",): 10,
    ("point-shift",): 10, ("neighbour-row",): 10, ("transposed",): 7, ("left-justified",): 5,
}  # fmt: skip
"""The points that the trade gives each slip; the others share 9, and chance has 5."""


def test_priors_are_the_judged_ones() -> None:
    """Judgement, marked as such, and adding up to a hundred."""
    priors = {slip.id: slip.prior for slip in slip_file().slips}

    for names, points in SHARED.items():
        assert sum(priors.pop(name) for name in names) == points
    assert sum(priors.values()) == pytest.approx(9)
    assert slip_file().random == 5
    assert "Judgement" in slip_file().basis


def test_every_slip_says_what_it_means_and_what_to_look_at() -> None:
    """Sentences, and titles that can follow 'likely slip:'."""
    for slip in slip_file().slips:
        assert slip.means.endswith(".")
        assert slip.advice.endswith(".")
        assert slip.title[0].islower()
        assert not slip.title.endswith(".")


def test_a_slip_stands_once() -> None:
    """Twice the same id would count its points twice."""
    data = slip_file().model_dump()

    with pytest.raises(ValidationError, match="slip 'untouched' is given twice -- keep one of them"):
        SlipFile.model_validate({**data, "slips": (*data["slips"], data["slips"][0])})


def test_units_of_a_quantity_are_taken_for_each_other() -> None:
    """Also with gauge or absolute after them; a unit that is not listed is mistaken for no other."""
    assert [name for name, _, _ in taken_for("kPa g")] == ["bar", "psi", "mH2O"]
    assert taken_for("mg/L") == ()
    assert kpa_in("kPa abs") == 1
    assert kpa_in("bar") == Decimal("0.01")
    assert kpa_in("m") is None
