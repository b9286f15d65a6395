"""Headings of a sheet's columns, in words that `asfound check` understands without a mapping."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from audit.grouping import grouped
from audit.model.device import READ_AT_WORDS, Setting
from audit.phrases import clean
from audit.reading.identifiers import bare
from audit.reading.vocabulary import Vocabulary, folded, heading_and_unit

PLACES = READ_AT_WORDS | {"display": ""}
"""Where a setting is read → how a sheet says so; for the display nothing needs to be said."""


def in_words(setting: Setting) -> str:
    """Return what a setting is called on paper or in a box of a workbook: its label, or else its name."""
    return setting.label or setting.name.replace("_", " ")


def heading(settings: Sequence[Setting], words: Vocabulary) -> str:
    """Return the heading for a setting of one or several device types: as the device shows it, with unit.

    The unit is left out where it differs between the device types.
    """
    name = settings[0].name
    units = {bare(setting.unit) for setting in settings}
    unit = units.pop() if len(units) == 1 else ""
    return next(
        text for text in _candidates(settings, unit)
        if clean(text) == text and _understood(text, words) in ((name, unit), (name, ""))
    )  # fmt: skip


def _candidates(settings: Sequence[Setting], unit: str) -> Iterator[str]:
    """Yield headings, the best first: the label with its unit, then the name, which is always known."""
    labels = {bare(setting.label) for setting in settings}
    names = [*labels] if len(labels) == 1 and "" not in labels else []
    for text in (*names, settings[0].name.replace("_", " ")):
        if unit:
            yield f"{text} [{unit}]"
        yield text


def _understood(text: str, words: Vocabulary) -> tuple[str | None, str]:
    """Return the setting and the unit that reading a heading gives."""
    if found := words.field(text):
        return found, ""
    name, unit = heading_and_unit(text)
    return words.field(name), unit


def where_to_read(settings: Iterable[tuple[str, Setting]], shown: str) -> str:
    """Return where to look for a setting, and in which unit; `settings` are device types and their setting.

    What the device types have in common is said once; the label is left out where the heading shows it.
    """
    settings = list(settings)
    parts = grouped((_place(setting, shown), kind) for kind, setting in settings)
    if len(parts) == 1:
        places = next(iter(parts))
    else:
        places = "; ".join(f"{place or 'display'} ({', '.join(kinds)})" for place, kinds in parts.items())
    units = grouped((setting.unit, kind) for kind, setting in settings)
    if len(units) == 1:
        return places
    in_units = "; ".join(f"{unit or 'no unit'} ({', '.join(kinds)})" for unit, kinds in units.items())
    return f"{places}; in {in_units}" if places else f"in {in_units}"


def _place(setting: Setting, shown: str) -> str:
    """Return where one device type shows a setting."""
    label = bare(setting.label)
    named = "" if not label or folded(label) in (folded(shown), folded(heading_and_unit(shown)[0])) else label
    at = PLACES[setting.read_at]
    way = ": ".join(part for part in (at, bare(setting.where)) if part)
    return ", ".join(part for part in (named, way) if part)
