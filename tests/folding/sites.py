"""What the tests of folding share: rows of nodes, and the findings without a cause."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from audit.model.result import Finding
from tests.site_builder import audit_of

QUIET: dict[str, Any] = {"settings": {"default_refused": None}, "hub_settings": {"default_refused": None}}
"""Device types without a factory code, so that nobody has to try it."""


def nodes(count: int, **settings: Any) -> list[dict[str, Any]]:
    """Return planned or found nodes N01, N02 …; a list gives each its own value."""
    return [
        {"tag": f"N{n + 1:02}", **{k: v[n] if isinstance(v, list) else v for k, v in settings.items()}}
        for n in range(count)
    ]


def causes(folder: Path, **site: Any) -> list[Finding]:
    """Return the findings that have no cause."""
    settings = QUIET["settings"] | site.pop("settings", {})
    findings = audit_of(folder, **site, settings=settings, hub_settings=QUIET["hub_settings"])
    return [f for f in findings if f.caused_by is None]


def fold(folder: Path, rule: str, **site: Any) -> Finding:
    """Return the finding of a folding rule, which has to be the only cause."""
    (cause,) = causes(folder, **site)
    assert cause.rule == rule
    return cause
