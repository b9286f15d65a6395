"""Where SARIF results are: places in files, cells and keys in them, and networks, devices and settings.

Clauses are those of 'Static Analysis Results Interchange Format (SARIF) Version 2.1.0 Plus Errata 01',
OASIS Standard, 28 August 2023 (read in a transcription).
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from typing import Any
from urllib.parse import quote

from audit.endings import has_keys, is_binary
from audit.model.result import EvidencePlace, Finding
from audit.model.table import column_index

Part = dict[str, Any]


def main_location(finding: Finding, artifacts: Mapping[str, int], logical: Logical) -> list[Part]:
    """Return the place of a finding's first evidence, with what it is about; nothing without both."""
    place = location(finding.evidence[0], artifacts) if finding.evidence else {}
    names: list[str | None] = [*finding.settings] or [None]
    concerned = [logical.of(finding.network, finding.node, name) for name in names]
    parts = unique(part for part in (*concerned, *place.get("logicalLocations", [])) if part)
    if parts:
        place["logicalLocations"] = parts
    return [place] if place else []


class Logical:
    """The networks, devices and settings that results are about, each listed once, under its parent."""

    def __init__(self) -> None:
        self.parts: list[Part] = []
        self._known: dict[tuple[str, ...], int] = {}

    def of(self, network: str | None, node: str | None, setting: str | None = None) -> Part:
        """Return a reference to the innermost of them; empty for the site as a whole."""
        names: tuple[str, ...] = ()
        part: Part = {}
        parent = -1
        for kind, name in (("network", network), ("device", node), ("setting", setting)):
            if not name:
                continue
            names = (*names, f"{kind} {name}")
            if names not in self._known:
                self._known[names] = len(self.parts)
                full = f"{part['fullyQualifiedName']}/{name}" if part else name
                above = {"parentIndex": parent} if part else {}
                self.parts.append({"name": name, "fullyQualifiedName": full, "kind": kind, **above})
            parent = self._known[names]
            part = {"fullyQualifiedName": self.parts[parent]["fullyQualifiedName"], "index": parent}
        return part


def location(place: EvidencePlace, artifacts: Mapping[str, int]) -> Part:
    """Return a place in a file, with its cell or key where a line is not precise enough."""
    artifact: Part = {"uri": uri(place.file)}
    if place.file in artifacts:
        artifact["index"] = artifacts[place.file]
    region, cell = _region(place), _cell(place)
    said = ": ".join(filter(None, (place.heading, place.raw)))
    return {
        "physicalLocation": {"artifactLocation": artifact, **({"region": region} if region else {})},
        **({"logicalLocations": [cell]} if cell else {}),
        **({"message": {"text": message(said)}} if said else {}),
    }


def _region(place: EvidencePlace) -> Part:
    """Return line and column in a text file; other files have none (3.30.1).

    A table's column is counted in cells. The n-th cell begins at the n-th character or later, and the region
    extends to the end of the line (3.30.2), so it contains the cell.
    """
    if not place.row or place.sheet or is_binary(place.file):
        return {}
    key_alone = not place.record and place.column and place.column == place.heading
    if key_alone and place.file.lower().endswith(".json"):
        return {}  # an older result, in which the row is the number of a record, not a line
    column = None if _is_key(place) else _column_number(place.column or "")
    return {"startLine": place.row, **({"startColumn": column} if column else {})}


def _is_key(place: EvidencePlace) -> bool:
    """Tell whether a place's column is the key of a record."""
    column = place.column or ""
    in_records = bool(place.record) or has_keys(place.file)
    return in_records and bool(column) and (not column.isdigit() or column == place.heading)


def _column_number(column: str) -> int | None:
    """Return a column as a number: of a character, or of the spreadsheet column with these letters."""
    if re.fullmatch("[1-9][0-9]{0,8}", column):
        return int(column)
    if re.fullmatch("[A-Z]{1,4}", column):
        return column_index(column) + 1
    return None


def _cell(place: EvidencePlace) -> Part:
    """Return the cell of a table as file[Sheet]!C6, or the key of a record, as a logical location."""
    if not place.row or not place.column:
        return {}
    table = f"{place.file}[{place.sheet}]" if place.sheet else place.file
    if _is_key(place):
        return {"fullyQualifiedName": f"{table}!{place.record or place.row}/{place.column}", "kind": "key"}
    if place.column.isdigit():
        return {}
    return {"fullyQualifiedName": f"{table}!{place.column}{place.row}", "kind": "cell"}


def uri(file: str) -> str:
    """Return a file name as a URI: relative where the name is, with what a URI cannot hold encoded."""
    name = quote(file, safe="/:" if re.match("[A-Za-z]:/", file) else "/", errors="replace")
    if file.startswith("/"):
        return f"file://{name}"
    return f"file:///{name}" if ":" in name else name


def unique(parts: Iterable[Part]) -> list[Part]:
    """Return the parts without repeats."""
    return list({json.dumps(part): part for part in parts}.values())


def message(text: str) -> str:
    """Return a text as a plain message that holds no placeholder and no link (3.11.5, 3.11.6)."""
    return braced(text.replace("](", "] ("))


def braced(text: str) -> str:
    """Return a text in which no brace begins a placeholder."""
    return text.replace("{", "{{").replace("}", "}}")
