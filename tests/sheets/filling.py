"""A site whose devices have every kind of setting, and its sheets: made, and filled in.

site = rich_site(tmp_path)
sheet = blank(site)                                    # asfound sheet plan.yaml --out sheets.xlsx
site.read("filled.xlsx", filled(sheet, SHOWN))         # every device shows what is planned
site.read("filled.xlsx", filled(sheet, showing(N1={"CH": "8"})))
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import openpyxl

from tests.small_site import ACCESS_CODE, Named, Outcome, SmallSite, run, small_site

Shown = Mapping[str, Mapping[str, str]]
"""Tag → heading → what the display shows."""

PRESSURE: Named = {"kind": "decimal", "unit": "kPa", "step": 0.1, "low": -100, "high": 2000}
REFUSED: Named = {"name": "default_refused", "kind": "option", "role": "default_refused",
                  "options": ["yes", "no", "not tried"], "where": "try the factory code"}  # fmt: skip
NODE_SETTINGS: tuple[Named, ...] = (
    {"name": "channel", "label": "CH", "kind": "integer", "role": "channel", "low": 1, "high": 40,
     "digits": 2, "where": "RADIO > CH"},
    {"name": "air_rate", "label": "RATE", "kind": "option", "role": "air_rate", "unit": "kbit/s",
     "options": ["4.8", "9.6", "50"], "where": "RADIO > RATE"},
    {"name": "network_id", "label": "NET ID", "kind": "text", "role": "network_id", "digits": 4},
    {"name": "address", "label": "ADDR", "kind": "integer", "role": "address", "low": 1, "high": 247},
    {"name": "encryption", "label": "ENC", "kind": "flag", "role": "encryption"},
    {"name": "chamber", "label": "CHAM", "kind": "text"},
    REFUSED,
    {"name": "range_low", "label": "LRV", "role": "range_low", **PRESSURE},
    {"name": "range_high", "label": "URV", "role": "range_high", **PRESSURE},
    ACCESS_CODE,
)  # fmt: skip
"""Settings of the device type `node`."""
HUB_SETTINGS: tuple[Named, ...] = (
    *NODE_SETTINGS[:3],
    {"name": "joining", "label": "JOIN", "kind": "option", "role": "join_window",
     "options": ["open", "closed"]},
    REFUSED,
)  # fmt: skip
GATEWAY: Named = {"tag": "GW-1", "type": "gateway", "serial": "900001", "location": "Mast",
                  "settings": {"channel": 7, "air_rate": "9.6", "network_id": "00A7",
                               "joining": "closed"}}  # fmt: skip
SHARED: dict[str, str] = {"CH": "7", "RATE [kbit/s]": "9.6", "NET ID": "00A7", "default refused": "yes",
                          "read by": "R. Sample"}  # fmt: skip
"""What the gateway and all nodes show."""


def planned_node(number: int) -> dict[str, Any]:
    """Return the plan of node `number`."""
    settings = {"address": 10 + number, "chamber": f"3-{number}", "range_high": 980.5}
    return {
        "tag": f"N-{number}",
        "serial": f"0010-{number}",
        "location": f"Chamber {number}",
        "settings": settings,
    }


def shows(number: int) -> dict[str, str]:
    """Return what node `number` shows if it is as planned."""
    return {**SHARED, "serial": f"0010-{number}", "ADDR": str(10 + number), "ENC": "on",
            "CHAM": f"3-{number}", "LRV [kPa]": "-2.5", "URV [kPa]": "980.5"}  # fmt: skip


SHOWN: Shown = {
    "GW-1": {**SHARED, "serial": "900001", "JOIN": "closed"},
    **{f"N-{number}": shows(number) for number in (1, 2, 3)},
}
"""What all devices show if they are as planned."""


def showing(**changes: Mapping[str, str]) -> dict[str, dict[str, str]]:
    """Return what is shown, with changes: `N1={"CH": "8"}`, `GW1={…}`."""
    names = {tag.replace("-", ""): tag for tag in SHOWN}
    changed = {names[key]: value for key, value in changes.items()}
    return {tag: {**its, **changed.get(tag, {})} for tag, its in SHOWN.items()}


def rich_site(folder: Path, **parts: Any) -> SmallSite:
    """Return the site: a gateway and three nodes."""
    nodes = [planned_node(number) for number in (1, 2, 3)]
    given: dict[str, Any] = {
        "nodes": nodes, "gateway": GATEWAY, "settings": NODE_SETTINGS, "gateway_settings": HUB_SETTINGS,
        "defaults": {"encryption": "on", "range_low": -2.5},
    }  # fmt: skip
    site = small_site(folder, **{**given, **parts})
    site.readbacks.clear()
    return site


def make(site: SmallSite, name: str, *arguments: str) -> Outcome:
    """Make sheets of a site in a file of its folder."""
    outcome = run("sheet", site.plan, "--out", site.folder / name, *arguments)
    assert outcome.code == 0, outcome.stderr
    return outcome


def blank(site: SmallSite, name: str = "sheets.xlsx", *arguments: str) -> Path:
    """Make sheets and return their file."""
    make(site, name, *arguments)
    return site.folder / name


def filled(sheet: Path, shown: Shown = SHOWN) -> bytes:
    """Return a workbook or CSV filled in with what each device shows."""
    return _filled_xlsx(sheet, shown) if sheet.suffix == ".xlsx" else _filled_csv(sheet, shown)


def cell_of(sheet: Path, tag: str, heading: str) -> str:
    """Return the name of a cell of the first sheet of a workbook, such as C7."""
    page = openpyxl.load_workbook(sheet).worksheets[0]
    row, column = _places(page)
    return f"{page.cell(1, column[heading]).column_letter}{row[tag]}"


def _places(page: Any) -> tuple[dict[str, int], dict[str, int]]:
    """Return tag → row and heading → column of a worksheet."""
    column = {str(cell.value): cell.column for cell in page[1]}
    rows = {str(page.cell(row, column["tag"]).value): row for row in range(2, page.max_row + 1)}
    return rows, column


def _filled_xlsx(sheet: Path, shown: Shown) -> bytes:
    book = openpyxl.load_workbook(sheet)
    for page in book.worksheets:
        if page.cell(1, 1).value == "tag":
            row, column = _places(page)
            for tag, values in shown.items():
                for heading, text in values.items() if tag in row else ():
                    page.cell(row[tag], column[heading]).value = text
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _filled_csv(sheet: Path, shown: Shown) -> bytes:
    text = sheet.read_text(encoding="utf-8-sig")
    delimiter = max(",;\t", key=text.splitlines()[0].count)
    table = list(csv.reader(io.StringIO(text), delimiter=delimiter))
    return to_csv([table[0], *(_filled_row(table[0], row, shown) for row in table[1:])], delimiter)


def _filled_row(headings: Sequence[str], row: Sequence[str], shown: Shown) -> list[str]:
    values = shown.get(row[headings.index("tag")], {})
    return [values.get(heading, text) for heading, text in zip(headings, row, strict=True)]


def to_csv(table: Sequence[Sequence[str]], delimiter: str = ",") -> bytes:
    """Return rows as CSV."""
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter, lineterminator="\n").writerows(table)
    return stream.getvalue().encode("utf-8-sig")
