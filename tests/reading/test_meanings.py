"""Meanings of whole columns: each distinct text is parsed once."""

from __future__ import annotations

from audit.model.device import Setting
from audit.model.table import HIDDEN, RawColumn, Style
from audit.reading.codes import code
from audit.reading.meanings import Meanings


def test_an_access_code_is_shown_as_hidden() -> None:
    """Wherever its value is quoted."""
    value = Meanings().code(code("5521"))

    assert (value.read, value.shown) == (True, HIDDEN)


def test_a_column_is_not_among_the_values_of_all_other_files() -> None:
    """Otherwise the time for many files would grow with the square of their number."""
    meanings = Meanings()
    for start in range(0, 100, 10):
        column = RawColumn([str(n) for n in range(start, start + 10)], "A", "net", Style())
        values = meanings.column(column, Setting(name="net", kind="text", role="network_id"))
        assert len(values.among) == 10
