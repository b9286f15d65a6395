"""The work list as rows: one a step, followed by what is held back and what is newly wrong.

CSV and XLSX have the same rows.
"""

from __future__ import annotations

from audit.grouping import grouped
from audit.model.worklist import HeldBack, NewlyWrong, Step, Visit, WorkList
from audit.phrases import clean, counted
from audit.reporting.text_report import where_it_stands

HEADS = (
    "step", "visit", "network", "place", "tag", "serial", "what to do", "setting", "where", "from", "to",
    "after step", "hold point", "cautions and permits", "expect", "minutes", "to undo", "findings",
    "state", "done by", "verified by", "as left",
)  # fmt: skip


def heads(work: WorkList) -> list[str]:
    """Return the headings; that of the state of each step only if a readback after the work was given."""
    return [head for head in HEADS if head != "state" or work.newly_wrong is not None]


def rows(work: WorkList) -> list[list[str]]:
    """Return the rows, cleaned. The last cells are filled in by hand, except a value read after the work."""
    titles = {visit.number: f"{visit.number}. {visit.title}" for visit in work.visits}
    made = [_step(step, titles[step.visit]) for step in work.steps]
    made += [*map(_held, work.held_back), *map(_wrong, work.newly_wrong or ())]
    shown = heads(work)
    return [[clean(cells.get(head, "")) for head in shown] for cells in made]


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


def _step(step: Step, visit: str) -> dict[str, str]:
    cells = (
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
        step.status or "",
        "",
        "",
        step.as_left or "",
    )
    return dict(zip(HEADS, cells, strict=True))


def _held(held: HeldBack) -> dict[str, str]:
    return {
        "step": "held back",
        "state": "held back",
        "network": held.network,
        "tag": ", ".join(held.devices),
        "what to do": f"Not in the list: {held.change}. {held.why}",
        "hold point": f"to go on: {held.mend}",
        "findings": " ".join(held.findings),
    }


def _wrong(one: NewlyWrong) -> dict[str, str]:
    return {
        "step": "newly wrong",
        "state": "newly wrong",
        "what to do": newly_wrong(one),
        "findings": " ".join((one.id, *one.with_it)),
    }
