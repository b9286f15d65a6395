"""How to fill in readback sheets, and what to watch for at the device, on paper and on the screen."""

from __future__ import annotations

from audit.judging.cautions import of_types
from audit.phrases import titled
from audit.sheets.layout import PROVES_NOTHING
from audit.sheets.model import Book

HOW = (
    "Write what the display shows, digit by digit, leading zeros too. Do not write what it should show.",
    "Leave blank what you did not read. A blank counts as not read, never as correct.",
    "Write decimals with point or comma, as on the display, and nothing between thousands: 1250, not 1,250. "
    "If the unit is not that of the heading, write it after the number: 2.8 bar.",
    "If a value is questioned and the display does show it, keep it.",
    "A shaded cell is a setting that the device does not have. The rows at the end are for devices that are "
    "not on the list.",
    "Never write down an access code. Write only whether the factory code was refused when it was tried.",
)
CAUTIONS = (
    "This sheet authorises nothing. Local rules, permits and licensed people prevail.",
    "Only look: change no setting, and leave menus without saving.",
    "Try the factory code only with the owner's consent, and only once: counters may lock the device.",
)
MOVES = "Outputs may move when a node is re-set or loses communication: lock out, keep people clear."
HAZARDOUS = "Hazardous area: permit, certified tools and a competent person."


def cautions(book: Book) -> list[str]:
    """Return the cautions that apply to the devices of a book."""
    return [*CAUTIONS, *of_types((device.type for _, device in book.whole.devices), MOVES, HAZARDOUS)]


def notes(book: Book) -> list[str]:
    """Return all that a workbook says on its last sheet."""
    about = f"Site: {titled(book.site, book.revision)}"
    first = PROVES_NOTHING if book.with_plan else "These sheets are blind: they show no planned value."
    after = "Save the filled-in file as XLSX, ODS or CSV and give it to `asfound check` as it is."
    return [about, first, *HOW, after, *cautions(book)]
