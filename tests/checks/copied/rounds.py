"""Rounds: readbacks of one reader over several nodes, honest or not, for the tests of signs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from audit.model.result import Finding
from tests.site_builder import Row, audit_of

DAY = "2026-04-01"
READER = "R. Sample"


def at(minute: float) -> str:
    """Return a time of the day of reading, so many minutes after eight."""
    hours, rest = divmod(int(minute), 60)
    return f"{DAY}T{8 + hours:02}:{rest:02}"


def nodes(count: int, **columns: Any) -> list[dict[str, Any]]:
    """Return rows of so many nodes; a list gives each its own value."""
    return [{k: v[n] if isinstance(v, list) else v for k, v in columns.items()} for n in range(count)]


def by(reader: str, minutes: Sequence[float], **columns: Any) -> list[dict[str, Any]]:
    """Return rows that a reader wrote, with the minutes after eight at which each node was read."""
    times = [at(minute) for minute in minutes]
    return nodes(len(times), channel=7, read_by=reader, read_at=times, **columns)


def copied(folder: Path, found: Any, planned: Sequence[Row] | None = None, **site: Any) -> list[Finding]:
    """Return the findings that a readback looks copied."""
    rows = found if isinstance(found, list) else next(iter(found.values()))
    wanted = planned or nodes(len(rows), channel=7)
    return audit_of(folder, rules="readback-looks-copied", planned=wanted, found=found, **site)


def signs(folder: Path, found: Any, planned: Sequence[Row] | None = None, **site: Any) -> str:
    """Return what the one finding that a readback looks copied says."""
    (finding,) = copied(folder, found, planned, **site)
    return finding.message
