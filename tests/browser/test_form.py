"""The offline form in use: a device read, a slip caught, the browser closed, the file checked."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import expect

from audit.comparing import same
from audit.model.device import Setting
from audit.model.table import Style
from audit.reading.values import parse, plain
from tests.bench.fleet import make
from tests.browser.conftest import Opened
from tests.browser.form_pages import DEMO, FULL_STORAGE, NO_STORAGE, SCREENS, Form, OpenForm, demo
from tests.browser.test_screen import AXE, violations
from tests.reporting.forms import devices_of, form_of
from tests.small_site import RADIO, SETTINGS, node, small_site
from tests.small_site import run as asfound


@pytest.fixture
def begun(open_form: OpenForm) -> Form:
    """Return the demo site's form, with a reader and the decimal point."""
    return open_form().begin()


def read_as_planned(form: Form, tag: str, serial: str) -> None:
    """Enter what the plan says for every setting of a device of the demo site."""
    device = devices_of(form.page.content())[tag]
    form.go(tag).type("Serial number", serial)
    for setting in device["settings"]:
        label = "Factory code refused?" if setting.get("code") else setting["label"]
        value = device["expected"].get(setting["name"], {"default_refused": "yes"}.get(setting["name"]))
        if value is None:
            continue
        if setting["kind"] in ("option", "flag"):
            form.press(label, value)
        else:
            form.type(label, value)


def lines_of(file: Path) -> list[str]:
    """Return the lines of a file."""
    return file.read_text(encoding="utf-8").splitlines()


# Before the first value


def test_who_reads_is_asked_before_anything_is_entered(open_form: OpenForm) -> None:
    """A device opens only when it is known who reads, and the decimal mark is never guessed."""
    form = open_form()
    form.page.locator("#devices a").first.click()
    expect(form.page.locator("#who-wants")).to_have_text("Say who reads before you begin; it stands with every entry.")

    form.page.get_by_label("Your name").fill("R. Sample")
    form.page.keyboard.press("Tab")
    expect(form.page.locator("#who-wants")).to_contain_text("Choose the decimal mark")
    expect(form.page.locator("#device")).to_be_hidden()

    form.page.get_by_role("button", name="8,5 comma").click()
    form.go("PT-33")


def test_a_form_without_decimals_asks_for_no_decimal_mark(open_form: OpenForm, tmp_path: Path) -> None:
    """What does not matter is not asked."""
    site = small_site(tmp_path, settings=(*RADIO, SETTINGS[2]), defaults={})
    form = open_form(form_of(site.plan))

    assert form.page.locator("#mark").is_hidden()
    form.page.get_by_label("Your name").fill("R. Sample")
    form.go("N-1")


def test_devices_are_found_by_tag_serial_place_and_network(begun: Form) -> None:
    """All words have to be there, in any case."""
    rows = begun.page.locator("#devices a")
    for words, tags in (("410033", ["PT-33"]), ("ferry yard", ["PT-86", "FQ-88"]), ("at-89 KIOSK", ["AT-89"])):
        begun.page.locator("#search").fill(words)
        expect(rows.locator("b")).to_have_text(tags)
    begun.page.locator("#search").fill("")
    begun.page.locator("#network").select_option("Lower")
    expect(begun.page.locator("#found")).to_have_text("10 of 52 shown")


# Entering


def test_no_planned_value_is_shown_before_or_after_entry(begun: Form) -> None:
    """The page says that a value differs and what it looks like; it never says what is planned."""
    begun.go("PT-33")
    before = begun.page.locator("#device").inner_text()
    assert "280" not in before
    assert "780" not in before

    flagged = begun.type("L", "28.0")
    expect(flagged.locator(".flag")).to_contain_text("Differs from the plan.")
    assert "280" not in begun.page.locator("#device").inner_text()


def test_a_differing_value_is_flagged_with_the_likely_slip(begun: Form) -> None:
    """The words are those of the ranking; the flag is told to a screen reader as well."""
    field = begun.go("PT-33").type("CH", "8")

    expect(field.locator(".flag")).to_contain_text("≠ Differs from the plan. Likely slip: one digit is one step off")
    expect(field.locator(".state")).to_have_text("≠ differs")
    expect(field.get_by_role("status").filter(has_text="Differs")).to_be_visible()


