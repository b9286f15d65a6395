"""The random order: nodes in the order of a digest of the seed and their names.

It is the same on every machine and in every version of Python, in whatever order the nodes are given.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING

from audit.reading.files import composed

if TYPE_CHECKING:
    from audit.model.sample import Place


@dataclass(frozen=True, slots=True, order=True)
class Unit:
    """A node that can be drawn."""

    network: str
    node: str
    """Tag, or the serial number if there is no tag."""


def unit_of(place: Place) -> Unit:
    """Return the node that an entry of a sample names."""
    return Unit(place.network, place.node)


def nodes_digest(units: Iterable[Unit]) -> str:
    """Return the digest of a set of nodes, whatever their order."""
    return digest(sorted([composed(unit.network), composed(unit.node)] for unit in units))


def random_order(seed: str, units: Iterable[Unit]) -> list[Unit]:
    """Return the nodes in the order that the seed gives."""
    return sorted(units, key=lambda unit: digest([seed, unit.network, unit.node]))


def digest(words: Sequence[object]) -> str:
    """Return the SHA-256, as hexadecimal digits, of a list as JSON in ASCII without blanks."""
    plain = [composed(word) if isinstance(word, str) else word for word in words]
    return sha256(json.dumps(plain, separators=(",", ":")).encode()).hexdigest()
