"""A value: what a text means for a setting. Made once for each distinct text."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from operator import attrgetter
from typing import Literal

State = Literal["read", "blank", "unclear", "impossible"]
"""`unclear` is a finding about a reading; `impossible` is a fault in the file, and stops the run."""


@dataclass(frozen=True, slots=True)
class Code:
    """What is kept of an access code: a token, equal for equal codes under one key (see reading/codes.py)."""

    token: bytes
    trivial: bool

    def __repr__(self) -> str:
        """Show nothing of the code."""
        return "(not shown)"


Content = int | Decimal | str | bool | Code | None


@dataclass(frozen=True, slots=True, eq=False)
class Value:
    """The meaning of one text: its content in the setting's own unit, or why it has none.

    Compared by identity: equal texts of one style share one value, so that comparing a column of a
    hundred thousand takes milliseconds. `audit.comparing.same` compares contents.
    """

    content: Content
    state: State = "read"
    shown: str = ""
    """How reports write it: as typed, with the unit; never an access code."""
    note: str = ""
    """The conversion made, or what is unclear."""
    converted: bool = False
    unit: str = ""
    """The unit of the number, if the device was found with a unit other than its setting's."""

    number: Decimal | None = field(init=False)
    """The content as a number; None if it is not one."""
    read: bool = field(init=False)
    """Whether the value was read, so that it has a content."""

    def __post_init__(self) -> None:
        content = self.content
        is_number = isinstance(content, (int, Decimal)) and not isinstance(content, bool)
        object.__setattr__(self, "number", Decimal(content) if is_number else None)  # type: ignore[arg-type]
        object.__setattr__(self, "read", self.state == "read")


class Values(list[Value]):
    """The values of a setting over the devices of a block, with all values that may be among them."""

    __slots__ = ("_numbers", "among")

    def __init__(self, values: Iterable[Value], among: Collection[Value] | None = None) -> None:
        super().__init__(values)
        self.among: Collection[Value] = set(self) if among is None else among
        """Every value in the column, and perhaps some more: usually far fewer than the column is long."""
        self._numbers: list[Decimal] | None = None

    @property
    def numbers(self) -> list[Decimal] | None:
        """The values as numbers; None if some value may not be one."""
        if self._numbers is None and all(value.number is not None for value in self.among):
            self._numbers = list(map(attrgetter("number"), self))
        return self._numbers

    def changed(self, new: Mapping[int, Value]) -> Values:
        """Return the column with other values for some devices."""
        values = list(self)
        for i, value in new.items():
            values[i] = value
        return Values(values, {*self.among, *new.values()})


BLANK = Value(None, "blank", "")
"""Not read, or not planned."""


def blanks(length: int) -> Values:
    """Return a column in which nothing was read, or planned."""
    return Values([BLANK] * length, (BLANK,))
