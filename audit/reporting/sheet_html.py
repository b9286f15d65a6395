"""Blank readback cards to print: one card per device, with a box for each digit. One file, no script."""

from __future__ import annotations

from audit.reporting import pages
from audit.reporting.sheet_notes import cautions
from audit.sheets.cards import cards
from audit.sheets.layout import PROVES_NOTHING
from audit.sheets.model import Book

HOW = (
    "Write what the display shows, leading zeros too. Leave blank what you did not read.",
    "Write in the note what fits no box, and tag, serial number and place of a device that has no card. "
    "Never write down an access code.",
)


def render(book: Book) -> str:
    """Return the page. The same plan gives the same bytes."""
    style = pages.part("cards.css")
    notes = [*HOW, *cautions(book)]
    return pages.render(
        "cards.html",
        style,
        book=book,
        cards=list(cards(book, notes)),
        notes=notes,
        proves_nothing=PROVES_NOTHING,
    )
