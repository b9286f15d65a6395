"""Pages printed to a file, and what is then on the paper."""

from __future__ import annotations

import subprocess
from dataclasses import dataclass
from pathlib import Path

from lxml import etree

PAPERS = {"A4": (595.0, 842.0), "Letter": (612.0, 792.0)}
"""Width and height in points (ISO 216, and 8.5 by 11 inches)."""
MARGIN = 36
"""Points at each side that stay white: the page leaves 14 mm, about 40 points."""


@dataclass(frozen=True)
class Word:
    """A word on paper: its text, and its left, right and lower edge in points."""

    text: str
    left: float
    right: float
    bottom: float


def words_of(file: Path) -> list[list[Word]]:
    """Return the words of each printed page."""
    text = subprocess.run(["pdftotext", "-bbox", str(file), "-"], capture_output=True, check=True).stdout
    root = etree.fromstring(text, etree.XMLParser(recover=True))
    return [
        [
            Word(w.text or "", float(w.get("xMin", 0)), float(w.get("xMax", 0)), float(w.get("yMax", 0)))
            for w in page.iter("{*}word")
        ]
        for page in root.iter("{*}page")
    ]


def texts_of(file: Path) -> list[str]:
    """Return the text of each printed page, in one line."""
    text = subprocess.run(
        ["pdftotext", "-layout", str(file), "-"], capture_output=True, check=True, text=True
    )
    return [" ".join(page.split()) for page in text.stdout.split("\f")[:-1]]
