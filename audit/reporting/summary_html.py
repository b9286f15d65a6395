"""The summary of several results as a page: one file that needs nothing else, and no script."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from audit.model.summary import Summary, TrendPoint
from audit.reporting import pages
from audit.reporting.words import softened

BAR, GAP, TALLEST = 48, 28, 96
"""Width of a bar, space between bars and height of the tallest, in pixels."""
HEAD, FOOT = 22, 20
"""Space for the numbers above the bars and the dates below them."""
BASE = HEAD + TALLEST
"""Height at which the bars stand."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One result: its errors as a bar, its warnings on top."""

    point: TrendPoint
    x: int
    errors_y: float
    errors_h: float
    warnings_y: float
    warnings_h: float


def render(summary: Summary) -> str:
    """Return the page. The same summary gives the same bytes."""
    style = pages.part("style.css")
    dates = sorted(used.run_on for used in summary.results)
    return pages.render(
        "summary.html",
        style,
        summary=summary,
        failing=len(summary.failing),
        softened=softened,
        first=dates[0],
        last=dates[-1],
        trends=[(trend, bars(trend.points)) for trend in summary.trends],
        wide=BAR,
        step=BAR + GAP,
        base=BASE,
        high=BASE + FOOT,
    )


def bars(points: Sequence[TrendPoint]) -> list[Bar]:
    """Return the bars of a course, all to one scale: the worst result has the full height."""
    most = max((point.errors + point.warnings for point in points), default=0) or 1
    drawn = []
    for i, point in enumerate(points):
        errors, warnings = (round(n * TALLEST / most, 1) for n in (point.errors, point.warnings))
        x = GAP // 2 + i * (BAR + GAP)
        drawn.append(
            Bar(point, x, round(BASE - errors, 1), errors, round(BASE - errors - warnings, 1), warnings)
        )
    return drawn
