"""How much an ODS expands to: it stores counts of repeated rows, cells and blanks, not the items."""

from __future__ import annotations

from typing import Any
from xml.parsers.expat import ParserCreate

_ODF = "urn:oasis:names:tc:opendocument:xmlns:"
ROW, BLANKS = f"{_ODF}table:1.0 table-row", f"{_ODF}text:1.0 s"
CELLS = (f"{_ODF}table:1.0 table-cell", f"{_ODF}table:1.0 covered-table-cell")
ROWS_REPEATED = f"{_ODF}table:1.0 number-rows-repeated"
CELLS_REPEATED = f"{_ODF}table:1.0 number-columns-repeated"
BLANKS_REPEATED = f"{_ODF}text:1.0 c"
KIND = f"{_ODF}office:1.0 value-type"
A_CELL = 8
"""The least memory, in bytes, that a cell with contents takes."""
FAR_TOO_MANY = 10**12


class CountedCells:
    """Calculates, while parsing, how many bytes the cells take once all repeats are written out.

    Programs add empty rows and cells after the data by the million; these count as nothing.
    """

    def __init__(self) -> None:
        self._rows = self._cells = 1
        self._bytes = 0
        self.parser = ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start

    def taken(self) -> int:
        """Return the bytes added since the last call, apart from those in the file itself."""
        taken, self._bytes = self._bytes, 0
        return taken

    def _start(self, name: str, attributes: dict[str, Any]) -> None:
        if name in CELLS:
            self._cells = _times(attributes, CELLS_REPEATED)
            if self._rows * self._cells > 1:  # texts of the others, nearly all, are in the file
                self.parser.CharacterDataHandler, self.parser.EndElementHandler = self._text, self._end
                self._bytes += A_CELL * (self._rows * self._cells - 1) if KIND in attributes else 0
        elif name == ROW:
            self._rows = _times(attributes, ROWS_REPEATED)
        elif name == BLANKS:
            self._bytes += _times(attributes, BLANKS_REPEATED) * self._rows * self._cells

    def _text(self, text: str) -> None:
        self._bytes += len(text) * (self._rows * self._cells - 1)

    def _end(self, name: str) -> None:
        if name in CELLS:
            self.parser.CharacterDataHandler = self.parser.EndElementHandler = None


def _times(attributes: dict[str, Any], name: str) -> int:
    """Return how often something is repeated: once if not stated, far too often if it is not a number."""
    text = attributes.get(name, "1")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 12 else FAR_TOO_MANY