def test_a_value_as_planned_is_only_taken_down(begun: Form) -> None:
    """It gets its time, and focus goes to the next field."""
    field = begun.go("PT-33").type("CH", "7")

    expect(field.locator(".state")).to_contain_text("✓")
    assert field.locator(".flag").count() == 0
    expect(begun.field("RATE")).to_be_focused()


def test_a_value_that_no_slip_explains_is_flagged_without_one(begun: Form) -> None:
    """A difference is a difference, also where nothing is known of it."""
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
    """Who looks again and sees the same has read it twice."""
    field = begun.go("PT-33").press("LOSS", "hold")
    field.get_by_role("button", name="Read again").click()
    begun.press("LOSS", "hold")

    assert begun.values("PT-33", "loss_action") == ["hold", "hold"]
    expect(field.locator(".flag")).to_contain_text("read more than once")


def test_leaving_a_field_keeps_its_value_once(begun: Form) -> None:
    """Enter, or going elsewhere: the value is entered, and never twice."""
    begun.go("PT-33").type("CH", "7", end="Tab")
    begun.type("CH", "7", end="Enter")

    assert begun.values("PT-33", "channel") == ["7"]


def test_emptying_a_field_takes_nothing_back(begun: Form) -> None:
    """What was read stays read; leaving out is a step of its own."""
    field = begun.go("PT-33").type("CH", "7")
    field.locator("input").fill("")
    field.locator("input").press("Tab")

    expect(field.locator("input")).to_have_value("7")
    expect(field.locator(".said")).to_contain_text("What was read stays.")


@pytest.mark.parametrize(
    ("label", "text", "message"),
    [
        ("CH", "99", "It can be set to 40 at the most."),
        ("INTV", "4", "It can be set to 5 at the least."),
        ("CH", "7.5", "It is shown as a whole number."),
        ("LRV", "0.5", "The display shows steps of 1."),
        ("ADDR", "0038", "The display has 3 places, and this has 4."),
        ("NET ID", "1A077", "The display has 4 places, and this has 5."),
    ],
)
def test_what_the_device_cannot_show_is_kept_only_when_confirmed(
    begun: Form, label: str, text: str, message: str
) -> None:
    """The limit is told at once; a display that does show it is the stronger witness."""
    field = begun.go("PT-33").type(label, text)
    expect(field.locator(".wrong")).to_contain_text(f"Not kept. {message}")
    expect(field.locator("input")).to_have_attribute("aria-invalid", "true")
    assert begun.entries() == []

    field.get_by_role("button", name="The display does show this").click()
    assert [one["value"] for one in begun.entries()] == [text]


@pytest.mark.parametrize("text", ["seven", "1.2.3", "7-", "--", "not read"])
def test_what_is_no_number_is_not_kept(begun: Form, text: str) -> None:
    """There is nothing to confirm; what was typed stays in the field."""
    field = begun.go("PT-33").type("CH", text)

    expect(field.locator(".wrong")).to_be_visible()
    assert field.get_by_role("button", name="The display does show this").count() == 0
    expect(field.locator("input")).to_have_value(text)
    assert begun.entries() == []


def test_what_was_not_kept_is_still_there_on_coming_back(begun: Form) -> None:
    """Going to another device loses nothing that was typed."""
    begun.go("PT-33").type("CH", "seven", end="Tab")
    begun.go("PT-34").go("PT-33")

    expect(begun.field("CH").locator("input")).to_have_value("seven")
    expect(begun.field("CH").locator(".wrong")).to_be_visible()


def test_a_comma_is_a_decimal_mark_only_where_it_is_declared(open_form: OpenForm) -> None:
    """The other mark is refused by name; entries keep the comma as typed."""
    form = open_form().begin(mark=",")
    field = form.go("AT-89").type("L", "0.20")
    expect(field.locator(".wrong")).to_contain_text("There is a point in it, and the decimal mark is declared as a comma")

    form.type("L", "0,20")
    expect(field.locator(".state")).to_contain_text("✓")
    assert form.values("AT-89", "low_alarm") == ["0,20"]


