"""The history of a site as a page: a timeline of what happened to each device; no script."""

from __future__ import annotations

from audit.model.history import History
from audit.reporting import pages
from audit.reporting.history_text import alike, course, creep_in_words, standing_alike


def render(history: History) -> str:
    """Return the page. The same history gives the same bytes."""
    style = pages.part("style.css")
    return pages.render(
        "history.html",
        style,
        history=history,
        first=history.baselines[0].sealed_on,
        last=history.baselines[-1].sealed_on,
        still=sum(one.gone_by is None for one in history.standing),
        crept={(one.network, one.node, one.setting) for one in history.creeps},
        back={(one.network, one.node, one.setting) for one in history.flips},
        creeps=alike(history.creeps),
        flips=alike(history.flips),
        course=course,
        in_words=creep_in_words,
        standing=standing_alike(history.standing),
    )
