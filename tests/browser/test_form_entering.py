"""Entering values: blind, with the right keyboard; differences are flagged, impossible values refused."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from audit.reading.identifiers import spelling
from tests.browser.form_pages import Form, OpenForm


def test_no_planned_value_is_shown_before_or_after_entry(begun: Form) -> None:
    """The page says that a value differs and names the likely slip; it never says what is planned."""
    begun.go("PT-33")
    before = begun.page.locator("#device").inner_text()
    assert "280" not in before
    assert "780" not in before

    flagged = begun.type("L", "28.0")
    expect(flagged.locator(".flag")).to_contain_text("Differs from the plan.")
    assert "280" not in begun.page.locator("#device").inner_text()


def test_a_differing_value_is_flagged_with_the_likely_slip(begun: Form) -> None:
    """The words are those of the ranking; a screen reader announces the flag as well."""
    field = begun.go("PT-33").type("CH", "8")

    expect(field.locator(".flag")).to_contain_text(
        "≠ Differs from the plan. Likely slip: one digit is one step off"
    )
    expect(field.locator(".state")).to_have_text("≠ differs")
    expect(field.locator("[aria-live]").filter(has_text="Differs")).to_be_visible()


def test_a_value_as_planned_is_only_recorded(begun: Form) -> None:
    """It is shown with its time, and the focus moves to the next field."""
    field = begun.go("PT-33").type("CH", "7")

    expect(field.locator(".state")).to_contain_text("✓")
    assert field.locator(".flag").count() == 0
    expect(begun.field("RATE")).to_be_focused()


def test_a_value_that_no_slip_explains_is_flagged_without_one(begun: Form) -> None:
    """The difference is flagged, without naming a slip."""
    field = begun.go("PT-33").type("ADDR", "200")

    expect(field.locator(".flag p")).to_have_text("≠ Differs from the plan. Please look again.")


def test_both_readings_are_kept(begun: Form) -> None:
    """A value read again is a new entry; the newest counts."""
    field = begun.go("PT-33").type("CH", "8")
    field.get_by_role("button", name="Read again").click()
    expect(field.locator("input")).to_be_focused()
    expect(field.locator("input")).to_have_value("")
    begun.page.keyboard.type("7")
    begun.page.keyboard.press("Enter")

    expect(field.locator(".state")).to_contain_text("✓")
    expect(field.locator(".readings")).to_contain_text("Kept: 8 (")
    entries = [one for one in begun.entries() if one["setting"] == "channel"]
    assert [(one["value"], one["reading"]) for one in entries] == [("8", 1), ("7", 2)]


def test_the_same_value_read_again_is_a_second_reading(begun: Form) -> None:
    """Looking again and seeing the same value makes two readings."""
    field = begun.go("PT-33").press("LOSS", "hold")
    field.get_by_role("button", name="Read again").click()
    begun.press("LOSS", "hold")

    assert begun.values("PT-33", "loss_action") == ["hold", "hold"]
    expect(field.locator(".flag")).to_contain_text("read more than once")


def test_leaving_a_field_keeps_its_value_once(begun: Form) -> None:
    """By Enter or by leaving the field, the value is entered, and never twice."""
    begun.go("PT-33").type("CH", "7", end="Tab")
    begun.type("CH", "7", end="Enter")

    assert begun.values("PT-33", "channel") == ["7"]


def test_emptying_a_field_withdraws_nothing(begun: Form) -> None:
    """What was read stays read; leaving a setting out is a separate step."""
    field = begun.go("PT-33").type("CH", "7")
    field.locator("input").fill("")
    field.locator("input").press("Tab")

    expect(field.locator("input")).to_have_value("7")
    expect(field.locator(".said")).to_contain_text("The reading stands.")


@pytest.mark.parametrize(
    ("label", "text", "message"),
    [
        ("CH", "99", "It cannot be set above 40."),
        ("INTV", "4", "It cannot be set below 5."),
        ("CH", "7.5", "It is shown as a whole number."),
        ("LRV", "0.5", "The display shows steps of 1."),
        ("ADDR", "0038", "The display shows 3 digits, and this has 4."),
        ("NET ID", "1A077", "The display shows 4 characters, and this has 5; leading zeros count."),
        ("NET ID", "1A", "The display shows 4 characters, and this has 2; leading zeros count."),
    ],
)
def test_what_the_device_cannot_show_is_kept_only_when_confirmed(
    begun: Form, label: str, text: str, message: str
) -> None:
    """The limit is shown at once; a display that does show the value is stronger evidence."""
    field = begun.go("PT-33").type(label, text)
    expect(field.locator(".wrong")).to_contain_text(f"Not kept. {message}")
    expect(field.locator("input")).to_have_attribute("aria-invalid", "true")
    assert begun.entries() == []

    field.get_by_role("button", name="The display does show this").click()
    assert [one["value"] for one in begun.entries()] == [text]


@pytest.mark.parametrize("text", ["seven", "1.2.3", "7-", "--", "not read"])
def test_what_is_not_a_number_is_not_kept(begun: Form, text: str) -> None:
    """It cannot be confirmed either; what was typed stays in the field."""
    field = begun.go("PT-33").type("CH", text)

    expect(field.locator(".wrong")).to_be_visible()
    assert field.get_by_role("button", name="The display does show this").count() == 0
    expect(field.locator("input")).to_have_value(text)
    assert begun.entries() == []


def test_what_was_not_kept_is_still_there_on_coming_back(begun: Form) -> None:
    """Moving to another device loses nothing that was typed."""
    begun.go("PT-33").type("CH", "seven", end="Tab")
    begun.go("PT-34").go("PT-33")

    expect(begun.field("CH").locator("input")).to_have_value("seven")
    expect(begun.field("CH").locator(".wrong")).to_be_visible()


def test_a_comma_is_a_decimal_mark_only_where_it_is_declared(open_form: OpenForm) -> None:
    """The other mark is named and refused; entries keep the comma as typed."""
    form = open_form().begin(mark=",")
    field = form.go("AT-89").type("L", "0.20")
    expect(field.locator(".wrong")).to_contain_text(
        "It has a point, but the decimal mark is declared as a comma"
    )

    form.type("L", "0,20")
    expect(field.locator(".state")).to_contain_text("✓")
    assert form.values("AT-89", "low_alarm") == ["0,20"]


def test_a_value_in_another_unit_is_kept_with_it(begun: Form) -> None:
    """The check converts it; the form compares only values in the setting's own unit."""
    field = begun.go("PT-33")
    field.field("URV").locator("select").select_option("bar")
    expect(begun.field("URV").locator("input")).to_be_focused()
    begun.page.keyboard.type("10")
    begun.page.keyboard.press("Enter")

    assert [(one["value"], one["unit"]) for one in begun.entries()] == [("10", "bar")]
    assert begun.field("URV").locator(".flag").count() == 0


