"""The list of what `asfound why --saw` takes, for a person."""

from __future__ import annotations

from audit.diagnosis.gathering import GATHERERS
from audit.model.joining import CausesFile
from audit.reporting.lines import Lines


def render(causes: CausesFile, width: int = 80) -> str:
    """Return all questions with their answers as text."""
    lines = Lines(width, colour=False)
    lines.add("What --saw takes, one answer to each question. Those marked * are also answered by the files; "
              "what you saw wins.")  # fmt: skip
    longest = max(len(answer.id) for question in causes.questions for answer in question.answers)
    for question in causes.questions:
        mark = " *" if question.id in GATHERERS else ""
        lines.head(f"{question.asks}{mark}")
        for answer in question.answers:
            lines.add(f"{answer.id:<{longest}}  {answer.words}", indent=2, hang=longest + 2)
    lines.head("Causes, for --record")
    for cause in causes.causes:
        lines.add(f"{cause.id:<{longest}}  {cause.title}", indent=2, hang=longest + 2)
    return lines.text()
