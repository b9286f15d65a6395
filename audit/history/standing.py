"""How long findings stood open, from the first baseline that has them to the first that has them no more."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from itertools import chain

from audit.model.baseline import Content, OpenFinding
from audit.model.history import Standing


def standing(contents: Sequence[Content]) -> list[Standing]:
    """Return each time that a finding stood open: those that still stand first, oldest first.

    One that went and came again is told twice.
    """
    told: list[Standing] = []
    by_id = [{finding.id: finding for finding in content.findings} for content in contents]
    for name in dict.fromkeys(chain.from_iterable(by_id)):
        begun: datetime.date | None = None
        last: OpenFinding | None = None
        for content, findings in zip(contents, by_id, strict=True):
            finding = findings.get(name)
            if finding is not None:
                begun, last = begun or finding.since, finding
            elif begun is not None and last is not None:
                told.append(_standing(last, begun, content.sealed_on, gone=True))
                begun = last = None
        if begun is not None and last is not None:
            told.append(_standing(last, begun, contents[-1].sealed_on, gone=False))
    return sorted(told, key=lambda one: (one.gone_by is not None, -one.days))


def _standing(finding: OpenFinding, begun: datetime.date, until: datetime.date, *, gone: bool) -> Standing:
    return Standing(
        rule=finding.rule,
        level=finding.level,
        network=finding.network or None,
        node=finding.node or None,
        settings=list(finding.settings),
        since=begun.isoformat(),
        gone_by=until.isoformat() if gone else None,
        days=(until - begun).days,
        waived=finding.waived or None,
    )
