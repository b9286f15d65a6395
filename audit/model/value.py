"""A value: what a text means for a setting. Made once for each distinct text."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

State = Literal["read", "blank", "unclear", "impossible"]
"""`unclear` is a finding about a reading; `impossible` is a fault of the file, and stops the run."""


@dataclass(frozen=True, slots=True)
class Code:
    """What is kept of an access code: a token that is equal for equal codes of this run only."""

    token: bytes
    trivial: bool

    def __repr__(self) -> str:
        """Show nothing of the code."""
        return "(not shown)"


Content = int | Decimal | str | bool | Code | None


@dataclass(frozen=True, slots=True, eq=False)
class Value:
    """The meaning of one text: its content in the setting's own unit, or why it has none.

    Compared by identity: equal texts of one style share one value, which makes comparing a column
    of a hundred thousand a matter of milliseconds. `audit.comparing.same` compares contents.
    """

    content: Content
    state: State = "read"
    shown: str = ""
    """How reports write it: as typed, with the unit; never an access code."""
    note: str = ""
    """The conversion made, or what is unclear."""
    converted: bool = False

    @property
    def number(self) -> Decimal | None:
        """The content as a number, None where it is none."""
        content = self.content
        if isinstance(content, bool) or not isinstance(content, (int, Decimal)):
            return None
        return Decimal(content)

    @property
    def read(self) -> bool:
        """Whether there is a content."""
        return self.state == "read"


BLANK = Value(None, "blank", "")
"""Not read, or not planned."""
