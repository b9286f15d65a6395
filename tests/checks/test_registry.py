"""The check kinds that rule files may name, and the code behind them."""

from __future__ import annotations

from typing import get_args

from audit.checking import NOT_OF_THE_SITE
from audit.checks.registry import CHECKS
from audit.model.arguments import Check


def test_every_kind_of_check_has_its_code() -> None:
    """A kind that is accepted in a rule but has no code would stop the run in which the rule is used."""
    accepted = {get_args(kind.model_fields["kind"].annotation)[0] for kind in get_args(get_args(Check)[0])}
    coded = {*CHECKS, *NOT_OF_THE_SITE}

    assert sorted(accepted - coded) == [], "name its file in audit/checks/registry.py"
    assert sorted(coded - accepted) == [], "name its arguments in Check of audit/model/arguments.py"