def test_a_value_in_another_unit_is_kept_with_it(begun: Form) -> None:
    """The check converts; the form compares only what the display shows in the setting's own unit."""
    field = begun.go("PT-33")
    field.field("URV").locator("select").select_option("bar")
    expect(begun.field("URV").locator("input")).to_be_focused()
    begun.page.keyboard.type("10")
    begun.page.keyboard.press("Enter")

    assert [(one["value"], one["unit"]) for one in begun.entries()] == [("10", "bar")]
    assert begun.field("URV").locator(".flag").count() == 0


def test_the_sign_can_be_typed_without_a_minus_key(begun: Form) -> None:
    """Number keyboards of some phones have none; a setting that cannot be negative has no such button."""
    begun.go("PT-33").field("LRV").get_by_role("button", name="Sign of LRV: plus or minus").click()
    begun.page.keyboard.type("5")
    begun.page.keyboard.press("Enter")

    assert begun.values("PT-33", "range_low") == ["-5"]
    assert begun.field("CH").get_by_role("button", name="Sign").count() == 0


def test_keyboards_fit_what_is_typed(begun: Form) -> None:
    """Digits, digits with a decimal mark, letters."""
    begun.go("PT-33")
    modes = {label: begun.field(label).locator("input").get_attribute("inputmode") for label in ("CH", "LRV", "NET ID")}

    assert modes == {"CH": "numeric", "LRV": "decimal", "NET ID": "text"}


def test_an_option_that_the_type_does_not_know_can_be_told(begun: Form) -> None:
    """A display may show what the device type left out."""
    field = begun.go("PT-33").field("UNIT")
    field.get_by_role("button", name="Shows something else").click()
    begun.page.keyboard.type("mbar")
    begun.page.keyboard.press("Enter")

    assert begun.values("PT-33", "unit") == ["mbar"]
    expect(field.locator(".flag")).to_be_visible()
    factory = begun.field("Factory code refused?")
    assert factory.get_by_role("button", name="Shows something else").count() == 0, "no box into which a code fits"


def test_a_setting_can_be_left_out_with_a_reason_and_read_later(begun: Form) -> None:
    """Leaving out withdraws what was read; a later reading counts again."""
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
    """Who stands before another device learns it at the first field."""
    field = begun.go("PT-33").type("Serial number", "410034")

    expect(field.locator(".flag")).to_contain_text("Not the serial number planned for this tag. It is the one planned for PT-34 in Upper.")


# Progress


def test_progress_is_told_for_a_device_and_for_all(begun: Form) -> None:
    """What was left out is done, and counted apart; differing values are told in the list."""
    begun.go("PT-33").type("CH", "8")
    begun.press("RATE", "50")
    begun.field("NET ID").get_by_role("button", name="Leave out").click()
    begun.page.get_by_role("button", name="Leave it out").click()
    expect(begun.page.locator(".head p")).to_have_text("3 of 17, 1 left out")

    begun.page.get_by_role("link", name="All devices").locator("visible=true").click()
    row = begun.page.locator("#devices a", has_text="PT-33")
    expect(row).to_contain_text("3 of 17, 1 left out")
    expect(row).to_contain_text("≠ 1 differs from the plan")
    expect(begun.page.locator("#progress-told")).to_have_text("0 of 52 devices read, 3 of 819 values")


def test_the_button_at_the_foot_goes_to_what_is_next(begun: Form) -> None:
    """The next value to read; when all are read, the next device."""
    begun.go("FQ-88").type("Serial number", "430088")
    begun.page.get_by_role("button", name="Next to read: CH").click()
    expect(begun.field("CH").locator("input")).to_be_focused()
    read_as_planned(begun, "FQ-88", "430088")

    expect(begun.page.locator(".head p")).to_have_text("12 of 12")
    begun.page.get_by_role("button", name="All read. Next device: AT-89").click()
    expect(begun.page.locator("#device h1")).to_have_text("AT-89")


def test_nothing_is_entered_by_a_key_held_too_long(begun: Form) -> None:
    """When focus goes on to options, a second Enter presses none of them."""
    begun.go("PT-33").type("CH", "7")
    begun.page.keyboard.press("Enter")
    begun.page.keyboard.press("Enter")

    assert [one["setting"] for one in begun.entries()] == ["channel"]


# What is kept


