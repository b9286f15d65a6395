"""Shared cells: two numbers in one cell, and a unit in a cell of its own that several numbers share.

A register writes a range as `0-1000 kPa`, or puts the unit of a row into a column. A mapping says which
columns these are. What is in them is taken apart, or put together, without a guess: a cell that can be read
in two ways is reported and not read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from audit.errors import Problem, nearest
from audit.model import mapping as written
from audit.model.mapping import DEFAULT_BLANKS
from audit.model.table import NO_UNIT, NOT_TWO, Style, tidied
from audit.reading import units
from audit.reading.grid import Grid
from audit.reading.headings import IGNORED
from audit.reading.identifiers import bare
from audit.reading.mappings import problem_in
from audit.reading.named_columns import columns_of, not_shown
from audit.reading.quoting import quoted
from audit.reading.raw_columns import style_of
from audit.reading.vocabulary import Vocabulary
from audit.reading.written_numbers import pattern

_BETWEEN = re.compile(r" ?(?P<mark>\.{2,3}|…|[/;]) ?| (?:to|bis|à) | ?- ?", re.IGNORECASE)
"""What may stand between two numbers."""
_APART = ("/", ";")
"""Marks beside which one of two numbers may be left out: beside a hyphen it might be a sign."""


def slips_in_shared_cells(
    grid: Grid, names: Sequence[str], mapping: written.Mapping, words: Vocabulary
) -> Iterator[Problem]:
    """Yield problems for columns and settings under `split` and `unit_columns` that are not there, or misfit.

    `names` are the fields of the grid's columns.
    """
    for part, given in (("split", mapping.split), ("unit_columns", mapping.unit_columns)):
        for heading, wanted in given.items():
            yield from not_shown(heading, given, (part, heading), grid, mapping, words)
            for word in wanted:
                yield from _misfit(word, part, heading, names, mapping, words)


def not_for_long(grid: Grid, mapping: written.Mapping) -> Iterator[Problem]:
    """Yield a problem for each key of the mapping that a table with a row for each setting has no use for."""
    for part in ("split", "labelled", "unit_columns"):
        if getattr(mapping, part):
            message = f"{grid.file} has a row for each setting, which `{part}` is not for"
            mend = "leave it out; `long` names the columns of setting, value and unit"
            yield problem_in(mapping, (part,), message, mend)


def _misfit(
    word: str, part: str, heading: str, names: Sequence[str], mapping: written.Mapping, words: Vocabulary
) -> Iterator[Problem]:
    """Yield a problem for a setting that is not one of a number, or that two columns would give."""
    name = words.field(word) or ""
    numbers = [one.name for one in words.settings.values() if one.kind in ("integer", "decimal", "option")]
    if name not in numbers:
        message = f"`{part}` names {quoted(word)}, which is not a setting with numbers"
        yield problem_in(mapping, (part, heading), message, nearest(word, numbers))
        return
    given = [words.field(one) for pairs in getattr(mapping, part).values() for one in pairs]
    if given.count(name) + (part == "split" and name in names) > 1:
        message = f"two columns would give {name}"
        yield problem_in(mapping, (part, heading), message, "name one of them under `ignore`")


def taken_apart(
    grid: Grid, names: Sequence[str], mapping: written.Mapping, words: Vocabulary
) -> tuple[Grid, list[str]]:
    """Return a grid with a column for each number, followed by the unit of its row, and their fields.

    `names` are the fields of the grid's columns. Each cell keeps its text as it is written, as evidence.
    """
    grid, names = _split(grid, list(names), mapping, words)
    for heading, wanted in mapping.unit_columns.items():
        beside = grid.filled(columns_of(heading, mapping.unit_columns, grid, mapping)[0])
        fields = {words.field(word) for word in wanted}
        for i, name in enumerate(names):
            if name in fields:
                grid = _with_units(grid, i, beside, mapping, needed=bool(words.settings[name].unit))
    return grid, names


def _split(
    grid: Grid, names: list[str], mapping: written.Mapping, words: Vocabulary
) -> tuple[Grid, list[str]]:
    """Return a grid in which each column under `split` has become two, beside each other."""
    for heading, pair in mapping.split.items():
        i = columns_of(heading, mapping.split, grid, mapping)[0]
        low, high = (words.field(word) or IGNORED for word in pair)
        style = style_of(grid.headings[i], low, mapping, words)
        own = words.settings[low].unit
        means = {text for name in (low, high)
                 for text, _ in style_of(grid.headings[i], name, mapping, words).translate}  # fmt: skip
        parts = {
            text: (text, text) if bare(text) in means else two_numbers(text, style, own)
            for text in set(grid.columns[i])
        }
        first, second = ([parts[text][k] for text in grid.columns[i]] for k in (0, 1))
        grid, names = in_place_of(i, [low, high], [first, second], grid, names)
    return grid, names


def in_place_of(
    i: int, fields: Sequence[str], columns: Sequence[list[str]], grid: Grid, names: Sequence[str]
) -> tuple[Grid, list[str]]:
    """Return a grid with several columns in the place of one, and the fields of all, `names` before.

    Each has the heading and the letters of the one, whose texts are kept as they are written.
    """
    grid = replace(
        _as_written(grid, i),
        headings=[*grid.headings[:i], *[grid.headings[i]] * len(fields), *grid.headings[i + 1 :]],
        letters=[*grid.letters[:i], *[grid.letters[i]] * len(fields), *grid.letters[i + 1 :]],
        columns=[*grid.columns[:i], *columns, *grid.columns[i + 1 :]],
    )
    return grid, [*names[:i], *fields, *names[i + 1 :]]


def _as_written(grid: Grid, i: int) -> Grid:
    """Return a grid that keeps the texts of a column as they are written."""
    texts = dict(zip(grid.rows, grid.columns[i], strict=True))
    return replace(grid, as_written={grid.letters[i]: texts, **grid.as_written})


def two_numbers(text: str, style: Style, own: str = "") -> tuple[str, str]:
    """Return the two numbers of a cell, each with its unit; for any other text, twice what represents it.

    A blank or a unit alone, as in a row of units, is the same for both. `own` is the unit of the settings.
    """
    plain = tidied(text)
    if style.is_blank(text) or (units.known(plain.strip("[]() ")) and not plain[:1].isdigit()):
        return text, text
    found = {
        pair for at in _BETWEEN.finditer(plain)
        if (pair := _pair(plain[: at.start()], plain[at.end() :], at, style, own))
    }  # fmt: skip
    return found.pop() if len(found) == 1 else (NOT_TWO + plain, NOT_TWO + plain)


def are_units(texts: Iterable[str]) -> bool:
    """Return whether a column has nothing but units, some of which cannot be letters of a revision."""
    named = set(_filled(texts))
    return all(map(units.known, named)) and any(len(text) > 1 or text == "m" for text in named)


def are_pairs(texts: Iterable[str]) -> bool:
    """Return whether most cells of a column that are not blank have two numbers, such as a range."""
    filled = _filled(texts)
    pairs = [text for text in filled if len({*two_numbers(text, Style())}) > 1]
    return 2 * len(pairs) > len(filled)


def _filled(texts: Iterable[str]) -> list[str]:
    """Return those of some texts that do not mean 'not read'."""
    return [text for text in map(bare, texts) if text.casefold() not in DEFAULT_BLANKS]


def _pair(left: str, right: str, between: re.Match[str], style: Style, own: str) -> tuple[str, str] | None:
    """Return what stands on both sides of a mark, if these are two numbers and can be nothing else."""
    if between[0] == " -":
        return None  # 0 -10 may be 0 and -10
    may_lack = between["mark"] in _APART
    left, right = left.strip(), right.strip()
    ends = [_unit(text, style, own, may_lack=may_lack) for text in (left, right)]
    if None in ends or not (left and right):
        return None
    if (unit := ends[1]) and not ends[0] and not style.is_blank(left):
        left = f"{left} {unit}"
    elif ends[0] and not unit and not style.is_blank(right):
        return None
    return left, right


def _unit(text: str, style: Style, own: str, *, may_lack: bool) -> str | None:
    """Return the unit of a number, blank if it has none; None if the text is not a number."""
    if may_lack and style.is_blank(text):
        return ""
    found = pattern(style.decimal, style.grouping).fullmatch(text)
    unit = (found["unit"] or "").strip() if found else ""
    odd = unit and not units.known(unit) and not units.equal(unit, own)
    return None if found is None or odd else unit


def _with_units(grid: Grid, i: int, beside: Sequence[str], mapping: written.Mapping, *, needed: bool) -> Grid:
    """Return a grid with the unit of its row behind each number of a column that has none.

    `needed`: a number in a row without a unit is not taken to be in that of the device.
    """
    number = pattern(mapping.decimal, mapping.grouping)
    blanks = mapping.not_read
    column = []
    for text, unit in zip(grid.columns[i], map(bare, beside), strict=True):
        found = number.fullmatch(tidied(text))
        if found is None or found["unit"]:
            column.append(text)
        elif unit.casefold() in blanks:
            column.append(NO_UNIT + text if needed else text)
        else:
            column.append(f"{text} {unit}")
    return replace(_as_written(grid, i), columns=[*grid.columns[:i], column, *grid.columns[i + 1 :]])
