"""The texts of devices that have their readings in the same tables."""

from __future__ import annotations

import pytest

from audit.model.rows import Alike
from tests.reading.made import table


@pytest.mark.parametrize(
    ("entries", "tags"), [(range(1, 3), ["B", "C"]), ([2, 0], ["C", "A"])], ids=["together", "apart"]
)
def test_texts_of_some_rows_of_a_table(entries: range | list[int], tags: list[str]) -> None:
    """One for each of the devices, in their order."""
    rows = table("tag,CH\nA,1\nB,2\nC,3\nD,4\n")

    assert [list(texts) for texts in Alike([5, 6], [rows], [entries]).texts("tag")] == [tags]
