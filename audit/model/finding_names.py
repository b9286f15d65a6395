"""The id of a finding holds the names of its device: the same id with others in their place."""

from __future__ import annotations

from collections.abc import Sequence


def under_names(name: str, old: Sequence[str], new: Sequence[str]) -> str:
    """Return a finding's id with a network and tag in place of those it holds; blank ones are in no id."""
    then, now = ("".join(f"/{part}" for part in names if part) for names in (old, new))
    return name.replace(then, now, 1)


def under_serial(name: str, old: Sequence[str], serial: str) -> str:
    """Return a finding's id with the serial number of its device in place of network and tag.

    It is no id of any finding, and serves to tell those of a device that got new names. Without all three
    the id stays.
    """
    return under_names(name, old, (f"/{serial}",)) if serial and all(old) else name