def test_reopening_goes_on_where_one_was(begun: Form) -> None:
    """Values, readings, reader and decimal mark are there again; the view is the same."""
    begun.go("PT-33").type("CH", "8")
    begun.press("ENC", "on")
    before = begun.entries()
    begun.reload()

    expect(begun.page.locator("#device h1")).to_have_text("PT-33")
    expect(begun.field("CH").locator("input")).to_have_value("8")
    expect(begun.field("CH").locator(".flag")).to_be_visible()
    expect(begun.field("ENC").get_by_role("button", name="on", exact=True)).to_have_attribute("aria-pressed", "true")
    assert begun.entries() == before
    assert before[0]["read_by"] == "R. Sample"


def test_forms_of_other_revisions_do_not_mix(begun: Form, open_form: OpenForm) -> None:
    """Another plan begins empty, tells that entries of the first are there, and exports them as they are."""
    begun.go("PT-33").type("CH", "8")
    other = open_form(form_of(DEMO, "Upper"), beside=begun).begin()
    assert other.entries() == []

    other.go("PT-33").type("CH", "7")
    other.page.goto(f"{other.address}#/export")
    expect(other.page.locator("#others li")).to_have_text("Merrow Vale Water District (invented), revision C: 1 entryExport these")
    with other.page.expect_download() as download:
        other.page.get_by_role("button", name="Export these").click()
    lines = lines_of(Path(download.value.path()))
    assert [json.loads(line)["value"] for line in lines] == ["8"]
    assert begun.reload().values("PT-33", "channel") == ["8"]


def test_two_tabs_of_one_form_lose_nothing(begun: Form, open_form: OpenForm) -> None:
    """Each adds to what the other has kept."""
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
def test_what_the_browser_does_not_keep_is_told_and_can_be_exported(
    open_form: OpenForm, tmp_path: Path, script: str, why: str
) -> None:
    """The person is told before the first value, and after each; the entries can still be exported."""
    form = open_form(script=script).begin()
    expect(form.page.locator("#trouble")).to_contain_text(why)
    form.go("PT-33").type("CH", "8")
    expect(form.page.get_by_role("alert")).to_contain_text("1 entry not kept: export now.")

    with form.page.expect_download() as download:
        form.page.get_by_role("button", name="Export now").click()
    download.value.save_as(tmp_path / "saved.jsonl")
    assert [json.loads(line)["value"] for line in lines_of(tmp_path / "saved.jsonl")] == ["8"]
    assert form.wrong == []


def test_storage_that_fills_up_is_told_and_tried_again(begun: Form) -> None:
    """Once there is room again, what was not kept is kept with the next value."""
    begun.page.evaluate("window.put = Storage.prototype.setItem; 0")
    begun.page.evaluate(f"{FULL_STORAGE} 0")
    begun.go("PT-33").type("CH", "7")
    expect(begun.page.get_by_role("alert")).to_contain_text("1 entry not kept")

    begun.page.evaluate("Storage.prototype.setItem = window.put; 0")
    begun.press("RATE", "50")
    expect(begun.page.locator("#trouble")).to_be_empty()
    assert [one["setting"] for one in begun.reload().entries()] == ["channel", "air_rate"]


def test_a_damaged_store_is_told_and_not_lost(begun: Form) -> None:
    """What cannot be read is put aside, shown under 'Copy as text', and new entries are kept."""
    begun.go("PT-33").type("CH", "7")
    begun.page.evaluate(
        "Object.keys(localStorage).filter(key => key.includes('PT-33')).forEach(key => localStorage.setItem(key, '{half'))"
    )
    begun.reload()
    expect(begun.page.get_by_role("alert")).to_contain_text("Part of what was kept is damaged")
    begun.type("CH", "8")
    begun.page.goto(f"{begun.address}#/export")

    assert "{half" in begun.page.locator("#text").input_value()
    assert begun.reload().values("PT-33", "channel") == ["8"]


# Export


