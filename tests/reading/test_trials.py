"""Trials of the factory access code, as people write them down."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.entering.accepting import Refused, accept
from audit.model.device import Setting
from audit.model.table import Style
from audit.reading.values import parse
from tests.site_builder import audit_of

TRIED = Setting(name="tried", kind="option", role="default_refused", options=("yes", "no", "not tried"))


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("Y", "yes"),
        ("yes", "yes"),
        ("Refused", "yes"),
        ("N", "no"),
        ("accepted", "no"),
        ("untried", "not tried"),
    ],
)
def test_a_word_for_a_trial_is_one_of_three(text: str, meant: str) -> None:
    """No device shows it: how somebody writes yes is no fault of the device."""
    assert parse(text, TRIED, Style()).content == meant


@pytest.mark.parametrize("text", ["1", "2", "ja"])
def test_another_word_is_unclear_and_says_which_way_round_it_is(text: str) -> None:
    """A number may be a choice of a list, of which nobody knows the order."""
    value = parse(text, TRIED, Style())

    assert value.state == "unclear"
    assert value.note.endswith("write yes where the factory code was refused, no where it was accepted")


def test_a_trial_may_be_kept_as_text() -> None:
    """A device type may leave the options out."""
    assert parse("y", Setting(name="tried", kind="text", role="default_refused"), Style()).content == "yes"


@pytest.mark.parametrize("text", ["8205", "no, now 8205"])
def test_a_code_that_was_written_down_instead_is_shown_nowhere(text: str, tmp_path: Path) -> None:
    """The sheet asks whether the factory code was refused, and somebody writes the new one."""
    (finding,) = [one for one in audit_of(tmp_path, found={"default_refused": text}) if one.node == "A"]

    assert finding.rule == "reading-unclear"
    assert "8205" not in finding.model_dump_json()
    refused = accept(text, TRIED, ".")
    assert isinstance(refused, Refused)
    assert refused.kept is None
    assert "8205" not in refused.why
