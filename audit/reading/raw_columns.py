"""The columns of a table as they come in: how they are written, with access codes replaced."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from audit.model.device import Setting
from audit.model.mapping import Mapping
from audit.model.table import HIDDEN, RawColumn, Style, tidied
from audit.model.value import Code
from audit.reading.codes import code, is_mask
from audit.reading.grid import Grid
from audit.reading.identifiers import bare
from audit.reading.vocabulary import Vocabulary, heading_and_unit

Item = TypeVar("Item")


def style_of(heading: str, name: str, mapping: Mapping, words: Vocabulary) -> Style:
    """Return how the numbers of a column are written."""
    unit = _of_field(mapping.units, name, words, "")
    if not unit and words.field(heading) is None:
        unit = heading_and_unit(heading)[1]
    return Style(
        mapping.decimal,
        mapping.grouping,
        unit,
        mapping.not_read,
        () if name in words.secrets else tuple(sorted(_of_field(mapping.values, name, words, {}).items())),
    )


def raw_column(grid: Grid, i: int, name: str, mapping: Mapping, words: Vocabulary) -> RawColumn:
    """Return one column of a grid as the column of a field, with access codes replaced."""
    style = style_of(grid.headings[i], name, mapping, words)
    fixed = grid.fixed.get(grid.headings[i])
    texts = grid.columns[i]
    if name not in words.secrets:
        texts = grid.shown(i) if name in words.settings else grid.filled(i)
    written = grid.as_written.get(grid.letters[i])
    raw = [written[row] for row in grid.rows] if written else ()
    column = RawColumn(texts, grid.letters[i], bare(grid.headings[i]), style, fixed=fixed, raw=raw)
    return hidden(translated(column, name, words), name, mapping, words)


def translated(column: RawColumn, name: str, words: Vocabulary) -> RawColumn:
    """Return a field's column with the mapping's translations applied; settings are translated later.

    A serial number that says `not read`, such as `-`, is none. A tag may be `NA`.
    """
    if name in words.settings:
        return column
    meant = dict(column.style.translate)
    numbers = column.texts if name == "serial" else ()
    plain = str.strip if "".join(numbers).isascii() else tidied  # which takes ten times as long
    if not column.style.blanks.isdisjoint(map(str.casefold, map(plain, numbers))):
        meant = {text: "" for text in map(bare, column.texts) if column.style.is_blank(text)} | meant
    if not meant:
        return column
    return column.read_as([meant.get(bare(text), text) for text in column.texts])


def _of_field(part: dict[str, Item], name: str, words: Vocabulary, default: Item) -> Item:
    """Return what a part of a mapping says about a field, whatever word it uses for the field."""
    return next((item for key, item in part.items() if words.field(key) == name), default)


def hidden(column: RawColumn, name: str, mapping: Mapping, words: Vocabulary) -> RawColumn:
    """Return a column with its access codes replaced by placeholders, if it contains codes."""
    if name not in words.secrets:
        return column
    translate = _of_field(mapping.values, name, words, {})
    codes: dict[str, Code] = {}
    placeholders: dict[str, str] = {}
    for text in dict.fromkeys(column.texts):
        stripped = bare(text)
        shows_none = is_mask(stripped) and stripped not in translate
        if shows_none or stripped.casefold() in column.style.blanks:
            placeholders[text] = ""
        else:
            placeholder = f"(code {len(codes) + 1})"
            stripped = translate.get(stripped, stripped)
            codes[placeholder] = code(_padded(stripped, words.settings[name]))
            placeholders[text] = placeholder
    texts = [placeholders[text] for text in column.texts]
    fixed = column.fixed and column.fixed._replace(raw=HIDDEN)
    return replace(column, texts=texts, codes=codes, fixed=fixed)


def _padded(text: str, setting: Setting) -> str:
    """Return a code with the leading zeros that a spreadsheet removed, if its width is known."""
    return text.zfill(setting.digits) if setting.digits and text.isdigit() else text
