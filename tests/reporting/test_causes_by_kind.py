"""The table of kinds of causes: there if causes are many, worst and most frequent first, and complete."""

from __future__ import annotations

import re

from audit.model.result import Result
from audit.reporting.causes_by_kind import FEW
from audit.reporting.text_report import render
from tests.reporting.parts import finding


def text_of(result: Result, causes: int) -> str:
    """Return the report of a result with so many causes, the first with two findings under it."""
    under = [finding(n, caused_by="rule/1") for n in (901, 902)]
    first = finding(1, dependents=[one.id for one in under])
    others = [finding(n, network="South" if n == 2 else "North") for n in range(2, causes)]
    noted = finding(950, rule="small-thing", level="note")
    return render(result.model_copy(update={"findings": [first, *others, noted, *under]}))


def test_many_causes_are_counted_by_kind_before_they_are_listed(failed: Result) -> None:
    """The first screen tells what is wrong most often; findings under a cause count with it."""
    text = text_of(failed, FEW + 1)

    kinds = text.split("CAUSES BY KIND")[1].split("CAUSES, worst first")[0]
    assert re.search(
        rf"error +channel-differs +{FEW} +2 +2 networks\n  note +small-thing +1 +0 +North\n", kinds
    )


def test_few_causes_are_only_listed(failed: Result) -> None:
    """They are looked through as quickly."""
    assert "CAUSES BY KIND" not in text_of(failed, FEW)
