"""Isolating: names in right-to-left letters are set apart, so that the text around them is not reversed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from markupsafe import Markup

from audit.phrases import clean

RIGHT_TO_LEFT = ("R", "AL")
"""Unicode classes of letters that run from right to left."""


class Isolating:
    """The names on a page that run from right to left, which it sets apart in sentences."""

    def __init__(self, names: Iterable[str]) -> None:
        turned = {name for name in names if any(unicodedata.bidirectional(c) in RIGHT_TO_LEFT for c in name)}
        # Longer names first: they may contain others.
        in_order = sorted(turned, key=lambda name: (-len(name), name))
        self._names = re.compile(f"({'|'.join(map(re.escape, in_order))})") if in_order else None

    def said(self, text: str) -> str:
        """Return a sentence with its names set apart; the same text if it contains none."""
        parts = self._names.split(text) if self._names else [text]
        if len(parts) == 1:
            return text
        apart = Markup("<bdi>{}</bdi>")
        shown = (apart.format(clean(part)) if i % 2 else clean(part) for i, part in enumerate(parts))
        return Markup("").join(shown)