def test_the_exported_file_is_checked_like_any_readback(open_form: OpenForm, tmp_path: Path) -> None:
    """A device read as planned, but for one value: the check finds that one, with its line as evidence."""
    site = small_site(tmp_path, nodes=[node(1)])
    form = open_form(form_of(site.plan)).begin()
    form.go("GW-1").type("Serial number", "900001")
    form.type("CH", "7")
    form.type("NET ID", "A7")
    form.go("N-1").type("Serial number", "100001")
    for label, value in (("CH", "8"), ("NET ID", "A7"), ("ADDR", "11"), ("LRV", "0.0"), ("URV", "1000"), ("H", "780.0")):
        form.type(label, value)
    form.field("CH").get_by_role("button", name="Read again").click()
    form.type("CH", "9")
    form.export(tmp_path / "entries.jsonl")

    outcome = asfound("check", site.plan, tmp_path / "entries.jsonl", "--out", tmp_path / "result.json")
    assert outcome.code == 1, outcome.written
    result = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))
    assert {one["rule"] for one in result["findings"] if one["level"] == "error"} == {"channel-differs"}
    assert result["counts"]["differing"] == 1
    assert "'9'" in outcome.stdout
    assert form.wrong == []


def test_a_form_with_a_decimal_comma_is_checked_all_the_same(open_form: OpenForm, tmp_path: Path) -> None:
    """Entries keep the comma; the check reads it as the decimal mark it can only be."""
    site = small_site(tmp_path, nodes=[node(1)])
    form = open_form(form_of(site.plan)).begin(mark=",")
    form.go("N-1").type("Serial number", "100001")
    for label, value in (("CH", "7"), ("NET ID", "A7"), ("ADDR", "11"), ("LRV", "0,0"), ("URV", "1000,0"), ("H", "780,0")):
        form.type(label, value)
    form.export(tmp_path / "entries.jsonl")

    asfound("check", site.plan, tmp_path / "entries.jsonl", "--out", tmp_path / "result.json")
    counts = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))["counts"]
    assert (counts["verified"], counts["differing"]) == (6, 0)


def test_an_entry_says_all_that_the_reader_needs(begun: Form) -> None:
    """Its keys are those of the format, and no others."""
    begun.go("PT-33").type("Serial number", "410033")
    entry = begun.entries()[0]

    assert {key: entry[key] for key in entry if key != "read_at"} == {
        "asfound": "entry/1", "site": "Merrow Vale Water District (invented)", "plan_revision": "C",
        "network": "Upper", "tag": "PT-33", "setting": "serial", "value": "410033", "unit": "",
        "read_by": "R. Sample", "read_how": "on the label", "reading": 1,
    }  # fmt: skip
    assert begun.page.evaluate(f"Math.abs(Date.parse({json.dumps(entry['read_at'])}) - Date.now()) < 60000")


def test_what_was_not_exported_is_counted(begun: Form, tmp_path: Path) -> None:
    """The count begins anew with each export, and is kept."""
    begun.go("PT-33").type("CH", "7")
    begun.export(tmp_path / "one.jsonl")
    expect(begun.page.locator("#export-told")).to_have_text("1 entry, all exported.")

    begun.go("PT-33").type("ADDR", "33")
    begun.reload().page.goto(f"{begun.address}#/export")
    expect(begun.page.locator("#export-told")).to_have_text("2 entries, 1 not exported yet.")


def test_sharing_gives_the_browser_the_file(open_form: OpenForm) -> None:
    """Where the browser shares files, the file is the exported one; where it does not, there is no button."""
    catching = """navigator.canShare = () => true;
      navigator.share = async ({ files: [file] }) => { window.shared = [file.name, await file.text()]; };"""
    form = open_form(script=catching).begin()
    form.go("PT-33").type("CH", "7")
    form.page.goto(f"{form.address}#/export")
    form.page.get_by_role("button", name="Share file").click()
    expect(form.page.locator("#export-done")).to_contain_text("Shared as")

    name, text = form.page.evaluate("window.shared")
    assert name.endswith(".jsonl.txt")
    assert json.loads(text)["value"] == "7"
    expect(open_form(script="navigator.canShare = undefined").page.locator("#share")).to_be_hidden()


def test_entries_can_be_copied_as_text(begun: Form) -> None:
    """The last resort, where neither a file nor sharing works."""
    begun.go("PT-33").type("CH", "7")
    begun.page.goto(f"{begun.address}#/export")
    begun.page.get_by_text("Copy as text").click()

    assert json.loads(begun.page.locator("#text").input_value())["value"] == "7"
    begun.page.get_by_role("button", name="Copy", exact=True).click()
    expect(begun.page.locator("#copied")).not_to_be_empty()


