"""What a mapping makes of a file that says otherwise: told in the list of inputs, since no finding shows it.

A mapping may put a word into the language of the device type, or say that a file of exports is one. Where it
turns one value into another, supplies a reading, or leaves out one that is there, the verdict rests on the
mapping and not on the file. That is often right, and is said without a judgement.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from audit.model.device import Setting
from audit.model.mapping import DEFAULT_BLANKS, Mapping
from audit.model.table import RawColumn, Table, tidied
from audit.model.value import Value
from audit.phrases import listed
from audit.reading import units
from audit.reading.identifiers import bare
from audit.reading.mapped_names import is_ignored
from audit.reading.mappings import written_in
from audit.reading.quoting import quoted
from audit.reading.values import parse
from audit.reading.vocabulary import Vocabulary, heading_and_unit

VOUCHING = (
    "tag",
    "serial",
    "plan_revision",
    "read_at",
    "read_by",
    "read_how",
    "configured_by",
    "configured_at",
)
"""Fields that say what a reading is worth; where a device is, or what it is called, says nothing of that."""
MOST = 5
"""How many translations or columns of a file are named."""


def told(tables: Iterable[Table], mapping: Mapping, words: Vocabulary) -> Iterator[str]:
    """Yield what a mapping makes of the tables of a file, one sentence without a full stop each."""
    tables = list(tables)
    if changed := Counter(text for table in tables for text in _changed(table, words)):
        parts = [f"{text} ({number:,})" for text, number in changed.items()]
        yield f"read otherwise than written, by its mapping: {listed(parts, MOST)}"
    if supplied := [*_supplied(tables, mapping, words)]:
        yield f"supplied by its mapping: {listed(supplied, MOST)}"
    if ignored := [*dict.fromkeys(name for table in tables for name in table.left_out.columns)]:
        yield f"columns left out by its mapping: {listed([quoted(name) for name in ignored], MOST)}"
    if of_units := [*dict.fromkeys(name for table in tables for name in table.left_out.units)]:
        names = listed([quoted(name) for name in of_units], MOST)
        yield f"units left out by its mapping, so that no number is read in them: {names}"
    if renamed := [*dict.fromkeys(text for table in tables for text in _renamed(table, words))]:
        yield f"columns read otherwise than headed, by its mapping: {listed(renamed, MOST)}"


def ignored(headings: Iterable[str], mapping: Mapping, words: Vocabulary) -> tuple[str, ...]:
    """Return those of some headings that a mapping ignores although they name a setting or who read it.

    Access codes are left out: they ought to be ignored, and the digest of the file says so.
    """
    named = dict.fromkeys(bare(heading) for heading in headings if is_ignored(heading, mapping))
    return tuple(heading for heading in named if _tells(words.headed(heading), words))


def _tells(name: str | None, words: Vocabulary) -> bool:
    return (name in words.settings and name not in words.secrets) or name in VOUCHING


def _changed(table: Table, words: Vocabulary) -> Iterator[str]:
    """Yield each text that means one thing as written and another by the mapping, as often as it occurs."""
    for name, column in table.columns.items():
        by_mapping = column.style.translate or not column.style.blanks.issubset(DEFAULT_BLANKS)
        if column.fixed or not by_mapping or not _tells(name, words):
            continue
        setting = words.settings.get(name)
        say = {text: _otherwise(text, column, setting, words) for text in set(column.raw or column.texts)}
        for text in column.raw or column.texts:
            if meant := say[text]:
                yield f"{name} {quoted(tidied(text), words.secrets)} as {meant}"


def _otherwise(text: str, column: RawColumn, setting: Setting | None, words: Vocabulary) -> str:
    """Return what a mapping makes of a text that means something else, or does not give that number.

    Blank if it is only the same in other words.
    """
    translate, written = dict(column.style.translate), tidied(text)
    if setting is None:
        meant = translate.get(bare(text), bare(text))
        return "" if meant == bare(text) else quoted(meant, words.secrets) if meant else "not read"
    plain = replace(column.style, translate=(), blanks=frozenset(DEFAULT_BLANKS))
    own, by_mapping = parse(text, setting, plain), parse(text, setting, column.style)
    meant = translate.get(written, "") if by_mapping.read else ""
    made_up = setting.numeric and _digits(meant) not in _digits(written)  # such as `ok` as 780
    if own.content == by_mapping.content or not (_has_meaning(own, setting) or made_up):
        return ""
    return quoted(meant, words.secrets) if meant else "not read"


def _digits(text: str) -> str:
    return "".join(filter(str.isdigit, text))


def _has_meaning(value: Value, setting: Setting) -> bool:
    """Tell whether a text means something without a mapping: any text does for a text, not for an option."""
    return value.read and (not setting.options or value.content in setting.options)


def _supplied(tables: Sequence[Table], mapping: Mapping, words: Vocabulary) -> Iterator[str]:
    """Yield the constants that stand in for what the file leaves blank, and how often if not everywhere."""
    rows = sum(len(table.rows) for table in tables)
    for field, value in mapping.constants.items():
        name = words.field(field) or field
        times = sum(table.columns[name].supplied for table in tables if name in table.columns)
        if times and _tells(name, words):
            where = "" if times == rows else f" (where the file is blank: {times:,} of {rows:,})"
            yield f"{name} {quoted(written_in(mapping, ('constants', field), value), words.secrets)}{where}"


def _renamed(table: Table, words: Vocabulary) -> Iterator[str]:
    """Yield the columns of settings that are headed as another setting, or with another unit."""
    for name, column in table.columns.items():
        if column.fixed or name not in words.settings or name in words.secrets:
            continue
        meant, unit = words.headed(column.heading), _unit(column, words)
        if meant in words.settings and meant not in (name, *words.secrets):
            yield f"{quoted(column.heading)} as {name}"
        elif unit and column.style.unit and not units.equal(unit, column.style.unit):
            yield f"{quoted(column.heading)} in {column.style.unit}"


def _unit(column: RawColumn, words: Vocabulary) -> str:
    return "" if words.field(column.heading) else heading_and_unit(column.heading)[1]
