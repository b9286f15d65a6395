"""Gateway lists, and what is missing from them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from audit.diagnosis.missing import missing
from tests.diagnosis.sites import examined

Rows = Sequence[dict[str, Any]]
SOUTH = [{"tag": "S", "network": "South"}, {"tag": "T", "network": "South"}]
SITE: dict[str, Any] = {"planned": [{}, {}, {}, *SOUTH]}


def told(folder: Path, lists: Mapping[str, Rows], **site: Any) -> dict[str, Any]:
    """Return gateway → its missing nodes, and `unknown` → the number of gateways without a list."""
    known = examined(folder, lists, **{**SITE, **site})
    places, unknown = missing(known)
    blocks = known.site.blocks
    return {
        ("!" if there.silent_gateway else "") + there.gateway: [
            blocks[b].tags[i] for (b, i), _ in there.nodes
        ]
        for there in places
    } | ({"unknown": len(unknown)} if unknown else {})


def rows(*tags: str, **more: Any) -> Rows:
    """Return rows of a list."""
    return [{"tag": tag, **more} for tag in tags]


def lists(heard: str, read_at: str = "2026-04-01T08:00") -> dict[str, list[dict[str, str]]]:
    """Return a list that says this of A, and of B and C that they were heard just now."""
    return {
        "list.csv": [
            {"tag": tag, "gateway": "GW-North", "last_heard": since, "read_at": read_at}
            for tag, since in (("A", heard), ("B", "12"), ("C", "12"))
        ]
    }
