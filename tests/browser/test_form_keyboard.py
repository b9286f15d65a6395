"""The form for people who cannot see it, use no touch, or have enlarged it: WCAG 2.2."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, expect

from tests.browser.form_pages import FULL_STORAGE, Form, OpenForm

FOCUSED_IN = "field => field.contains(document.activeElement)"
DESCRIPTION = """e => e.getAttribute("aria-describedby").split(" ")
  .map(id => document.getElementById(id).innerText).join(" ")"""
COUNTED = """() => { const told = document.querySelector(".told");
  window.counted = [];
  new MutationObserver(() => window.counted.push(told.textContent)).observe(told, { childList: true }); }"""
STILL_THERE = """button => document.addEventListener("focusin",
  () => queueMicrotask(() => requestAnimationFrame(() => { window.still = button.isConnected; })))"""
"""Note at each move of the focus whether a button is still there at the end of the frame after it."""
HIDDEN = """() => { const e = document.activeElement, box = e.getBoundingClientRect();
  const parts = [0.05, 0.5, 0.95].flatMap(x => [0.05, 0.5, 0.95].map(y => [x, y]));
  return e !== document.body && !parts.some(([x, y]) => {
    const top = document.elementFromPoint(box.left + x * box.width, box.top + y * box.height);
    return top && (e.contains(top) || top.contains(e) && top !== document.documentElement); })
    ? e.id || e.textContent : ""; }"""
"""The element in focus, if all of it is behind something else or off the screen."""


def described(control: Locator) -> str:
    """Return what a screen reader says of a control in addition to its name."""
    return str(control.evaluate(DESCRIPTION))


def test_what_was_refused_is_said_with_the_field(begun: Form) -> None:
    """3.3.1 Error Identification: whoever comes back to the field hears why its text was not kept."""
    field = begun.go("PT-33").type("ADDR", "999")

    assert field.locator("input").get_attribute("aria-invalid") == "true"
    assert "Not kept. It cannot be set above 247." in described(field.locator("input"))


def test_messages_are_announced_without_the_name_of_a_bar(begun: Form) -> None:
    """4.1.3 Status Messages: of the role “status” a screen reader may say “status bar”, and no more."""
    field = begun.go("PT-33").type("ADDR", "999")

    expect(field.locator("[aria-live=polite]")).to_contain_text("Not kept.")
    assert begun.page.locator("#app").get_by_role("status").count() == 0


def test_the_count_is_announced_when_it_changes(begun: Form) -> None:
    """4.1.3: a value that was not kept is not followed by the count of those before."""
    begun.go("PT-33")
    begun.page.evaluate(COUNTED)
    begun.type("CH", "7")
    begun.type("ADDR", "999")

    assert begun.page.evaluate("window.counted") == ["1 of 17"]


def test_the_unit_is_said_before_a_value_is_typed(begun: Form) -> None:
    """1.3.1: it stands after the box; whoever cannot see it hears it before, also when it is changed."""
    field = begun.go("PT-33").field("URV")
    assert described(field.locator("input")).startswith("in kPa,")

    field.locator("select").select_option("psi")
    assert described(field.locator("input")).startswith("in psi,")


def test_a_field_is_a_group_and_its_heading_says_what_became_of_it(begun: Form) -> None:
    """1.3.1: from heading to heading one hears what was read; landmarks are few, to jump by."""
    begun.go("PT-33").type("CH", "7")
    begun.press("RATE", "9.6")

    for words in (r"CH channel\s*read \d\d:\d\d", r"RATE air rate\s*differs"):
        expect(begun.page.get_by_role("heading", name=re.compile(f"^{words}$"))).to_be_visible()
    assert begun.page.get_by_role("region").count() == 0


def test_what_is_wanted_is_said_with_the_name_and_the_mark(open_form: OpenForm) -> None:
    """3.3.1: sent back to say who is reading, a person hears so at the field that has the focus then."""
    form = open_form()
    form.page.goto(f"{form.address}#/3")

    expect(form.page.get_by_label("Your name")).to_be_focused()
    assert described(form.page.get_by_label("Your name")).startswith("Say who is reading")
    form.page.get_by_label("Your name").fill("R. Sample")
    form.page.keyboard.press("Tab")
    assert described(form.page.locator("#mark")).startswith("Choose the decimal mark")


def test_the_keyboard_stays_at_its_field(begun: Form) -> None:
    """2.4.3 Focus Order: what was pressed is gone when its field is drawn again, but the place is kept."""
    begun.go("PT-33")
    channel, rate = begun.field("CH"), begun.field("RATE")

    channel.get_by_role("button", name="Leave out").press("Enter")
    channel.get_by_role("button", name="Back").press("Enter")
    assert channel.evaluate(FOCUSED_IN)
    rate.get_by_role("button", name="Shows something else").press("Enter")
    begun.page.keyboard.type("77")
    begun.page.keyboard.press("Enter")
    expect(rate).to_contain_text("Differs from the plan")
    assert rate.evaluate(FOCUSED_IN)


@pytest.mark.parametrize("pressed", ["Leave out", "Read again"])
def test_what_was_pressed_stays_until_the_new_focus_was_told(begun: Form, pressed: str) -> None:
    """2.4.3 and 4.1.2: Orca says nothing of a new focus if what had it before has gone in the same frame."""
    button = begun.go("PT-33").type("CH", "8").get_by_role("button", name=pressed)

    button.evaluate(STILL_THERE)
    button.press("Enter")

    expect(button).to_have_count(0)
    assert begun.page.evaluate("window.still")


def test_a_doubtful_value_that_differs_keeps_the_keyboard_at_its_field(begun: Form) -> None:
    """2.4.3: the button that confirms it is gone; the next stop is what stands with the field."""
    field = begun.go("PT-33").type("LRV", "10.55")
    field.get_by_role("button", name="The display does show this").press("Enter")

    expect(field).to_contain_text("Differs from the plan")
    assert field.evaluate(FOCUSED_IN)


@pytest.mark.parametrize("size", ["phone", "small phone", "enlarged"])
def test_a_warning_hides_nothing_that_the_keyboard_reaches(open_form: OpenForm, size: str) -> None:
    """2.4.11 Focus Not Obscured (Minimum), on the way down and back up, with the storage full."""
    form = open_form(size=size, script=FULL_STORAGE).begin()
    form.page.goto(f"{form.address}#/3")
    form.type("ADDR", "33")
    expect(form.page.locator("#trouble")).to_contain_text("storage is full")
    form.page.locator("#device h1").focus()

    hidden = []
    for key in ["Tab"] * 40 + ["Shift+Tab"] * 40:
        form.page.keyboard.press(key)
        hidden.append(form.page.evaluate(HIDDEN))
    assert set(hidden) == {""}


def test_networks_are_headings_in_the_list(begun: Form) -> None:
    """1.3.1 Info and Relationships: a screen reader goes from network to network."""
    headings = begun.page.locator("#devices").get_by_role("heading", level=3)

    assert headings.all_text_contents() == ["Upper", "Middle", "Lower"]


def test_a_pressed_option_and_the_progress_show_in_a_persons_own_colours(begun: Form) -> None:
    """1.4.11 Non-text Contrast: contrast colours take grounds away, and with them what they say."""
    begun.page.emulate_media(forced_colors="active")
    begun.go("PT-33").press("ENC", "on")
    ground = "e => getComputedStyle(e).backgroundColor"
    on, off = (begun.field("ENC").get_by_role("button", name=name, exact=True) for name in ("on", "off"))

    assert on.evaluate(ground) != off.evaluate(ground)
    begun.page.get_by_role("link", name="All devices").locator("visible=true").click()
    progress = begun.page.locator("progress")
    little = progress.screenshot()
    progress.evaluate("bar => { bar.value = bar.max; }")
    assert progress.screenshot() != little
