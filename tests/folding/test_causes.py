"""Which finding is the cause of which."""

from __future__ import annotations

from audit.folding.causes import Causes, link


def test_two_findings_are_never_the_causes_of_each_other() -> None:
    """Nor is a finding its own cause: otherwise looking for the root would never end."""
    causes: Causes = {}
    for dependent, cause in ((0, 1), (1, 2), (2, 0), (3, 3)):
        link(causes, dependent, cause)

    assert causes == {0: 1, 1: 2}
