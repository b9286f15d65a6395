"""What the form keeps in the browser: after every value, apart from other forms, or with a warning."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.form_pages import (
    DEMO,
    FULL_BUT_FOR_THE_FORM,
    FULL_STORAGE,
    NO_STORAGE,
    Form,
    OpenForm,
    lines_of,
)
from tests.reporting.forms import form_of


def test_a_reopened_form_goes_on_where_it_was_closed(begun: Form) -> None:
    """Values, readings, reader and decimal mark are restored; the view is the same."""
    begun.go("PT-33").type("CH", "8")
    begun.press("ENC", "on")
    before = begun.entries()
    begun.reload()

    expect(begun.page.locator("#device h1")).to_have_text("PT-33")
    expect(begun.field("CH").locator("input")).to_have_value("8")
    expect(begun.field("CH").locator(".flag")).to_be_visible()
    expect(begun.field("ENC").get_by_role("button", name="on", exact=True)).to_have_attribute(
        "aria-pressed", "true"
    )
    assert begun.entries() == before
    assert before[0]["read_by"] == "R. Sample"


def test_forms_of_other_revisions_do_not_mix(begun: Form, open_form: OpenForm) -> None:
    """Another plan begins empty, says that entries of the first exist, and exports them unchanged."""
    begun.go("PT-33").type("CH", "8")
    other = open_form(form_of(DEMO, "Upper"), beside=begun).begin()
    assert other.entries() == []

    other.go("PT-33").type("CH", "7")
    other.page.goto(f"{other.address}#/export")
    expect(other.page.locator("#others li")).to_have_text(
        "Merrow Vale Water District (invented), revision C: 1 entryExport these"
    )
    with other.page.expect_download() as download:
        other.page.get_by_role("button", name="Export these").click()
    lines = lines_of(Path(download.value.path()))
    assert [json.loads(line)["value"] for line in lines] == ["8"]
    assert begun.reload().values("PT-33", "channel") == ["8"]


def test_two_tabs_of_one_form_lose_nothing(begun: Form, open_form: OpenForm) -> None:
    """Each tab adds to what the other has kept."""
    other = open_form(beside=begun)
    begun.go("PT-33").type("CH", "7")
    other.go("PT-33").type("ADDR", "33")
    begun.type("NET ID", "1A07")

    for form in (begun, other):
        assert {one["setting"] for one in form.reload().entries()} == {"channel", "address", "network_id"}


@pytest.mark.parametrize(
    ("script", "why"),
    [(NO_STORAGE, "its storage is not available"), (FULL_STORAGE, "storage is full or refuses")],
    ids=["no storage", "full storage"],
)
def test_entries_that_the_browser_does_not_keep_cause_a_warning_and_can_be_exported(
    open_form: OpenForm, tmp_path: Path, script: str, why: str
) -> None:
    """A warning appears before the first value, and after each; the entries can still be exported."""
    form = open_form(script=script).begin()
    expect(form.page.locator("#trouble")).to_contain_text(why)
    form.go("PT-33").type("CH", "8")
    expect(form.page.get_by_role("alert")).to_contain_text("1 entry not kept: export now.")

    with form.page.expect_download() as download:
        form.page.get_by_role("button", name="Export now").click()
    download.value.save_as(tmp_path / "saved.jsonl")
    assert [json.loads(line)["value"] for line in lines_of(tmp_path / "saved.jsonl")] == ["8"]
    expect(form.page.locator("#export-done")).to_contain_text("Check that the file is there")
    expect(form.page.get_by_role("alert")).to_contain_text("All of them were exported.")
    assert form.wrong == []


def test_full_storage_causes_a_warning_and_is_tried_again(begun: Form) -> None:
    """Once there is room again, unsaved entries are saved with the next value."""
    begun.page.evaluate("window.put = Storage.prototype.setItem; 0")
    begun.page.evaluate(f"{FULL_STORAGE} 0")
    begun.go("PT-33").type("CH", "7")
    expect(begun.page.get_by_role("alert")).to_contain_text("1 entry not kept")

    begun.page.evaluate("Storage.prototype.setItem = window.put; 0")
    begun.press("RATE", "50")
    expect(begun.page.locator("#trouble")).to_be_empty()
    assert [one["setting"] for one in begun.reload().entries()] == ["channel", "air_rate"]


def test_a_damaged_store_causes_a_warning_and_is_not_lost(begun: Form) -> None:
    """What cannot be read is set aside and shown under 'Copy as text', and new entries are kept."""
    begun.go("PT-33").type("CH", "7")
    begun.page.evaluate(
        """Object.keys(localStorage).filter(key => key.includes("PT-33"))
           .forEach(key => localStorage.setItem(key, "{half"))"""
    )
    begun.reload()
    expect(begun.page.get_by_role("alert")).to_contain_text("Part of what was kept is damaged")
    begun.type("CH", "8")
    begun.page.goto(f"{begun.address}#/export")

    assert "{half" in begun.page.locator("#text").input_value()
    assert begun.reload().values("PT-33", "channel") == ["8"]


def test_the_newest_reading_counts_though_the_clock_was_set_back(begun: Form) -> None:
    """The check goes by the time of a reading, so a later one never has an earlier time."""
    clock = begun.context.clock
    clock.install()
    clock.set_fixed_time("2026-03-31T12:00:00Z")
    field = begun.go("PT-33").type("CH", "8")
    clock.set_fixed_time("2026-03-31T11:00:00Z")
    field.get_by_role("button", name="Read again").click()
    begun.page.keyboard.type("7")
    begun.page.keyboard.press("Enter")

    assert [(one["value"], one["reading"]) for one in begun.entries()] == [("8", 1), ("7", 2)]
    first, second = (one["read_at"] for one in begun.entries())
    assert first < second


def test_entries_of_another_tab_are_in_the_text_to_copy(begun: Form, open_form: OpenForm) -> None:
    """The view of what there is to export follows what is entered elsewhere."""
    other = open_form(beside=begun).go("PT-33")
    begun.page.goto(f"{begun.address}#/export")
    expect(begun.page.get_by_role("button", name="Export file")).to_be_disabled()
    other.type("CH", "7")

    expect(begun.page.locator("#export-told")).to_have_text("1 entry, 1 not exported yet.")
    expect(begun.page.get_by_role("button", name="Export file")).to_be_enabled()
    assert "channel" in begun.page.locator("#text").input_value()


def test_what_one_tab_deletes_does_not_come_back_from_another(begun: Form, open_form: OpenForm) -> None:
    """A tab that has been open since yesterday does not add yesterday's entries to today's."""
    other = open_form(beside=begun)
    begun.go("PT-33").type("CH", "7")
    other.page.goto(f"{other.address}#/export")
    other.page.locator("#delete summary").click()
    other.page.get_by_role("button", name="Delete all entries").click()
    other.page.get_by_role("button", name="Delete without export").click()
    expect(begun.field("CH").locator("input")).to_have_value("")
    begun.type("ADDR", "33")

    for form in (begun, other):
        assert [one["setting"] for one in form.reload().entries()] == ["address"]


def test_the_name_shown_is_the_name_that_goes_with_the_entries(begun: Form, open_form: OpenForm) -> None:
    """If another tab changes the reader, the name is changed here too, and not while it is being typed."""
    other = open_form(beside=begun)
    name = begun.page.get_by_label("Your name")
    other.page.locator("#who summary").click()
    other.page.get_by_label("Your name").fill("I. Placeholder")
    other.page.get_by_label("Your name").press("Tab")
    expect(name).to_have_value("I. Placeholder")

    name.press_sequentially("R. Sam")
    other.go("PT-33").type("CH", "7")
    expect(begun.page.locator("#to-export")).to_have_text("Export (1 not exported)")
    expect(name).to_be_focused()


def test_entries_that_were_exported_and_not_kept_hide_no_later_ones(begun: Form) -> None:
    """Full storage refuses the larger records first: the form's own may still say how many were exported."""
    begun.go("PT-33").type("CH", "7")
    begun.page.evaluate(FULL_BUT_FOR_THE_FORM)
    begun.type("ADDR", "33")
    begun.page.get_by_role("button", name="Export now").click()
    expect(begun.page.locator("#export-told")).to_have_text("2 entries, all exported.")
    begun.page.goto(f"{begun.address}#/")
    begun.reload().go("PT-33").type("NET ID", "1A07")

    assert [one["setting"] for one in begun.entries()] == ["channel", "network_id"]
    begun.page.goto(f"{begun.address}#/export")
    expect(begun.page.locator("#export-told")).to_have_text("2 entries, 1 not exported yet.")
