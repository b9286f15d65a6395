"""Ids of findings, whose devices may have got other names."""

from __future__ import annotations

import pytest

from audit.model.finding_names import under_serial

ID = "channel-differs/North/A/channel"


def test_a_finding_is_recognised_by_the_serial_number_of_its_device() -> None:
    """In place of its network and tag, in a form that no finding's own id has."""
    assert under_serial(ID, ("North", "A"), "100001") == "channel-differs//100001/channel"


@pytest.mark.parametrize(("old", "serial"), [(("North", "A"), ""), (("North", ""), "1"), (("", "A"), "1")])
def test_without_all_three_an_id_stays_as_it_is(old: tuple[str, str], serial: str) -> None:
    """Otherwise findings of two devices without a serial number would have one id."""
    assert under_serial(ID, old, serial) == ID
