"""Exporting from the form: a file that the check reads, sharing, copying; and deleting."""

from __future__ import annotations

import json
from pathlib import Path

from playwright.sync_api import expect

from tests.browser.form_pages import DEMO, Form, OpenForm, read_as_planned
from tests.reporting.forms import devices_of, form_of
from tests.small_site import node, small_site
from tests.small_site import run as asfound


def test_the_exported_file_is_checked_like_any_readback(open_form: OpenForm, tmp_path: Path) -> None:
    """A device read as planned except for one value: the check finds that one, with its line as evidence."""
    site = small_site(tmp_path, nodes=[node(1)])
    form = open_form(form_of(site.plan)).begin()
    form.go("GW-1").type("Serial number", "900001")
    form.type("CH", "7")
    form.type("NET ID", "A7")
    form.go("N-1").type("Serial number", "100001")
    for label, value in (
        ("CH", "8"),
        ("NET ID", "A7"),
        ("ADDR", "11"),
        ("LRV", "0.0"),
        ("URV", "1000"),
        ("H", "780.0"),
    ):
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
    """Entries keep the comma; the check reads it as the decimal mark, since it can be nothing else."""
    site = small_site(tmp_path, nodes=[node(1)])
    form = open_form(form_of(site.plan)).begin(mark=",")
    form.go("N-1").type("Serial number", "100001")
    for label, value in (
        ("CH", "7"),
        ("NET ID", "A7"),
        ("ADDR", "11"),
        ("LRV", "0,0"),
        ("URV", "1000,0"),
        ("H", "780,0"),
    ):
        form.type(label, value)
    form.export(tmp_path / "entries.jsonl")

    asfound("check", site.plan, tmp_path / "entries.jsonl", "--out", tmp_path / "result.json")
    counts = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))["counts"]
    assert (counts["verified"], counts["differing"]) == (6, 0)


def test_an_entry_has_exactly_the_keys_of_the_format(begun: Form) -> None:
    """The check can read it without anything else."""
    begun.go("PT-33").type("Serial number", "410033")
    entry = begun.entries()[0]

    assert {key: entry[key] for key in entry if key != "read_at"} == {
        "asfound": "entry/1", "site": "Merrow Vale Water District (invented)", "plan_revision": "C",
        "network": "Upper", "tag": "PT-33", "setting": "serial", "value": "410033", "unit": "",
        "read_by": "R. Sample", "read_how": "on the label", "reading": 1,
    }  # fmt: skip
    assert begun.page.evaluate(f"Math.abs(Date.parse({json.dumps(entry['read_at'])}) - Date.now()) < 60000")


def test_what_was_not_exported_is_counted(begun: Form, tmp_path: Path) -> None:
    """The count starts again with each export, and is kept."""
    begun.go("PT-33").type("CH", "7")
    begun.export(tmp_path / "one.jsonl")
    expect(begun.page.locator("#export-told")).to_have_text("1 entry, all exported.")

    begun.go("PT-33").type("ADDR", "33")
    begun.reload().page.goto(f"{begun.address}#/export")
    expect(begun.page.locator("#export-told")).to_have_text("2 entries, 1 not exported yet.")


def test_sharing_gives_the_browser_the_file(open_form: OpenForm) -> None:
    """If the browser shares files, the file is the exported one; if it does not, there is no button."""
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
    """Copying is the last resort, where neither a file nor sharing works."""
    begun.go("PT-33").type("CH", "7")
    begun.page.goto(f"{begun.address}#/export")
    begun.page.get_by_text("Copy as text").click()

    assert json.loads(begun.page.locator("#text").input_value())["value"] == "7"
    begun.page.get_by_role("button", name="Copy", exact=True).click()
    expect(begun.page.locator("#copied")).not_to_be_empty()


def test_deleting_offers_export_first_and_needs_a_second_press(begun: Form) -> None:
    """One press keeps the entries after all; deleting empties this form, and nothing else."""
    begun.go("PT-33").type("CH", "7")
    begun.page.goto(f"{begun.address}#/export")
    begun.page.get_by_text("Delete entries").click()
    ask = begun.page.get_by_role("button", name="Delete all entries…")
    ask.click()
    expect(begun.page.locator("#sure-told")).to_contain_text(
        "1 entry of this form will be deleted. 1 of them was not exported."
    )
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


def test_each_type_of_a_network_of_the_demo_site_is_read_and_passes(begun: Form, tmp_path: Path) -> None:
    """A device of each type in the smallest network, field by field; the check finds them as planned."""
    of_type = {device["title"]: (tag, device["serial"])
               for tag, device in devices_of(begun.page.content()).items()
               if device["network"] == "Lower"}  # fmt: skip
    for tag, serial in of_type.values():
        read_as_planned(begun, tag, serial)
    begun.export(tmp_path / "entries.jsonl")

    outcome = asfound("check", DEMO, tmp_path / "entries.jsonl", "--out", tmp_path / "result.json")
    result = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))
    lower = next(one for one in result["networks"] if one["network"] == "Lower")
    assert (lower["devices_read"], lower["differing"]) == (len(of_type), 0), outcome.stdout
    assert lower["verified"] > 10 * len(of_type)
    assert begun.wrong == []
