"""Trials: how people write whether the factory access code was refused when it was tried."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from audit.model.device import Setting
from audit.model.table import HIDDEN, RawColumn, Table
from audit.model.value import Value
from audit.reading.identifiers import bare
from audit.reading.quoting import CODE_WORDS, holds_code
from audit.reading.vocabulary import Vocabulary

_SAID = {
    **dict.fromkeys(("y", "true", "refused"), "yes"),
    **dict.fromkeys(("n", "false", "accepted"), "no"),
    **dict.fromkeys(("untried", "not-tried", "not_tried"), "not tried"),
}
NO_TRIAL = "is not yes, no or not tried; write yes if the factory code was refused, no if it was accepted"
"""What is said about any other word."""
_MAY_BE_CODE = re.compile(r"\d{3}")
PEOPLE = ("read_by", "configured_by")


def trial(text: str) -> str:
    """Return the word that rules know for what was written about a trial, or the text itself."""
    return _SAID.get(text.casefold(), text)


def refused(value: Value) -> bool | None:
    """Return whether the factory code was refused; None if nobody tried it, or it is not clear."""
    return {"yes": True, "true": True, "no": False, "false": False}.get(str(value.content).casefold())


def concealed(text: str) -> str:
    """Return what is shown of what was written about a trial: nothing if it may be a code."""
    return HIDDEN if _MAY_BE_CODE.search(text) else text


def noted_code(text: str, setting: Setting, secrets: Iterable[str] = ()) -> bool:
    """Return whether a code may have been noted where a setting was to be read.

    A text setting of any length may well be a reference to where a code is kept; the name of an option is
    not a code.
    """
    free = setting.kind == "text" and setting.digits in (None, len(text))
    free = free or bare(text).casefold() in map(str.casefold, setting.options)
    return not free and _MAY_BE_CODE.search(text) is not None and holds_code(text, secrets)


def _tells_code(text: str, field: str, words: Vocabulary) -> bool:
    """Return whether a text on who read a device, or how, tells a code. Somebody may be called A. Key."""
    return holds_code(text, words.secrets) and (field not in PEOPLE or any(map(str.isdigit, text)))


def without_codes(table: Table, words: Vocabulary) -> Table:
    """Return a table that does not show what may be a code, written where the trial of it was asked for.

    Nor what is written in another setting, or of who read it and how, if the text says that it is a code.
    """
    columns = {}
    for name, column in table.columns.items():
        setting = words.settings.get(name)
        if setting and setting.role == "default_refused":
            texts = [concealed(text) for text in column.texts]
        elif setting and setting.kind != "secret" and _names_code(column, words):
            translated = (bare(text).casefold() for text, _ in column.style.translate)
            meant = {*words.options.get(name, ()), *translated}
            hide = (bare(text).casefold() not in meant and noted_code(text, setting, words.secrets)
                    for text in column.texts)  # fmt: skip
            texts = [HIDDEN if it_is else text for text, it_is in zip(column.texts, hide, strict=True)]
        elif name in ("read_how", *PEOPLE) and _names_code(column, words):
            texts = [HIDDEN if _tells_code(text, name, words) else text for text in column.texts]
        else:
            continue
        if texts != list(column.texts):
            fixed = column.fixed and column.fixed._replace(raw=HIDDEN)
            columns[name] = replace(column, texts=texts, raw=(), fixed=fixed)
    return replace(table, columns={**table.columns, **columns}) if columns else table


def _names_code(column: RawColumn, words: Vocabulary) -> bool:
    """Return whether anything in a column may name a code; the whole column is searched at once."""
    distinct = set(column.texts)
    if "".join(distinct).isdecimal():  # as most long columns are
        return False
    text = "\n".join(distinct).casefold()
    own = (part for name in words.secrets for part in name.casefold().split("_"))
    return any(word in text for word in (*CODE_WORDS, *own))
