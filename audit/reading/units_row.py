"""Units in a row of their own, directly below the headings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from audit.model.mapping import Mapping
from audit.reading import units
from audit.reading.grid import Grid
from audit.reading.headings import NAMING
from audit.reading.identifiers import bare
from audit.reading.vocabulary import Vocabulary, folded, heading_and_unit

SAYS_UNITS = ("unit", "units", "")
"""What may be in place of a tag in a row of units."""


def with_units_of_row(
    grid: Grid, names: Sequence[str], mapping: Mapping, words: Vocabulary
) -> tuple[Grid, Mapping]:
    """Return a grid without the row of units below its headings, and the mapping with these units.

    `names` are the fields of its columns. A row of units names no device and has units where numbers belong;
    a merged cell may give it the network, or who read.
    A unit in a heading or in the mapping takes precedence. Both are returned as they are if there is none.
    """
    if grid.line_of or not grid.rows:
        return grid, mapping
    firsts = zip(names, (_unit(column[0]) for column in grid.columns), strict=True)
    beside = {name: text for name, text in firsts if name and text.casefold() not in mapping.not_read}
    settings = {name: words.settings[name] for name in beside if name in words.settings}
    numbers = [(beside[name], setting.unit) for name, setting in settings.items() if setting.numeric]
    fit = bool(numbers) and all(units.known(text) or units.equal(text, unit) for text, unit in numbers)
    names_device = any(folded(beside.get(name, "")) not in SAYS_UNITS for name in NAMING)
    if names_device or not fit:
        return grid, mapping
    found = (
        (heading, name, beside[name]) for heading, name in zip(grid.headings, names, strict=True)
        if name in settings and settings[name].unit
    )  # fmt: skip
    grid = replace(grid, columns=[column[1:] for column in grid.columns], rows=grid.rows[1:])
    return grid, with_units(mapping, found, words)


def with_units(mapping: Mapping, more: Iterable[tuple[str, str, str]], words: Vocabulary) -> Mapping:
    """Return the mapping with the units (heading, setting, unit) that neither it nor the heading states."""
    stated = {words.field(name) for name in mapping.units}
    found = {
        name: unit for heading, name, unit in more
        if name not in stated and not heading_and_unit(heading)[1]
    }  # fmt: skip
    return mapping.model_copy(update={"units": {**mapping.units, **found}})


def _unit(text: str) -> str:
    """Return what a cell says, without the brackets that units are often put in."""
    text = bare(text)
    return text[1:-1].strip() if text[:1] in ("[", "(") and text[-1:] in ("]", ")") else text