def test_the_same_figure_in_another_unit_is_another_reading(begun: Form) -> None:
    """It is kept however the field is left: 0 kPa corrected to 0 bar."""
    field = begun.go("PT-33").type("LRV", "0", end="Tab")
    field.locator("select").select_option("bar")
    begun.page.keyboard.type("0")
    begun.page.keyboard.press("Tab")

    assert [(one["value"], one["unit"]) for one in begun.entries()] == [("0", ""), ("0", "bar")]


def test_the_sign_can_be_typed_without_a_minus_key(begun: Form) -> None:
    """The number keyboards of some phones have none; a setting that cannot be negative has no sign button."""
    begun.go("PT-33").field("LRV").get_by_role("button", name="Sign of LRV: plus or minus").click()
    begun.page.keyboard.type("5")
    begun.page.keyboard.press("Enter")

    assert begun.values("PT-33", "range_low") == ["-5"]
    assert begun.field("CH").get_by_role("button", name="Sign").count() == 0


def test_keyboards_fit_what_is_typed(begun: Form) -> None:
    """The keyboard has digits, digits with a decimal mark, or letters."""
    begun.go("PT-33")
    modes = {
        label: begun.field(label).locator("input").get_attribute("inputmode")
        for label in ("CH", "LRV", "NET ID")
    }

    assert modes == {"CH": "numeric", "LRV": "decimal", "NET ID": "text"}


def test_an_option_that_the_device_type_does_not_know_can_be_entered(begun: Form) -> None:
    """A display may show an option that the device type lacks."""
    field = begun.go("PT-33").field("UNIT")
    field.get_by_role("button", name="Shows something else").click()
    begun.page.keyboard.type("mbar")
    begun.page.keyboard.press("Enter")

    assert begun.values("PT-33", "unit") == ["mbar"]
    expect(field.locator(".flag")).to_be_visible()
    factory = begun.field("Factory code refused?")
    assert factory.get_by_role("button", name="Shows something else").count() == 0, (
        "there is no box into which a code would fit"
    )


