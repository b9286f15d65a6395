"""Isolating: names in right-to-left letters stand in a sentence without turning round what is beside them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from markupsafe import Markup

from audit.phrases import clean

RIGHT_TO_LEFT = ("R", "AL")
"""Classes of letters, by Unicode, that run from right to left."""


class Isolating:
    """The names of a page that run from right to left, and sentences with each of them set apart."""

    def __init__(self, names: Iterable[str]) -> None:
        turned = {name for name in names if any(unicodedata.bidirectional(c) in RIGHT_TO_LEFT for c in name)}
        # The longer one first: it may hold others.
        in_order = sorted(turned, key=lambda name: (-len(name), name))
        self._names = re.compile(f"({'|'.join(map(re.escape, in_order))})") if in_order else None

    def said(self, text: str) -> str:
        """Return a sentence with its names set apart; the same text where it holds none."""
        parts = self._names.split(text) if self._names else [text]
        if len(parts) == 1:
            return text
        apart = Markup("<bdi>{}</bdi>")
        told = (apart.format(clean(part)) if i % 2 else clean(part) for i, part in enumerate(parts))
        return Markup("").join(told)
