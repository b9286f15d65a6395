"""Labelled cells: several settings in one cell, each behind its label, such as `L 280 / H 780 kPa`.

A register writes the alarms of a device so. A mapping names the columns. A cell that has anything else, or
that can be read in two ways, is reported and not read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from audit.errors import Problem
from audit.model import mapping as written
from audit.model.table import NOT_LABELLED, tidied
from audit.reading.grid import Grid
from audit.reading.headings import IGNORED
from audit.reading.identifiers import bare
from audit.reading.mapped_names import is_ignored
from audit.reading.mappings import problem_in
from audit.reading.named_columns import columns_of, not_shown
from audit.reading.quoting import holds_code, quoted
from audit.reading.shared_cells import in_place_of
from audit.reading.vocabulary import Vocabulary, folded
from audit.reading.written_numbers import WHY_NOT_LABELLED, pattern

_ASIDE = " ;,/|=:"
"""What may stand around a value; before it no comma, which may be the mark of a decimal."""
_SIGN_APART = re.compile("[-+] ")
"""Start of a value whose sign may be a dash behind the label."""


@dataclass(frozen=True, slots=True)
class Labels:
    """The labels that cells of a file may have, and how its numbers are written."""

    names: Mapping[str, str]
    """Folded label → setting; IGNORED for one that the mapping ignores."""
    unitless: frozenset[str]
    """Settings whose numbers have no unit, such as a channel."""
    label: re.Pattern[str]
    """A label with a value behind it, in lower case. Right behind it stands no sign, which may be a dash, nor
    a digit behind another or before a group of digits: `H1 780` may have the label H1."""
    number: re.Pattern[str]
    blanks: frozenset[str]


def slips_in_labelled(
    grid: Grid, names: Sequence[str], mapping: written.Mapping, words: Vocabulary
) -> Iterator[Problem]:
    """Yield problems for columns under `labelled` that are not there, give no setting, or one given already.

    `names` are the fields of the grid's columns.
    """
    if not mapping.labelled:
        return
    known = labels(mapping, words)
    given = [words.field(word) or word for pair in mapping.split.values() for word in pair]
    codes = {*words.secrets, *(word for word, name in words.words.items() if name in words.secrets)}
    for k, heading in enumerate(mapping.labelled):
        steps = ("labelled", k)
        wrong = not_shown(heading, mapping.labelled, steps, grid, mapping, words)
        yield from wrong
        if wrong:
            continue
        i = columns_of(heading, mapping.labelled, grid, mapping)[0]
        if coded := [text for text in dict.fromkeys(grid.columns[i]) if holds_code(text, codes)]:
            row = grid.row(grid.columns[i].index(coded[0]), i)
            message = f"the column {quoted(heading)} may have an access code here, which is not shown"
            mend = "take it out of the column; codes are read from a column of their own"
            yield grid.problem(message, mend, row, grid.letters[i])
            continue
        found = _settings(grid.columns[i], known)
        filled = [text for text in grid.columns[i] if tidied(text).casefold() not in known.blanks]
        if filled and not found:
            message = f"no cell of the column {quoted(heading)} can be read; "
            message += f"{quoted(filled[0])} {WHY_NOT_LABELLED}"
            mend = "name a column whose cells have labels and values; or state how they are written"
            yield problem_in(mapping, steps, message, f"{mend}, such as `decimal: ','`, or what labels mean")
        for name in found:
            if name in [*names, *given]:
                message = f"two columns would give {name}"
                yield problem_in(mapping, steps, message, "name one of them under `ignore`")
        given += found


def with_labelled(
    grid: Grid, names: Sequence[str], mapping: written.Mapping, words: Vocabulary
) -> tuple[Grid, list[str]]:
    """Return a grid with a column for each setting that cells of a column under `labelled` name.

    `names` are the fields of the grid's columns. Each cell keeps its text as it is written, as evidence.
    """
    names = list(names)
    if not mapping.labelled:
        return grid, names
    known = labels(mapping, words)
    for heading in mapping.labelled:
        i = columns_of(heading, mapping.labelled, grid, mapping)[0]
        found = _settings(grid.columns[i], known)
        if not found:
            continue  # all are blank
        parts = {text: _parts(text, found, known) for text in set(grid.columns[i])}
        columns = [[parts[text][name] for text in grid.columns[i]] for name in found]
        grid, names = in_place_of(i, found, columns, grid, names)
    return grid, names


def labels(mapping: written.Mapping, words: Vocabulary) -> Labels:
    """Return the labels of settings with numbers, those that a mapping names, and those that it ignores."""
    numbers = {name for name, setting in words.settings.items() if setting.kind in ("integer", "decimal")}
    names = {word: name for word, name in words.words.items() if name in numbers}
    names |= {folded(key): IGNORED for key in mapping.ignore if is_ignored(key, mapping)}
    own = ((folded(key), words.field(word)) for key, word in mapping.columns.items())
    names |= {key: name for key, name in own if name in numbers}
    longest_first = sorted(names.keys() - {"", "*"}, key=lambda name: (-len(name), name))
    label = _one_of(re.escape(name).replace("_", r"[\s_-]+") for name in longest_first)
    blank = _one_of(re.escape(text) for text in mapping.not_read if text)
    apart, attached = r"(?:\s*[=:]\s*|\s+)[-+]?[.,]?\d", r"(?<!\d)[.,]?\d(?!\d* \d)"
    behind = rf"{apart}|{attached}|\s*[=:]?\s*{blank}(?!\w|[.,]\d)"
    return Labels(
        names,
        frozenset(name for name in numbers if not words.settings[name].unit),
        re.compile(rf"(?<![^\s;,/|])(?P<label>{label})(?={behind})"),
        pattern(mapping.decimal, mapping.grouping),
        mapping.not_read,
    )


def _one_of(patterns: Iterable[str]) -> str:
    """Return a pattern for any of some patterns; one that fits nothing if there are none."""
    return f"(?:{'|'.join(patterns) or '(?!)'})"


def labelled_values(text: str, known: Labels) -> dict[str, str] | None:
    """Return setting → value with its unit; None if there is anything else in the cell.

    A unit after the last one is that of all, if no other has one.
    """
    plain = tidied(text)
    lower, at = _in_lower_case(plain)
    found = list(known.label.finditer(lower))
    if not found or plain[: at[found[0].start()]].strip(_ASIDE):
        return None
    ends = [*(one.start() for one in found[1:]), len(lower)]
    names = [known.names[folded(one["label"])] for one in found]
    texts = [plain[at[one.end()] : at[end]].lstrip(" =:").rstrip(_ASIDE)
             for one, end in zip(found, ends, strict=True)]  # fmt: skip
    numbers = [None if _SIGN_APART.match(text) else known.number.fullmatch(text) for text in texts]
    odd = [not number and text.casefold() not in known.blanks
           for number, text in zip(numbers, texts, strict=True)]  # fmt: skip
    kept = [name for name in names if name != IGNORED]
    if any(odd) or len(set(kept)) < len(kept):
        return None
    units = [number["unit"] or "" for name, number in zip(names, numbers, strict=True)
             if number and (number["unit"] or name not in known.unitless)]  # fmt: skip
    shared = units[-1] if units and not any(units[:-1]) else ""
    if not shared and any(units) and not all(units):
        return None  # a number may be in the unit of another, or in that of its setting
    if any(known.names.get(folded(unit), IGNORED) not in (IGNORED, *names) for unit in units):
        return None  # in `H 5 L`, L may be litres, or a label without a value
    return {
        name: f"{text} {shared}" if shared and number and not number["unit"] and name not in known.unitless
        else text
        for name, text, number in zip(names, texts, numbers, strict=True) if name != IGNORED
    }  # fmt: skip


def _in_lower_case(text: str) -> tuple[str, list[int]]:
    """Return a text without case, as labels are, and where each of its characters and its end are in it.

    A text may become longer: `ß` is `ss`.
    """
    parts = [mark.casefold() for mark in text]
    return "".join(parts), [*(i for i, part in enumerate(parts) for _ in part), len(text)]


def are_labelled(texts: Iterable[str], words: Vocabulary) -> bool:
    """Return whether most cells of a column that are not blank have settings behind their labels."""
    known = labels(written.Mapping(), words)
    filled = [text for text in map(bare, texts) if text.casefold() not in known.blanks]
    return 2 * sum(bool(labelled_values(text, known)) for text in filled) > len(filled)


def _settings(texts: Iterable[str], known: Labels) -> list[str]:
    """Return the settings that the cells of a column name, in the order in which they do."""
    found = (labelled_values(text, known) for text in dict.fromkeys(texts))
    return list(dict.fromkeys(name for values in found for name in values or ()))


def _parts(text: str, settings: Iterable[str], known: Labels) -> Mapping[str, str]:
    """Return setting → text; what cannot be read, or means not read, is the same for all of them."""
    if tidied(text).casefold() in known.blanks:
        return dict.fromkeys(settings, text)
    values = labelled_values(text, known)
    return {
        name: NOT_LABELLED + tidied(text) if values is None else values.get(name, "") for name in settings
    }
