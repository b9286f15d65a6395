"""Days in a diagnosis are those of the site, whose clock most times state, and not those in UTC."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.diagnosis.sites import diagnosed, examined, record

TODAY = "2026-04-20"


def listed(read_at: str) -> dict[str, Any]:
    """Return a gateway's list of that time, in which A is missing."""
    return {"list.csv": [{"tag": tag, "last_heard": 10, "read_at": read_at} for tag in ("B", "C")]}


@pytest.mark.parametrize(
    "read_at",
    ["2026-04-20T00:30+02:00", "2026-04-20T09:00+10:00", "2026-04-20T23:30-08:00", "2026-04-20T09:00"],
)
def test_a_list_is_of_the_day_that_it_states(tmp_path: Path, read_at: str) -> None:
    """In UTC it would be of the day before or after, and called a day old when it was made today."""
    newest = examined(tmp_path, listed(read_at), on=TODAY).lists.newest("North")

    assert newest
    assert (newest.day, newest.of_day(TODAY)) == (TODAY, f" of {TODAY}")


def test_a_list_of_the_day_of_an_exchange_is_of_the_new_unit(tmp_path: Path) -> None:
    """Change records have days of the site; the list made that morning does not have the new unit."""
    node = diagnosed(
        tmp_path, lists=listed(f"{TODAY}T09:00+10:00"), changes=[record("exchange", TODAY, to="S9")], on=TODAY
    )

    assert "has not listed it since" in node.joined_words


def test_a_reading_is_told_with_the_day_of_its_sheet(tmp_path: Path) -> None:
    """Its place quotes the time as written."""
    there = examined(tmp_path, found=[{"read_at": "2026-03-24T09:00+10:00"}, {}, {}])

    (rows,) = [block.rows[0] for block in there.site.blocks if not block.gateway]
    table, entry = rows[0]
    assert table.texts("read_at")[entry] == "2026-03-24T09:00"
    assert table.place(entry, "read_at").raw == "2026-03-24T09:00+10:00"


def test_times_in_utc_and_on_another_clock_stay_in_order(tmp_path: Path) -> None:
    """All are put on the clock that most state, apart from UTC."""
    lists = {"z.csv": [{"tag": "A", "last_heard": 10, "read_at": "2026-04-19T23:30Z"}],
             "local.csv": [{"tag": "B", "last_heard": 10, "read_at": "2026-04-20T09:00+10:00"}]}  # fmt: skip

    there = examined(tmp_path, lists)

    assert [one.at.isoformat() for one in there.lists.by_network["North"] if one.at] == [
        "2026-04-20T09:30:00"
    ]
