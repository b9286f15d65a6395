"""The work list as a page to print and sign: one file that needs nothing else, and no script."""

from __future__ import annotations

from audit.model.worklist import WorkList
from audit.reporting import pages
from audit.reporting.work_rows import minutes, newly_wrong, visited
from audit.reporting.work_text import BLIND, details, facts


def render(work: WorkList) -> str:
    """Return the page. The same list gives the same bytes."""
    style = pages.part("style.css") + pages.part("work.css")
    return pages.render(
        "work.html",
        style,
        work=work,
        facts=facts(work),
        visits=visited(work),
        details=details,
        newly_wrong=newly_wrong,
        minutes=minutes,
        blind=BLIND,
    )
