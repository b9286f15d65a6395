"""Lines of entry files for tests: `entry("N-1", "channel", "8")` is one, `as_lines` a whole file."""

from __future__ import annotations

import json
from typing import Any

FIRST = "2026-03-31T09:15:00.000+02:00"


def entry(tag: str, setting: str, value: str, **keys: Any) -> dict[str, Any]:
    """Return an entry of a device of the small site (tests/small_site.py)."""
    return {"asfound": "entry/1", "network": "Main", "tag": tag, "setting": setting, "value": value,
            "read_at": FIRST, "read_by": "R. Sample", **keys}  # fmt: skip


def skipped(tag: str, setting: str, reason: str = "", **keys: Any) -> dict[str, Any]:
    """Return an entry that leaves a setting out."""
    return entry(tag, setting, "", skipped=reason, **keys)


def at(minute: int) -> str:
    """Return a time, some minutes after nine."""
    return f"2026-03-31T09:{minute:02}:00.000+02:00"


def as_lines(*entries: dict[str, Any]) -> str:
    """Return the text of a file of entries."""
    return "".join(json.dumps(one, ensure_ascii=False) + "\n" for one in entries)
