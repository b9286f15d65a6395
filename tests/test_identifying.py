"""Identifying: the short ways give what the long ones would."""

from __future__ import annotations

from array import array

from hypothesis import given
from hypothesis import strategies as st

from audit.identifying import _letters_and_digits
from audit.model.rows import InOneTable
from audit.model.table import Table
from audit.reading.values import bare, spelling

names = st.text("0017aAßé.,-_– /\x1c\x85", max_size=6).map(bare)


@given(st.lists(st.tuples(names, names), min_size=1))
def test_names_of_one_spelling_have_the_same_letters_and_digits(pairs: list[tuple[str, str]]) -> None:
    """So that a name with other letters and digits need not be spelled out to be passed over."""
    ones, others = ([pair[k] for pair in pairs] for k in (0, 1))
    rough = zip(_letters_and_digits(ones), _letters_and_digits(others), strict=True)

    for (one, other), (rough_one, rough_other) in zip(pairs, rough, strict=True):
        assert rough_one == rough_other or spelling(one) != spelling(other)


def test_rows_in_one_table_are_as_lists_of_them() -> None:
    """Nobody who takes rows has to know how they are kept."""
    table = Table("found.csv", "", range(2, 5), {})
    rows = InOneTable(table, array("q", [2, -1, 0]))

    assert list(rows) == [rows[0], rows[1], rows[2]] == [[(table, 2)], [], [(table, 0)]]
    assert list(rows[1:]) == [[], [(table, 0)]]
    assert rows[-1] == [(table, 0)]
    assert rows.blank() == [1]
