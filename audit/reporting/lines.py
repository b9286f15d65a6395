"""Lines of text for a terminal: cleaned of control characters, wrapped, and coloured if wanted."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, field
from operator import gt
from typing import TYPE_CHECKING

from tabulate import tabulate

from audit.phrases import clean

if TYPE_CHECKING:
    from audit.model.used import InputFile

COLOURS = {"bad": "31;1", "error": "31", "warning": "33", "good": "32;1", "head": "1", "note": "36"}
"""ANSI colours of line styles. Every line says in words what its colour says."""
UNBROKEN = "\ue000"
"""Replaces a blank at which no line may break; cleaned texts do not contain it."""


@dataclass
class Lines:
    """A report in the making."""

    width: int
    colour: bool
    rows: list[str] = field(default_factory=list)

    def add(self, text: str = "", style: str = "", indent: int = 0, hang: int = 0, whole: str = "") -> None:
        """Add a paragraph, wrapped to the width; later lines are indented by `hang` more.

        `whole` is a part of it that is not broken, such as a path with blanks, or a command.
        """
        first = " " * indent
        rest = " " * (indent + hang)
        width = max(self.width, 40)
        kept = clean(text).replace(" %", f"{UNBROKEN}%")
        if " " in whole:
            kept = kept.replace(clean(whole), clean(whole).replace(" ", UNBROKEN))
        wrapped = textwrap.wrap(kept, width, initial_indent=first, subsequent_indent=rest,
                                break_on_hyphens=False, break_long_words=False) or [""]  # fmt: skip
        self.rows.extend(self._styled(line.replace(UNBROKEN, " "), style) for line in wrapped)

    def block(self, text: str, indent: int) -> None:
        """Add text that is already laid out, such as a table."""
        self.rows.extend((" " * indent + clean(line)).rstrip() for line in text.split("\n"))

    def head(self, text: str) -> None:
        """Add a heading with a blank line above it."""
        self.rows.append("")
        self.add(text, "head", hang=2)

    def cautions(self, cautions: Sequence[str]) -> None:
        """Add the cautions."""
        self.head("CAUTIONS")
        for caution in cautions:
            self.add(caution, indent=2)

    def inputs(self, files: Sequence[InputFile]) -> None:
        """Add the files that were read, with their digests; a file without one has a note that says why."""
        self.head("INPUTS, with SHA-256")
        for file in files:
            note = f": {file.note}" if file.note else ""
            self.add(f"{file.file} ({file.kind}){note}", indent=2, hang=4, whole=file.file)
            if file.sha256:
                self.block(file.sha256, 4)

    def _styled(self, line: str, style: str) -> str:
        code = COLOURS.get(style)
        return f"\x1b[{code}m{line}\x1b[0m" if self.colour and code else line

    def text(self) -> str:
        """Return the report."""
        return "\n".join(self.rows) + "\n"


def table(rows: Sequence[Sequence[object]], heads: Sequence[str], width: int) -> str:
    """Return a table that fits the width: cells of the widest columns are broken into lines.

    Tabulate's number parsing is off: it would print 7.50 as 7.5. Its own line breaking parses numbers anyway
    and fails on 1,250, so cells are broken here.
    """
    texts = [list(map(str, row)) for row in rows]
    columns = list(zip(heads, *texts, strict=True))
    widths = [max(map(len, column)) for column in columns]
    for least in ([max(map(_longest_part, column)) for column in columns], [4] * len(heads)):
        while sum(widths) + 2 * len(widths) > width and any(map(gt, widths, least)):
            widest = max((i for i in range(len(widths)) if widths[i] > least[i]), key=widths.__getitem__)
            widths[widest] -= 1
    ruled = [list(heads), ["-" * w for w in widths], *texts]
    broken = [list(map(_broken, row, widths)) for row in ruled]
    return tabulate(broken, tablefmt="plain", disable_numparse=True)


def _broken(cell: str, width: int) -> str:
    """Return a cell in lines that are no wider than its column."""
    lines = (textwrap.wrap(line, width) for line in cell.splitlines())
    return "\n".join(part for parts in lines for part in parts)


def _longest_part(cell: str) -> int:
    """Return the length of the longest part of a cell that stays on one line: a word, a whole date."""
    return min(20, max(map(len, re.split(r" |(?<!\d)-", cell))))
