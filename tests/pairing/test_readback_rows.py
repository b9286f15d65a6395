"""Rows of the readback are kept in two ways that look the same from outside."""

from __future__ import annotations

from array import array

from audit.model.rows import InOneTable
from audit.model.table import Table


def test_rows_in_one_table_are_as_lists_of_them() -> None:
    """Code that takes rows need not know how they are kept."""
    table = Table("found.csv", "", range(2, 5), {})
    rows = InOneTable(table, array("q", [2, -1, 0]))

    assert list(rows) == [rows[0], rows[1], rows[2]] == [[(table, 2)], [], [(table, 0)]]
    assert list(rows[1:]) == [[], [(table, 0)]]
    assert rows[-1] == [(table, 0)]
    assert rows.blank() == [1]
