"""Gateway lists as tables: what they contain, and what their columns may be called."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from audit.model.device import Setting
from audit.model.readback import FIELDS
from audit.model.table import Table
from audit.reading.vocabulary import Vocabulary, folded

LIST_SETTINGS: dict[str, Setting] = {
    setting.role: setting
    for setting in (
        Setting(name="joined_gateway", kind="text", role="joined_gateway", label="gateway"),
        Setting(name="last_heard", kind="decimal", role="last_heard", unit="s", step=0.001, label="heard"),
        Setting(name="rssi", kind="decimal", role="rssi", unit="dBm", step=0.1, label="signal"),
        Setting(
            name="battery_volts", kind="decimal", role="battery_volts", unit="V", step=0.001, label="volts"
        ),
    )
}
"""What gateway lists contain, for device types that have no setting for it."""


def known_to_gateway(setting: Setting) -> bool:
    """Return whether a gateway's list may show a setting of a node; the node's messages give its address."""
    return setting.role in (*LIST_SETTINGS, "address") or setting.read_at == "gateway"


def is_list(table: Table, settings: Iterable[Setting]) -> bool:
    """Return whether a table contains only what a gateway knows about its nodes, and not just addresses."""
    known = {setting.name: setting.role for setting in settings if known_to_gateway(setting)}
    roles = [known.get(name) for name in table.columns if name not in FIELDS]
    return None not in roles and any(role != "address" for role in roles)


def with_list_headings(words: Vocabulary) -> Vocabulary:
    """Return a vocabulary extended by the headings of gateway lists, for roles that it has settings for."""
    known = dict(words.words)
    for role, setting in LIST_SETTINGS.items():
        name = words.field(role)
        if name is not None:
            known.setdefault(folded(setting.label), name)
    return replace(words, words=known)


def list_words(words: Vocabulary) -> Vocabulary:
    """Return the vocabulary of gateway lists: a plan's, and what else lists contain."""
    settings, known = dict(words.settings), dict(words.words)
    for role, setting in LIST_SETTINGS.items():
        if words.field(role) is None:
            settings.setdefault(setting.name, setting)
            known.setdefault(folded(role), setting.name)
    return with_list_headings(Vocabulary(settings, known, words.secrets))
