"""Trials: how people write whether the factory access code was refused, when it was tried."""

from __future__ import annotations

import re
from dataclasses import replace

from audit.model.table import HIDDEN, RawColumn, Table
from audit.reading.vocabulary import Vocabulary

_SAID = {
    **dict.fromkeys(("y", "true", "refused"), "yes"),
    **dict.fromkeys(("n", "false", "accepted"), "no"),
    **dict.fromkeys(("untried", "not-tried", "not_tried"), "not tried"),
}
NO_TRIAL = (
    "is none of yes, no, not tried; write yes where the factory code was refused, no where it was accepted"
)
"""What is said of another word."""
_MAY_BE_CODE = re.compile(r"\d{3}")


def trial(text: str) -> str:
    """Return the word that rules know for what was written of a trial, or the text itself."""
    return _SAID.get(text.casefold(), text)


def concealed(text: str) -> str:
    """Return what is shown of what was written of a trial: nothing where it may be a code."""
    return HIDDEN if _MAY_BE_CODE.search(text) else text


def without_codes(table: Table, words: Vocabulary) -> Table:
    """Return a table in which nobody sees what may be a code, written down where its trial was asked for."""
    columns = {
        name: _hidden(column) for name, column in table.columns.items()
        if (setting := words.settings.get(name)) and setting.role == "default_refused"
        and any(map(_MAY_BE_CODE.search, column.texts))
    }  # fmt: skip
    return replace(table, columns={**table.columns, **columns}) if columns else table


def _hidden(column: RawColumn) -> RawColumn:
    texts = [concealed(text) for text in column.texts]
    return replace(column, texts=texts, raw=(), fixed=column.fixed and column.fixed._replace(raw=HIDDEN))