@pytest.mark.parametrize(("shown", "state"), [("ALARM", "✓"), ("50 KBIT/S", "✓"), ("60", "≠")])
def test_an_option_in_another_spelling_is_that_option(begun: Form, shown: str, state: str) -> None:
    """Capitals and a unit make no difference to the check, and none to the form."""
    field = begun.go("PT-33").field("LOSS" if shown == "ALARM" else "RATE")
    field.get_by_role("button", name="Shows something else").click()
    field.get_by_label("What does the display show?").fill(shown)
    field.get_by_role("button", name="Keep it").click()

    expect(field.locator(".state")).to_contain_text(state)
    assert [one["value"] for one in begun.entries()] == [shown]


def test_a_setting_can_be_left_out_with_a_reason_and_read_later(begun: Form) -> None:
    """Leaving a setting out withdraws what was read; a later reading counts again."""
    field = begun.go("PT-33").type("CH", "7")
    field.get_by_role("button", name="Leave out").click()
    begun.page.keyboard.type("display dark")
    begun.page.keyboard.press("Enter")
    expect(field.locator(".state")).to_have_text("left out")
    expect(field.locator(".out")).to_contain_text("Left out: display dark")

    begun.type("CH", "7")
    told = [(one["value"], one.get("skipped")) for one in begun.entries()]
    assert told == [("7", None), ("", "display dark"), ("7", None)]


def test_a_wrong_serial_names_the_device_it_belongs_to(begun: Form) -> None:
    """A person at the wrong device learns this at the first field."""
    field = begun.go("PT-33").type("Serial number", "410034")

    expect(field.locator(".flag")).to_contain_text(
        "Not the serial number planned for this tag. It is the one planned for PT-34 in Upper."
    )


SPELT = ["PT-07", "pt 7", "PT101-007", "3-4", "34", "410033.0", "410033,00", "004100", "4021 1830 0101",
         "4021-1830-0101", "410 031", "2024-0007", "SN 4021 1830", "Å-01", "_7_", "1.5", "", "0"]  # fmt: skip
"""Tags and serial numbers in many spellings."""


def test_the_form_spells_identifiers_as_the_check_does(begun: Form) -> None:
    """What is one name for the check is one for the form, and nothing else."""
    assert begun.page.evaluate("texts => texts.map(spelling)", SPELT) == list(map(spelling, SPELT))


@pytest.mark.parametrize("typed", ["410033", "0410033", " 410033."])
def test_a_serial_number_in_another_spelling_is_the_same(begun: Form, typed: str) -> None:
    """What the check takes for the same device is not flagged as another."""
    field = begun.go("PT-33").type("Serial number", typed)

    expect(field.locator(".state")).to_contain_text("✓")


def test_what_is_shown_instead_of_an_option_takes_no_access_code(begun: Form) -> None:
    """A code beside the word for it is refused, as in a note."""
    field = begun.go("PT-33").field("RATE")
    field.get_by_role("button", name="Shows something else").click()
    field.get_by_label("What does the display show?").fill("code 4711")
    field.get_by_role("button", name="Keep it").click()

    expect(field.locator(".wrong")).to_contain_text("may contain an access code")
    assert begun.entries() == []


def test_no_note_and_no_reason_takes_an_access_code(begun: Form) -> None:
    """A word for a code together with a number is refused, and the text stays to be corrected."""
    begun.go("PT-33")
    field = begun.type("Note", "new code 8068 set")
    expect(field.locator(".wrong")).to_contain_text(
        "It may contain an access code, and codes are never saved."
    )
    assert field.get_by_role("button", name="The display does show this").count() == 0

    leaving = begun.field("CH")
    leaving.get_by_role("button", name="Leave out").click()
    begun.page.keyboard.type("pin 8068")
    begun.page.keyboard.press("Enter")
    expect(leaving.locator(".said")).to_contain_text("It may contain an access code")
    assert begun.entries() == []

    begun.type("Note", "new code set, 2 people present")
    assert begun.values("PT-33", "note") == ["new code set, 2 people present"]
