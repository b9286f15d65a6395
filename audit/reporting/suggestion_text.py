"""A suggestion as text: what to change in the plan, how good that is, and what was not looked at."""

from __future__ import annotations

from collections.abc import Sequence

from audit.model.suggestion import Suggestion
from audit.phrases import counted
from audit.reporting.lines import Lines, table


def render(suggestion: Suggestion, width: int = 80, colour: bool = False) -> str:
    """Return the suggestion as text of the given width."""
    lines = Lines(width, colour)
    kept = counted(suggestion.kept, "network" if suggestion.what == "channels" else "node")
    stay = "stays" if suggestion.kept == 1 else "stay"
    if suggestion.impossible:
        lines.add(f"NO {suggestion.what.upper()} without conflicts for all of {suggestion.site}", "bad")
        for reason in suggestion.impossible:
            lines.add(f"- {reason}", indent=2, hang=2)
    elif suggestion.changes:
        lines.add(f"{counted(len(suggestion.changes), 'change')} to the plan of {suggestion.site}; "
                  f"{kept} {stay} as planned", "head")  # fmt: skip
    else:
        lines.add(f"Nothing to change: {kept} of {suggestion.site} {stay} as planned", "good")
    lines.add(f"{suggestion.quality}. The plan's files were not changed.")
    if suggestion.changes:
        lines.head("CHANGES to review")
        heads = ["network", "device", "setting", "before", "after", "why"]
        rows = [
            [one.network, one.node, one.setting, one.before or "none", one.after, one.why]
            for one in suggestion.changes
        ]
        lines.block(table(rows, heads, lines.width), 2)
        lines.add(_patch(suggestion), indent=2)
    _list(lines, "TO BE ENTERED BY HAND", suggestion.by_hand)
    _list(lines, "NOT LOOKED AT", suggestion.not_looked_at)
    _list(lines, "ASSUMED", suggestion.assumed)
    lines.cautions(suggestion.cautions)
    return lines.text()


def _list(lines: Lines, head: str, texts: Sequence[str]) -> None:
    """Add a section with one entry for each text; nothing if there is none."""
    if texts:
        lines.head(head)
    for text in texts:
        lines.add(f"- {text}", indent=2, hang=2)


def _patch(suggestion: Suggestion) -> str:
    """Return how many of the changes a patch can make."""
    number, by_hand = len(suggestion.changes), len(suggestion.by_hand)
    them, are = ("it", "it is") if number == 1 else ("them", "they are")
    if number == by_hand:
        return (
            f"No patch can make {them}: {are} in a workbook or in JSON, in another encoding than UTF-8, next "
            "to access codes or a cell of several lines, written once for several devices, or in no file yet."
        )
    shown = f"{number - by_hand} of the {number}" if by_hand else them
    return f"`--format diff` shows {shown} as a patch of the plan's files."
