"""Meanings: columns of text turned into columns of values, each distinct text parsed once."""

from __future__ import annotations

from collections.abc import Mapping

from audit.model.device import Setting
from audit.model.table import HIDDEN, RawColumn, Style
from audit.model.value import BLANK, Code, Value, Values, blanks
from audit.reading.values import parse


class _Memo(dict[str, Value]):
    """Text → value of one setting and style; a text that it does not have yet is parsed on request."""

    def __init__(self, setting: Setting, style: Style) -> None:
        self._setting, self._style = setting, style

    def __missing__(self, text: str) -> Value:
        """Parse a text that has not been met before."""
        value = self[text] = parse(text, self._setting, self._style)
        return value


class Meanings:
    """A memo of texts and their values, shared by plan and readback.

    Because it is shared, a text that occurs on both sides gives the same value object on both, and
    columns can be compared by identity.
    """

    def __init__(self) -> None:
        self._memos: dict[tuple[int, Style], _Memo] = {}
        self._codes: dict[bytes, Value] = {}

    def memo(self, setting: Setting, style: Style) -> dict[str, Value]:
        """Return text → value for one setting and style: a text that is not in it yet is parsed."""
        key = (id(setting), style)  # the memo keeps the id from being given to another object
        if key not in self._memos:
            self._memos[key] = _Memo(setting, style)
        return self._memos[key]

    def column(self, column: RawColumn, setting: Setting) -> Values:
        """Return the values of a raw column."""
        if column.codes is not None:
            return Values(self._code(column.codes, text) for text in column.texts)
        if setting.kind == "secret":  # no column of codes: nothing may be taken from it
            return blanks(len(column.texts))
        memo = self.memo(setting, column.style)
        values = Values(map(memo.__getitem__, column.texts), ())
        # The memo now has them all; if it has those of many files, the column itself has fewer.
        values.among = set(memo.values() if len(memo) <= len(values) else values)
        return values

    def value(self, column: RawColumn, setting: Setting, entry: int) -> Value:
        """Return one value of a raw column."""
        if column.codes is not None:
            return self._code(column.codes, column.texts[entry])
        if setting.kind == "secret":
            return BLANK
        return self.memo(setting, column.style)[column.texts[entry]]

    def _code(self, codes: Mapping[str, Code], placeholder: str) -> Value:
        return self.code(codes[placeholder]) if placeholder else BLANK

    def code(self, code: Code) -> Value:
        """Return the value for what is kept of an access code."""
        return self._codes.setdefault(code.token, Value(code, shown=HIDDEN))
