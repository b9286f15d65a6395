"""Trials of the factory access code, as people write them down."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.entering.accepting import Refused, accept
from audit.model.device import DeviceType, Setting
from audit.model.table import HIDDEN, RawColumn, Style, Table
from audit.reading.trials import noted_code, without_codes
from audit.reading.values import parse
from audit.reading.vocabulary import vocabulary
from tests.baselines import seal
from tests.site_builder import audit_of
from tests.small_site import as_csv, as_planned, small_site

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
    """No device shows it: how somebody writes yes is not a fault of the device."""
    assert parse(text, TRIED, Style()).content == meant


@pytest.mark.parametrize("text", ["1", "2", "ja"])
def test_another_word_is_unclear_and_says_which_way_round_it_is(text: str) -> None:
    """A number may be a choice from a list, whose order is not known."""
    value = parse(text, TRIED, Style())

    assert value.state == "unclear"
    assert value.note.endswith("write yes if the factory code was refused, no if it was accepted")


def test_a_trial_may_be_kept_as_text() -> None:
    """A device type may leave the options out."""
    assert parse("y", Setting(name="tried", kind="text", role="default_refused"), Style()).content == "yes"


@pytest.mark.parametrize("name", ["range_high", "channel", "local_lock", "loss_action", "network_id"])
def test_a_code_that_was_noted_in_the_cell_of_another_setting_is_shown_nowhere(
    name: str, tmp_path: Path
) -> None:
    """No number, switch or choice is written like this; everything else in the column is shown."""
    found = [{name: "new code 8205"}, {name: "see note 812"}]
    site: dict[str, Any] = {"planned": [{}, {}], "gateway": {"network_id": "0A12"}, "found": found}
    findings = [one for one in audit_of(tmp_path, **site) if one.node in ("A", "B")]

    told = " ".join(one.model_dump_json() for one in findings)
    assert {one.node for one in findings} == {"A", "B"}
    assert "8205" not in told
    assert "see note 812" in told


@pytest.mark.parametrize("fields", [("read_by",), ("read_how",), ("read_by", "configured_by")], ids=str)
def test_a_code_beside_a_name_is_shown_nowhere(fields: tuple[str, ...], tmp_path: Path) -> None:
    """Neither in what is said of who set and read a device, nor in a baseline."""
    told = dict.fromkeys(fields, "B. Example, PIN 8205")
    site = small_site(tmp_path).read("found.csv", as_csv([{**row, **told} for row in as_planned()]))
    baseline = seal(site, "baseline.json", "--even-failing")

    assert "8205" not in site.check().stdout + baseline.read_text(encoding="utf-8")


def test_a_reference_to_where_a_code_is_kept_is_shown(tmp_path: Path) -> None:
    """A text of any length may name a code without being one."""
    findings = audit_of(tmp_path, planned={"code_reference": "key safe 812"},
                        found={"code_reference": "key safe 815"})  # fmt: skip

    assert "key safe 815" in " ".join(one.model_dump_json() for one in findings)


def test_a_code_is_not_taken_at_typing_in_either() -> None:
    """Nor can it be kept as what the device shows."""
    refused = accept("PIN 8205", Setting(name="range_high", kind="decimal", step=0.1), ".")

    assert isinstance(refused, Refused)
    assert refused.kept is None
    assert refused.why.startswith("that may contain an access code")


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


def test_an_option_that_is_called_a_code_is_a_reading() -> None:
    """In the sheet, translated by a mapping, and when typed in; what is not an option may be a code."""
    lock = Setting(name="key_lock", kind="option", options=("Code 100", "Code 200", "off"))

    assert not noted_code("code 100", lock)
    assert noted_code("code 4711", lock)
    assert not isinstance(accept("Code 200", lock, "."), Refused)
    other = lock.model_copy(update={"options": ("Code 300",)})
    kinds = [DeviceType(asfound="device-type/1", name=name, title=name, device="node", settings=(one,))
             for name, one in (("a", lock), ("b", other))]  # fmt: skip
    texts = ["Code 100", "code 300", "PIN 555", "code 4711"]
    style = Style(translate=(("PIN 555", "off"),))
    column = RawColumn(texts, "A", "key_lock", style)
    table = Table("f.csv", "", [1, 2, 3, 4], {"key_lock": column})

    assert without_codes(table, vocabulary(kinds)).texts("key_lock") == [*texts[:3], HIDDEN]
