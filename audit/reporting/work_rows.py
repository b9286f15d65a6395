"""The work list as rows: one a step, followed by what is held back and what is newly wrong.

CSV and XLSX have the same rows.
"""

from __future__ import annotations

from collections.abc import Mapping

from audit.grouping import grouped
from audit.model.worklist import HeldBack, NewlyWrong, Step, Visit, WorkList
from audit.phrases import clean, counted
from audit.reporting.text_report import where_it_stands

HEADS = (
    "step", "visit", "network", "place", "tag", "serial", "what to do", "setting", "where", "from", "to",
    "after step", "hold point", "cautions and permits", "expect", "minutes", "to undo", "findings",
    "done by", "verified by", "as left",
)  # fmt: skip
DONE_HEAD = "state"
"""Heading before the blanks, if a readback after the work was given."""


def heads(work: WorkList) -> list[str]:
    """Return the headings, with one for the state of each step if that is known."""
    blanks = HEADS.index("done by")
    return [*HEADS[:blanks], *([DONE_HEAD] if work.newly_wrong is not None else []), *HEADS[blanks:]]


def rows(work: WorkList) -> list[list[str]]:
    """Return the rows, cleaned. The last cells are filled in by hand, except a value read after the work."""
    ticked = work.newly_wrong is not None
    titles = {visit.number: f"{visit.number}. {visit.title}" for visit in work.visits}
    made = [_step(step, titles[step.visit], ticked=ticked) for step in work.steps]
    made += [_held(held, ticked=ticked) for held in work.held_back]
    made += [_wrong(one) for one in work.newly_wrong or ()]
    return [[clean(cell) for cell in row] for row in made]


def visited(work: WorkList) -> list[tuple[Visit, list[Step]]]:
    """Return the visits, each with its steps."""
    steps = grouped((step.visit, step) for step in work.steps)
    return [(visit, steps[visit.number]) for visit in work.visits]


def minutes(number: float) -> str:
    """Return minutes, without a decimal point if they are whole."""
    return f"{number:,.0f}" if number == int(number) else f"{number:,.1f}"


def going_along(one: NewlyWrong) -> str:
    """Return how many findings follow from what is newly wrong."""
    return (
        f"{counted(len(one.with_it), 'finding')} {'follows' if len(one.with_it) == 1 else 'follow'} from it"
    )


def newly_wrong(one: NewlyWrong) -> str:
    """Return in one line what is newly wrong, where it was read, and what to do."""
    along = f" ({going_along(one)})" if one.with_it else ""
    place = f" In {where_it_stands(one.place)}." if one.place else ""
    return f"{one.message}{along}.{place} {one.remedy}"


def _step(step: Step, visit: str, *, ticked: bool) -> list[str]:
    return [
        str(step.number),
        visit,
        step.network or "",
        step.place,
        step.tag or "",
        step.serial or "",
        step.do,
        "; ".join(change.label for change in step.changes),
        "; ".join(change.where or "" for change in step.changes),
        "; ".join(change.before for change in step.changes),
        "; ".join(change.after for change in step.changes),
        ", ".join(map(str, step.needs)),
        step.hold or "",
        "; ".join(step.cautions),
        step.expect,
        minutes(step.minutes),
        step.rollback or "",
        " ".join(step.findings),
        *([step.status or ""] if ticked else []),
        "",
        "",
        step.as_left or "",
    ]


def _held(held: HeldBack, *, ticked: bool) -> list[str]:
    cells = dict.fromkeys(HEADS, "")
    cells |= {
        "step": "held back",
        "network": held.network,
        "tag": ", ".join(held.devices),
        "what to do": f"Not in the list: {held.change}. {held.why}",
        "hold point": f"to go on: {held.mend}",
        "findings": " ".join(held.findings),
    }
    return _row(cells, "held back", ticked=ticked)


def _wrong(one: NewlyWrong) -> list[str]:
    cells = dict.fromkeys(HEADS, "")
    cells |= {
        "step": "newly wrong",
        "what to do": newly_wrong(one),
        "findings": " ".join((one.id, *one.with_it)),
    }
    return _row(cells, "newly wrong", ticked=True)


def _row(cells: Mapping[str, str], state: str, *, ticked: bool) -> list[str]:
    row = [cells[head] for head in HEADS]
    blanks = HEADS.index("done by")
    return [*row[:blanks], *([state] if ticked else []), *row[blanks:]]
