"""Meanings: columns of text turned into columns of values, each distinct text parsed once."""

from __future__ import annotations

from collections.abc import Sequence

from audit.model.device import Setting
from audit.model.table import HIDDEN, RawColumn, Style
from audit.model.value import BLANK, Code, Value, Values, blanks
from audit.reading.values import parse


class Meanings:
    """A memo of texts and their values, shared by plan and readback.

    Because it is shared, a text that stands on both sides gives the same value object on both, and
    columns compare by identity.
    """

    def __init__(self) -> None:
        self._memos: dict[tuple[int, Style], dict[str, Value]] = {}
        self._settings: list[Setting] = []
        self._codes: dict[bytes, Value] = {}

    def memo(self, texts: Sequence[str], setting: Setting, style: Style) -> dict[str, Value]:
        """Return the value of every distinct text among `texts`, for one setting and style."""
        key = (id(setting), style)
        if key not in self._memos:
            self._memos[key] = {}
            self._settings.append(setting)  # keeps the id from being given to another object
        memo = self._memos[key]
        for text in set(texts).difference(memo):
            memo[text] = parse(text, setting, style)
        return memo

    def column(self, column: RawColumn, setting: Setting) -> Values:
        """Return the values of a raw column."""
        if column.codes is not None:
            return Values(self._code(column, text) for text in column.texts)
        if setting.kind == "secret":  # a column that no device type called secret cannot be one
            return blanks(len(column.texts))
        memo = self.memo(column.texts, setting, column.style)
        return Values(map(memo.__getitem__, column.texts), set(memo.values()))

    def _code(self, column: RawColumn, placeholder: str) -> Value:
        if not placeholder or column.codes is None:
            return BLANK
        return self.code(column.codes[placeholder])

    def code(self, code: Code) -> Value:
        """Return the value of what is kept of an access code."""
        return self._codes.setdefault(code.token, Value(code, shown=HIDDEN))
