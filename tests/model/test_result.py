"""What reports ask a result."""

from __future__ import annotations

from tests.reporting.parts import WAIVED, finding
from tests.the_examples import audit


def test_causes_are_what_follows_from_nothing_and_is_not_waived() -> None:
    """These are the ones that reports number."""
    alone, under, waived = finding(1), finding(2, caused_by="rule/1"), finding(3, waived=WAIVED)
    result = audit("merrow-vale", "as-found").model_copy(update={"findings": [alone, under, waived]})

    assert result.causes == [alone]


def test_findings_are_listed_by_network_and_those_of_none_apart() -> None:
    """A network that is not in the plan is none of its networks."""
    upper, strange, whole = finding(1, network="Upper"), finding(2, network="Moor"), finding(3, network=None)
    result = audit("merrow-vale", "as-found").model_copy(update={"findings": [strange, upper, whole]})

    assert dict(result.findings_in) == {None: [strange, whole], "Upper": [upper]}
    assert result.findings_in["Lower"] == []