def test_deleting_offers_export_first_and_needs_a_second_press(begun: Form) -> None:
    """Keeping them is one press; deleting empties this form, and nothing else."""
    begun.go("PT-33").type("CH", "7")
    begun.page.goto(f"{begun.address}#/export")
    begun.page.get_by_text("Delete entries").click()
    ask = begun.page.get_by_role("button", name="Delete all entries…")
    ask.click()
    expect(begun.page.locator("#sure-told")).to_contain_text("1 entry of this form will be gone. 1 of them was not exported.")
    begun.page.get_by_role("button", name="Keep them").click()
    assert begun.values("PT-33", "channel") == ["7"]

    ask.click()
    with begun.page.expect_download():
        begun.page.get_by_role("button", name="Export first").click()
    assert begun.values("PT-33", "channel") == ["7"]
    begun.page.evaluate("document.getElementById('delete').open = true")
    ask.click()
    begun.page.get_by_role("button", name="Delete", exact=True).click()
    assert begun.reload().entries() == []


# Without scripts, and with hostile text


def test_without_javascript_the_printable_sheet_is_named(open_form: OpenForm) -> None:
    """The page says what it needs, and what to use instead."""
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


def test_a_network_of_the_whole_demo_site_is_read_and_passes(begun: Form, tmp_path: Path) -> None:
    """All ten devices of the smallest network, field by field, offline; the check finds them as planned."""
    serials = {tag: device["serial"] for tag, device in devices_of(begun.page.content()).items()
               if device["network"] == "Lower"}  # fmt: skip
    for tag, serial in serials.items():
        read_as_planned(begun, tag, serial)
    begun.export(tmp_path / "entries.jsonl")

    outcome = asfound("check", DEMO, tmp_path / "entries.jsonl", "--out", tmp_path / "result.json")
    result = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))
    lower = next(one for one in result["networks"] if one["network"] == "Lower")
    assert (lower["devices_read"], lower["differing"]) == (10, 0), outcome.stdout
    assert begun.wrong == []




# How it looks and feels

each_size = pytest.mark.parametrize("size", list(SCREENS))
each_scheme = pytest.mark.parametrize("scheme", ["light", "dark"])


def views(form: Form) -> Iterator[str]:
    """Bring up every view in turn, with flags and messages on it, and yield its name."""
    yield "list, nothing said"
    form.begin()
    form.page.locator(".cautions summary").click()
    yield "list"
    form.go("PT-33").type("Serial number", "410034")
    form.type("CH", "8")
    form.press("ENC", "on")
    form.type("ADDR", "999", end="Tab")
    form.type("LRV", "0")
    yield "device"
    form.field("NET ID").get_by_role("button", name="Leave out").click()
    yield "device, asking why"
    form.page.goto(f"{form.address}#/export")
    form.page.locator("#as-text summary").click()
    form.page.locator("#delete summary").click()
    yield "export"
    form.page.get_by_role("button", name="Delete all entries…").click()
    yield "delete"


@each_scheme
@each_size
def test_every_view_is_accessible(open_form: OpenForm, size: str, scheme: str) -> None:
    """The checker finds no violation: names, roles, contrast, order of headings."""
    form = open_form(size=size, scheme=scheme)

    assert {view: violations(Opened(form.page)) for view in views(form)} == dict.fromkeys(VIEWS, [])


VIEWS = ("list, nothing said", "list", "device", "device, asking why", "export", "delete")
TOO_SMALL = """() => [...document.querySelectorAll("a, button, input, select, summary, textarea")]
  .filter(one => one.checkVisibility({ contentVisibilityAuto: false }))
  .map(one => [one, one.getBoundingClientRect()])
  .filter(([one, box]) => box.height < 44 || box.width < 44)
  .map(([one, box]) => `${one.tagName} ${one.id || one.textContent} ${box.width} x ${box.height}`)"""


@each_size
def test_everything_to_press_is_large_enough_for_gloves(open_form: OpenForm, size: str) -> None:
    """At least 44 pixels each way, on every view (WCAG 2.2, success criterion 2.5.5 Target Size (Enhanced))."""
    form = open_form(size=size)

    assert {view: form.page.evaluate(TOO_SMALL) for view in views(form)} == dict.fromkeys(VIEWS, [])


