"""The id of a finding contains the names of its device: give the same id with other names."""

from __future__ import annotations

from collections.abc import Sequence


def under_names(name: str, old: Sequence[str], new: Sequence[str]) -> str:
    """Return a finding's id with another network and tag in place of its own; an id omits blank names."""
    then, now = ("".join(f"/{part}" for part in names if part) for names in (old, new))
    return name.replace(then, now, 1)


def under_serial(name: str, old: Sequence[str], serial: str) -> str:
    """Return a finding's id with the serial number of its device in place of network and tag.

    This is not the id of any finding; it serves to recognise the findings of a device that got new names.
    Unless all three are given, the id is unchanged.
    """
    return under_names(name, old, (f"/{serial}",)) if serial and all(old) else name
