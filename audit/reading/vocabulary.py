"""The vocabulary of a plan: which headings and words mean which setting."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from audit.grouping import grouped
from audit.model.device import DeviceType, Setting
from audit.model.readback import FIELDS
from audit.reading.identifiers import bare

_UNIT_IN_HEADING = re.compile(r"(.*\S)\s*[\[(]\s*([^\[\]()]+)\s*[\])]\s*")


def folded(heading: str) -> str:
    """Return a heading without case, and with single underscores between its words."""
    return re.sub(r"[\s_\-]+", "_", heading.strip().casefold()).strip("_")


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The fields of a readback and the settings of all device types of a plan."""

    settings: dict[str, Setting]
    """Setting name → the first device type's setting of that name; for codes, the first with a width."""
    words: dict[str, str]
    """Folded heading → field or setting name."""
    secrets: frozenset[str]
    """Names of the settings that are access codes."""
    shared: dict[str, list[str]] = field(default_factory=dict)
    """Folded label or role → the settings that share it, so that it stands for none of them."""
    options: dict[str, frozenset[str]] = field(default_factory=dict)
    """Setting name → the options that it has in any device type, in lower case."""
    fields: tuple[str, ...] = tuple(FIELDS)
    """What a table may contain apart from settings."""

    def field(self, word: str) -> str | None:
        """Return the field or setting that a heading, name, label or role stands for."""
        return self.words.get(folded(word))

    def headed(self, heading: str) -> str | None:
        """Return the field or setting that a heading stands for, with a unit after it or not."""
        return self.field(heading) or self.field(heading_and_unit(heading)[0])

    def known(self) -> list[str]:
        """Return every field and setting name, for messages."""
        return [*self.fields, *self.settings]


def vocabulary(types: Iterable[DeviceType], fields: Iterable[str] = FIELDS) -> Vocabulary:
    """Return the vocabulary of device types. Names take precedence over labels, and labels over roles.

    A label or role that stands for different settings in different device types stands for none.
    """
    every = [setting for kind in types for setting in kind.settings]
    settings: dict[str, Setting] = {}
    options: dict[str, frozenset[str]] = {}
    for setting in every:
        known = settings.setdefault(setting.name, setting)
        if setting.kind == "secret" and not known.digits:
            settings[setting.name] = setting  # the width of a code shows how many leading zeros it has
        if setting.options:
            its = frozenset(option.casefold() for option in setting.options)
            options[setting.name] = options.get(setting.name, frozenset()) | its
    roles = _meant((setting.role, setting.name) for setting in every)
    labels = _meant((setting.label, setting.name) for setting in every)
    meant = (*roles.items(), *labels.items())
    words = {word: names[0] for word, names in meant if len(names) == 1}
    several = {word: names for word, names in (roles | labels).items() if len(names) > 1}
    words |= {folded(name): name for name in settings}
    fields = tuple(fields)
    words |= {field: field for field in fields}
    secrets = frozenset(setting.name for setting in every if setting.kind == "secret")
    return Vocabulary(settings, words, secrets, several, options, fields)


def _meant(pairs: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    """Return folded label or role → the settings that have it, each once; blank ones are left out."""
    found = grouped((folded(word), name) for word, name in pairs if word)
    return {word: sorted(set(names)) for word, names in found.items()}


def heading_and_unit(heading: str) -> tuple[str, str]:
    """Return the name and the unit of a heading such as `range high [kPa]`, whether on one line or on two."""
    found = _UNIT_IN_HEADING.fullmatch(bare(heading))
    return (found[1], found[2].strip()) if found else (heading, "")