@each_size
def test_no_view_scrolls_sideways(open_form: OpenForm, size: str) -> None:
    """The page is as wide as the screen, however small."""
    form = open_form(size=size)
    fits = "document.documentElement.scrollWidth <= window.innerWidth"

    assert {view: form.page.evaluate(fits) for view in views(form)} == dict.fromkeys(VIEWS, True)


def test_no_view_asks_for_anything_or_complains(open_form: OpenForm) -> None:
    """No request but for the file, no error on the console, no dialog of the browser."""
    form = open_form()

    assert len(list(views(form))) == len(VIEWS)
    assert form.wrong == []


def test_an_injected_script_would_not_run(open_form: OpenForm) -> None:
    """Should some text ever get through as an element, the page's policy keeps it from running."""
    form = open_form(demo().replace("<main id", "<script>window.pwned = 1</script><main id", 1))

    assert form.page.evaluate("window.pwned === undefined")
    assert any("Content Security Policy" in wrong for wrong in form.wrong)


@each_scheme
def test_text_stands_out_in_sunlight(open_form: OpenForm, scheme: str) -> None:
    """Text has at least the contrast 7 to 1 (WCAG 2.2, success criterion 1.4.6 Contrast (Enhanced))."""
    form = open_form(scheme=scheme)
    run = "axe.run({ runOnly: ['color-contrast-enhanced'] }).then(found => found.violations.map(one => one.nodes.map(node => node.target)))"
    form.page.evaluate(AXE)

    assert {view: form.page.evaluate(run) for view in views(form)} == dict.fromkeys(VIEWS, [])


def test_a_form_for_a_thousand_nodes_is_usable_at_once(open_form: OpenForm, tmp_path: Path) -> None:
    """The list is searched, a device opens, a value is compared."""
    form = open_form(form_of(make(tmp_path, 1000, 50).folder / "plan.yaml")).begin()
    form.go("T-000777").press("encryption", "off")

    expect(form.field("encryption").locator(".flag")).to_be_visible()
    assert form.values("T-000777", "encryption") == ["off"]


# Numbers, against the reader of the exported file


def test_numbers_are_compared_as_the_check_compares_them(begun: Form) -> None:
    """For many texts, the form and the check agree on what is a number, and on what differs."""
    chance = random.Random(7)
    cases = [_case(chance) for _ in range(2000)]
    agree = """cases => cases.map(([text, planned, kind, step, mark]) => {
      const number = canonical(text, mark);
      return number === null ? null : sameNumber(number, planned, { kind, step });
    })"""
    found = begun.page.evaluate(agree, [list(case) for case in cases])
    expected = [_by_the_check(*case) for case in cases]

    assert [case for case, one, other in zip(cases, found, expected, strict=True) if one != other] == []
    assert {True, False, None} <= set(found)


def _case(chance: random.Random) -> tuple[str, str, str, str, str]:
    """Return a text, a planned number, the kind and step of the setting, and the declared decimal mark."""
    kind, step = chance.choice([("integer", ""), ("decimal", "0.1"), ("decimal", "0.05"), ("decimal", "5")])
    planned = Decimal(chance.randint(-300, 3000)) / (1 if kind == "integer" else chance.choice((1, 10, 100)))
    near = planned + chance.choice((0, 0, Decimal(step or 1), Decimal(step or 1) / 2, 1, -1))
    mark = chance.choice(".,")
    text = chance.choice((f"{near:f}", f"{near:+f}", f"{near:07.3f}", f"{near:.2f}", f"{near}x", f"{near} 1", ".5", "-", "5."))
    return text.replace(".", mark) if chance.random() < 0.9 else text, plain(planned), kind, step, mark


def _by_the_check(text: str, planned: str, kind: Literal["integer", "decimal"], step: str, mark: str) -> bool | None:
    setting = Setting(name="x", kind=kind, step=float(step) if step else None)
    value = parse(text, setting, Style(decimal=mark))
    if not value.read:
        whole = Setting(name="x", kind="decimal", step=1.0)
        return False if kind == "integer" and parse(text, whole, Style(decimal=mark)).read else None
    return same(value, parse(planned, setting, Style()), setting)
