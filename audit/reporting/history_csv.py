"""The history of a site as CSV, one row per event, for any spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator

from audit.model.history import History
from audit.phrases import clean, counted
from audit.reporting.csv_text import written
from audit.reporting.history_text import course, creep_in_words

HEADS = ("baseline", "what", "network", "node", "setting", "before", "after", "unit", "note")


def render(history: History) -> str:
    """Return the rows with their headings, separated by commas."""
    return written([HEADS, *([clean(cell) for cell in row] for row in _rows(history))])


def _rows(history: History) -> Iterator[tuple[str, ...]]:
    for doubt in history.doubts:
        yield "", "chain in doubt", "", "", "", "", "", "", doubt
    for creep in history.creeps:
        first, last = creep.values[0], creep.values[-1]
        note = f"{creep_in_words(creep)}: {course(creep.values, None)}"
        yield (last.sealed_on, "crept", creep.network, creep.node, creep.setting, first.value, last.value,
               creep.unit or "", note)  # fmt: skip
    for flip in history.flips:
        before, after = flip.values[-2:]
        note = course(flip.values, None)
        yield (after.sealed_on, "back and forth", flip.network, flip.node, flip.setting, before.value,
               after.value, flip.unit or "", note)  # fmt: skip
    for one in history.standing:
        what = "finding gone" if one.gone_by else "finding open"
        waiver = f", waiver {one.waived}" if one.waived else ""
        note = f"{one.level} {one.rule}, {counted(one.days, 'day')}{waiver}{one.unread}"
        yield (one.gone_by or "", what, one.network or "", one.node or "", ", ".join(one.settings), one.since,
               one.gone_by or "", "", note)  # fmt: skip
    for event in history.events:
        yield (event.sealed_on, event.what, event.network, event.node, "", event.before or "",
               event.after or "", "", "")  # fmt: skip
    for change in history.changes:
        note = "with its gateway" if change.with_gateway else ""
        yield (change.sealed_on, "changed", change.network, change.node, change.setting, change.before,
               change.after, change.unit or "", note)  # fmt: skip
    for line in history.baselines:
        for name in line.not_read:
            yield line.sealed_on, "not read", "", name, "", "", "", "", ""
