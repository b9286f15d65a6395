"""Steps that were put together from several pieces of work."""

from __future__ import annotations

from audit.worklist.drafts import joined


def test_what_two_pieces_of_work_hold_in_common_is_said_once() -> None:
    """As a part of a longer text too."""
    drops = "control room knows that the value drops out"

    assert (
        joined([f"{drops}; nothing else answers there", "", drops]) == f"{drops}; nothing else answers there"
    )
