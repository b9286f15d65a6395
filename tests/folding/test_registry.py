"""The patterns of folding that rule files may name, and the code behind them."""

from __future__ import annotations

from typing import get_args

from audit.folding.drift import DRIFT_PATTERNS
from audit.model.arguments import PatternName


def test_every_pattern_has_its_code() -> None:
    """A pattern that is accepted in a rule but has no code would stop every run."""
    accepted = set(get_args(PatternName))
    coded = set(DRIFT_PATTERNS)

    assert sorted(accepted - coded) == [], "name its function in PATTERNS of audit/folding/registry.py"
    assert sorted(coded - accepted) == [], "name it in PatternName of audit/model/arguments.py"
