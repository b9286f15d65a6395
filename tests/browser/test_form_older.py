"""The form in browsers of five years ago, and in the middle of being left."""

from __future__ import annotations

import json
from pathlib import Path

from playwright.sync_api import expect

from tests.browser.form_pages import FULL_STORAGE, Form, OpenForm, lines_of

OLDER = """delete Array.prototype.at; delete Array.prototype.findLast; delete Array.prototype.findLastIndex;
  delete HTMLDialogElement.prototype.showModal; delete HTMLDialogElement.prototype.close;"""
"""What Safari has since 15.4 (2022), Firefox since 90 to 104 (MDN browser-compat-data)."""
LEFT = """() => { Object.defineProperty(document, "hidden", { get: () => true });
  document.dispatchEvent(new Event("visibilitychange")); document.activeElement.blur(); }"""
"""Firefox leaves the input of a page that goes, and calls it changed, once the page is hidden."""


def test_a_value_that_differs_is_flagged_and_exported(open_form: OpenForm, tmp_path: Path) -> None:
    """Readings are counted since the setting was last left out."""
    form = open_form(script=OLDER).begin()
    field = form.go("PT-33").type("CH", "8")
    expect(field.locator(".flag")).to_contain_text("Please look again.")
    field.get_by_role("button", name="Leave out").click()
    form.page.keyboard.type("glass broken")
    form.page.keyboard.press("Enter")
    field.get_by_role("textbox").fill("9")
    field.get_by_role("textbox").press("Enter")
    expect(field.locator(".flag")).to_contain_text("Please look again.")

    lines = lines_of(form.export(tmp_path / "entries.jsonl"))
    assert [json.loads(line)["value"] for line in lines] == ["8", "", "9"]
    assert form.wrong == []


def test_deleting_is_asked_by_the_browser(open_form: OpenForm) -> None:
    """Nothing of the form's own question is on the page, where one press would delete all."""
    form = open_form(script=OLDER).begin()
    form.go("PT-33").type("CH", "7")
    form.page.goto(f"{form.address}#/export")
    expect(form.page.locator("#really-delete")).to_be_hidden()
    form.page.locator("#delete summary").click()
    answers = iter(["dismiss", "accept"])
    form.page.on("dialog", lambda dialog: getattr(dialog, next(answers))())

    ask = form.page.get_by_role("button", name="Delete all entries")
    ask.click()
    assert form.values("PT-33", "channel") == ["7"]
    ask.click()
    assert form.reload().entries() == []
    assert form.wrong[0].endswith("1 of them was not exported. Delete them?")


def test_what_is_half_typed_when_the_page_goes_is_no_reading(begun: Form) -> None:
    """The page says so if it comes back after all; finished, it is a reading."""
    field = begun.go("PT-33").field("URV")
    field.locator("input").press_sequentially("14")
    begun.page.evaluate(LEFT)

    assert begun.entries() == []
    expect(field.locator(".said")).to_contain_text("Not kept yet")
    expect(begun.page.locator("#device .bar button")).to_have_text("Not kept: URV")
    expect(begun.reload().field("URV").locator("input")).to_have_value("14")
    begun.type("URV", "145")
    assert begun.values("PT-33", "range_high") == ["145"]


def test_the_browser_asks_before_entries_are_lost_that_it_does_not_keep(open_form: OpenForm) -> None:
    """A form with nothing to lose closes without a question."""
    form = open_form(script=FULL_STORAGE).begin()
    form.go("PT-33").type("CH", "8")
    with form.page.expect_event("dialog") as asked:
        form.page.close(run_before_unload=True)

    assert asked.value.type == "beforeunload"
    asked.value.accept()
