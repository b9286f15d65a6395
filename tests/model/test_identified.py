"""Devices that were found and are in no plan."""

from __future__ import annotations

from audit.model.identified import Stranger
from tests.reading.made import table


def test_a_field_is_where_the_newest_row_that_has_it_is() -> None:
    """Where no row has it, the newest row is quoted."""
    rows = table("tag,serial,location\nX-1,9,Kiln\nX-1,9,\n")
    stranger = Stranger("X-1", "9", "", ((rows, 0), (rows, 1)), {})

    places = [stranger.place(name) for name in ("location", "tag", "network")]
    assert [(place.row, place.raw) for place in places] == [(2, "Kiln"), (3, "X-1"), (3, "")]
