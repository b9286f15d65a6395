"""What was typed and not kept: it stays where it was typed, with its unit, until it is given up."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import expect

from tests.browser.form_pages import Form, OpenForm, read_as_planned
from tests.reporting.forms import form_of
from tests.small_site import node, small_site


def with_comma(form: Form) -> Form:
    """Go to the list and declare the decimal comma."""
    form.page.get_by_role("link", name="All devices").locator("visible=true").click()
    form.page.locator("#who summary").click()
    form.page.locator("button[data-mark=',']").click()
    return form


def test_what_was_not_kept_comes_back_in_its_unit(begun: Form) -> None:
    """A number in psi with the wrong decimal mark is not taken for kPa once the mark is corrected."""
    begun.go("PT-33").field("URV").locator("select").select_option("psi")
    begun.page.keyboard.type("145,0")
    begun.page.keyboard.press("Enter")
    with_comma(begun).go("PT-33")

    expect(begun.field("URV").locator("select")).to_have_value("psi")
    assert [(one["value"], one["unit"]) for one in begun.entries()] == [("145,0", "psi")]


def test_what_was_not_kept_stays_with_its_device(open_form: OpenForm, tmp_path: Path) -> None:
    """Setting in_1 of device 11 is not taken for in_11 of device 1."""
    numbered = [{"name": name, "kind": "decimal", "step": 0.1} for name in ("in_1", "in_11")]
    site = small_site(tmp_path, settings=numbered, nodes=[node(n) | {"settings": {}} for n in range(1, 12)],
                      defaults={})  # fmt: skip
    form = open_form(form_of(site.plan)).begin()
    form.go("N-11").type("in 1", "1,5")
    with_comma(form)
    form.page.goto(f"{form.address}#/1")

    expect(form.page.locator("#device h1")).to_have_text("N-1")
    expect(form.field("in 11").locator("input")).to_have_value("")
    assert form.entries() == []


def test_what_was_not_kept_is_given_up_with_the_setting(begun: Form) -> None:
    """It comes back after a change of mind, and not once the setting is left out."""
    field = begun.go("PT-33").type("CH", "seven")
    field.get_by_role("button", name="Leave out").click()
    field.get_by_role("button", name="Back").click()
    expect(field.locator("input")).to_have_value("seven")
    expect(field.locator(".wrong")).to_be_visible()

    field.get_by_role("button", name="Leave out").click()
    field.get_by_role("button", name="Leave it out").click()
    begun.go("PT-34").go("PT-33")
    expect(begun.field("CH").locator(".state")).to_have_text("left out")
    expect(begun.field("CH").locator("input")).to_have_value("")


def test_what_was_not_kept_is_not_left_behind_unseen(begun: Form) -> None:
    """The button at the foot leads to it before the next device, and the list says that it is there."""
    read_as_planned(begun, "FQ-88", "430088")
    note = begun.field("Note").locator("input")
    note.press_sequentially("the code is 4711")
    begun.page.locator("#device .bar button").tap()
    expect(begun.page.locator("#device .bar button")).to_have_text("Not kept: Note")
    expect(begun.page.locator("#device h1")).to_have_text("FQ-88")
    expect(note).to_be_focused()

    begun.page.get_by_role("link", name="All devices").locator("visible=true").click()
    row = begun.page.locator("#devices a", has_text="FQ-88")
    expect(row).to_contain_text("1 text typed and not kept")
    begun.go("FQ-88")
    note.fill("")
    note.press("Tab")
    expect(begun.field("Note").locator(".wrong")).to_have_count(0)
    expect(begun.page.locator("#device .bar button")).to_contain_text("All read. Next device")


def test_what_is_half_typed_outlives_the_page(begun: Form) -> None:
    """A phone drops the page while another is looked at. The text waits to be finished, and is no reading."""
    begun.go("PT-33").field("URV").locator("select").select_option("psi")
    begun.page.keyboard.type("14")
    begun.reload()

    expect(begun.field("URV").locator("input")).to_have_value("14")
    expect(begun.field("URV").locator("select")).to_have_value("psi")
    expect(begun.field("URV").locator(".said")).to_contain_text("Not kept yet")
    expect(begun.page.locator("#device .bar button")).to_have_text("Not kept: URV")
    assert begun.entries() == []
    begun.page.locator("#device .bar button").tap()
    begun.page.keyboard.type("5")
    begun.page.keyboard.press("Enter")
    begun.reload()
    expect(begun.field("URV").locator(".said")).not_to_contain_text("Not kept")
    assert [(one["value"], one["unit"]) for one in begun.entries()] == [("145", "psi")]


def test_what_was_refused_outlives_the_page_unless_it_may_hold_a_code(begun: Form) -> None:
    """A number with the wrong mark is there again, with the reason; a text with a code is nowhere."""
    begun.go("PT-33").type("URV", "145,0")
    begun.type("Note", "the code is 4711")
    begun.reload()

    expect(begun.field("URV").locator("input")).to_have_value("145,0")
    expect(begun.field("URV").locator(".wrong")).to_be_visible()
    expect(begun.field("Note").locator("input")).to_have_value("")
    assert "4711" not in begun.page.evaluate("JSON.stringify({ ...localStorage, ...sessionStorage })")


def test_a_reason_half_typed_outlives_the_page(begun: Form) -> None:
    """The question is open again with what was typed; the reason is kept only once it is given."""
    begun.go("PT-33").field("CH").get_by_role("button", name="Leave out").click()
    begun.page.keyboard.type("glass")
    begun.reload()

    reason = begun.field("CH").get_by_label("Why is it left out?")
    expect(reason).to_have_value("glass")
    expect(begun.field("CH").locator(".ask")).to_contain_text("Not kept yet")
    assert begun.entries() == []
    begun.page.locator("#device .bar button").tap()
    expect(reason).to_be_focused()
    begun.page.keyboard.press("End")
    begun.page.keyboard.type(" broken")
    begun.page.keyboard.press("Enter")
    assert [one["skipped"] for one in begun.entries()] == ["glass broken"]
    begun.reload()
    expect(begun.field("CH").locator(".ask")).to_have_count(0)


def test_an_answer_half_typed_stays_with_its_question(begun: Form) -> None:
    """What else a display shows is no reason for leaving it out; another device can be seen to first."""
    field = begun.go("PT-33").field("RATE")
    field.get_by_role("button", name="Shows something else").click()
    begun.page.keyboard.type("19.2")
    begun.page.get_by_role("link", name="All devices").locator("visible=true").click()
    expect(begun.page.locator("#devices a", has_text="PT-33")).to_contain_text("1 text typed and not kept")
    begun.reload()
    begun.go("PT-33")

    expect(field.get_by_label("What does the display show?")).to_have_value("19.2")
    expect(begun.page.locator("#device .bar button")).to_have_text("Not kept: RATE")
    field.get_by_role("button", name="Back").click()
    expect(begun.page.locator("#device .bar button")).not_to_contain_text("Not kept")
    begun.go("PT-34").go("PT-33")
    expect(field.locator(".ask")).to_have_count(0)


def test_a_reason_that_may_hold_a_code_is_nowhere(begun: Form) -> None:
    """The question is not open again, and no store of the browser has the text."""
    begun.go("PT-33").field("CH").get_by_role("button", name="Leave out").click()
    begun.page.keyboard.type("the code is 4711")
    begun.reload()

    expect(begun.field("CH").locator(".ask")).to_have_count(0)
    assert "4711" not in begun.page.evaluate("JSON.stringify({ ...localStorage, ...sessionStorage })")


def test_leave_out_can_be_pressed_right_after_typing(begun: Form) -> None:
    """The press enters the value by leaving its input, and is still a press."""
    field = begun.go("PT-33").field("CH")
    field.locator("input").press_sequentially("7")
    field.get_by_role("button", name="Leave out").tap()

    expect(field.get_by_label("Why is it left out?")).to_be_focused()
    assert begun.values("PT-33", "channel") == ["7"]


def test_another_tab_does_not_touch_what_is_being_typed(begun: Form, open_form: OpenForm) -> None:
    """An entry of another tab is shown and counted; reasons and values in the making stay as they are."""
    other = open_form(beside=begun).go("PT-33")
    begun.go("PT-33").type("ADDR", "x")
    field = begun.field("CH")
    field.get_by_role("button", name="Leave out").click()
    begun.page.keyboard.type("glass")
    other.press("RATE", "50")
    expect(begun.field("RATE").locator(".state")).to_contain_text("✓")
    expect(begun.page.locator(".head .told")).to_have_text("1 of 17")

    begun.page.keyboard.type(" broken")
    begun.page.keyboard.press("Enter")
    assert [one.get("skipped") for one in begun.entries()] == [None, "glass broken"]
    expect(begun.field("ADDR").locator("input")).to_have_value("x")
    expect(begun.field("ADDR").locator(".wrong")).to_be_visible()
