"""Using the form: who is reading, finding a device, progress, hostile text, no scripts."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import expect

from tests.browser.form_pages import Form, OpenForm, read_as_planned
from tests.reporting.forms import form_of
from tests.small_site import RADIO, SETTINGS, node, small_site


def test_the_readers_name_is_asked_for_before_anything_is_entered(open_form: OpenForm) -> None:
    """A device opens only once it is known who is reading, and the decimal mark is never guessed."""
    form = open_form()
    form.page.locator("#devices a").first.click()
    expect(form.page.locator("#who-wants")).to_have_text(
        "Say who is reading before you begin; the name goes with every entry."
    )

    form.page.get_by_label("Your name").fill("R. Sample")
    form.page.keyboard.press("Tab")
    expect(form.page.locator("#who-wants")).to_contain_text("Choose the decimal mark")
    expect(form.page.locator("#device")).to_be_hidden()

    form.page.get_by_role("button", name="8,5 comma").click()
    form.go("PT-33")


def test_a_form_without_decimals_asks_for_no_decimal_mark(open_form: OpenForm, tmp_path: Path) -> None:
    """If no setting has decimals, the form does not ask for a decimal mark."""
    site = small_site(tmp_path, settings=(*RADIO, SETTINGS[2]), defaults={})
    form = open_form(form_of(site.plan))

    assert form.page.locator("#mark").is_hidden()
    form.page.get_by_label("Your name").fill("R. Sample")
    form.go("N-1")


def test_devices_are_found_by_tag_serial_place_and_network(begun: Form) -> None:
    """All words of a search have to match, in capitals or small letters."""
    rows = begun.page.locator("#devices a")
    for words, tags in (
        ("410033", ["PT-33"]),
        ("ferry yard", ["PT-86", "FQ-88"]),
        ("at-89 KIOSK", ["AT-89"]),
    ):
        begun.page.locator("#search").fill(words)
        expect(rows.locator("b")).to_have_text(tags)
    begun.page.locator("#search").fill("")
    begun.page.locator("#network").select_option("Lower")
    expect(begun.page.locator("#found")).to_have_text("10 of 52 shown")


# Progress


def test_progress_is_shown_for_a_device_and_for_all(begun: Form) -> None:
    """What was left out counts as done, and is counted separately; differing values are shown in the list."""
    begun.go("PT-33").type("CH", "8")
    begun.press("RATE", "50")
    begun.field("NET ID").get_by_role("button", name="Leave out").click()
    begun.page.get_by_role("button", name="Leave it out").click()
    expect(begun.page.locator(".head .told")).to_have_text("3 of 17, 1 left out")

    begun.page.get_by_role("link", name="All devices").locator("visible=true").click()
    row = begun.page.locator("#devices a", has_text="PT-33")
    expect(row).to_contain_text("3 of 17, 1 left out")
    expect(row).to_contain_text("≠ 1 differs from the plan")
    expect(begun.page.locator("#progress-told")).to_have_text("0 of 52 devices read, 3 of 819 values")


def test_the_button_at_the_foot_goes_to_the_next_value_or_device(begun: Form) -> None:
    """The button goes to the next value to read or, once all are read, to the next device."""
    begun.go("FQ-88").type("Serial number", "430088")
    begun.page.get_by_role("button", name="Next to read: CH").click()
    expect(begun.field("CH").locator("input")).to_be_focused()
    read_as_planned(begun, "FQ-88", "430088")

    expect(begun.page.locator(".head .told")).to_have_text("✓ all 12")
    begun.page.get_by_role("button", name="All read. Next device: AT-89").click()
    expect(begun.page.locator("#device h1")).to_have_text("AT-89")


def test_what_has_to_be_read_elsewhere_is_named(open_form: OpenForm, tmp_path: Path) -> None:
    """Once everything asked for at the device is read, what must be read elsewhere is not forgotten."""
    antenna = {"name": "antenna", "kind": "text", "read_at": "document"}
    site = small_site(tmp_path, settings=[antenna], nodes=[node(1) | {"settings": {"antenna": "whip"}}],
                      defaults={})  # fmt: skip
    form = open_form(form_of(site.plan))
    form.page.get_by_label("Your name").fill("R. Sample")
    form.go("N-1").type("Serial number", "100001")

    expect(form.page.locator(".elsewhere")).to_have_text(
        "1 setting is not asked for here: antenna (in a document). A sheet or asfound enter asks for it."
    )
    expect(form.page.get_by_role("button", name="All read here. Next device: GW-1")).to_be_visible()


def test_a_key_held_too_long_enters_nothing(begun: Form) -> None:
    """When the focus moves to options, a repeated Enter presses none of them."""
    begun.go("PT-33").type("CH", "7")
    begun.page.keyboard.press("Enter")
    begun.page.keyboard.press("Enter")

    assert [one["setting"] for one in begun.entries()] == ["channel"]


# Without scripts, and with hostile text


def test_without_javascript_the_printable_sheet_is_named(open_form: OpenForm) -> None:
    """The page says that it needs scripts, and what to use instead."""
    form = open_form(javascript=False)

    expect(form.page.locator("noscript .trouble")).to_contain_text("asfound sheet PLAN")
    assert form.page.locator("#app").is_hidden()


def test_hostile_text_runs_nothing(open_form: OpenForm, tmp_path: Path) -> None:
    """Tags and places that are scripts are shown as text, also in the list and the flag."""
    tag = "</script><img src=x onerror=alert(1)>\u202e"
    site = small_site(tmp_path, nodes=[{**node(1), "tag": tag, "location": "<b>{{7*7}}</b>"}])
    form = open_form(form_of(site.plan)).begin()
    form.page.locator("#devices a").last.click()
    form.type("CH", "8")

    assert form.page.locator("img").count() == 0
    expect(form.page.locator("#device h1")).to_have_text("</script><img src=x onerror=alert(1)>\\u202e")
    assert form.entries()[0]["tag"] == tag
    assert form.wrong == []
