"""How to fill in readback sheets, and what to mind at the device: short, on paper and on the screen."""

from __future__ import annotations

from audit.judging.cautions import of_types
from audit.phrases import titled
from audit.sheets.layout import PROVES_NOTHING
from audit.sheets.model import Book

HOW = (
    "Write what the display shows, digit by digit, zeros in front too. Do not write what it should show.",
    "What you did not read stays blank. A blank counts as not read, never as right.",
    "Decimals with point or comma, as the display has them, and no mark between thousands: 1250, not 1,250. "
    "Another unit than the heading's goes behind the number: 2.8 bar.",
    "If a value is questioned and the display does show it, keep it.",
    "Shaded cells do not exist on that device. The rows at the end are for devices that are not on the list.",
    "Never write an access code down. Write only whether the factory code was refused when it was tried.",
)
CAUTIONS = (
    "This sheet authorises nothing. Local rules, permits and licensed people prevail.",
    "Reading is looking: change no setting, and leave menus without saving.",
    "Try the factory code with the owner's consent, and once: counters may lock the device.",
)
MOVES = "Outputs may move when a node is re-set or loses communication: lock out, keep people clear."
HAZARDOUS = "Hazardous area: permit, certified tools and a competent person."


def cautions(book: Book) -> list[str]:
    """Return the cautions that hold for the devices of a book."""
    return [*CAUTIONS, *of_types((device.type for _, device in book.whole.devices), MOVES, HAZARDOUS)]


def notes(book: Book) -> list[str]:
    """Return all that a workbook says on its last sheet."""
    about = f"Site: {titled(book.site, book.revision)}"
    first = PROVES_NOTHING if book.with_plan else "These sheets are blind: they show no planned value."
    after = "Filled in, the file goes as it is into `asfound check`, saved as XLSX, ODS or CSV."
    return [about, first, *HOW, after, *cautions(book)]
