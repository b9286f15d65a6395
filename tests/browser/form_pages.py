"""The offline form on a phone or tablet without a network, used as a person would use it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Locator, Page, expect

from tests.reporting.forms import devices_of, form_of
from tests.the_examples import EXAMPLES

expect.set_options(timeout=30_000)  # slowness of a busy machine says nothing about the form
SCREENS = {"phone": (390, 844), "small phone": (360, 640), "tablet": (820, 1180), "enlarged": (320, 256)}
DEMO = EXAMPLES / "merrow-vale" / "plan.yaml"
NO_STORAGE = """Object.defineProperty(window, "localStorage", {
  get() { throw new DOMException("denied", "SecurityError"); } });"""
FULL_STORAGE = """Storage.prototype.setItem = function () {
  throw new DOMException("full", "QuotaExceededError"); };"""
FULL_BUT_FOR_THE_FORM = """() => { const set = Storage.prototype.setItem;
  Storage.prototype.setItem = function (key, text) {
    if (key !== formKey) throw new DOMException("full", "QuotaExceededError");
    set.call(this, key, text); }; }"""

OpenForm = Callable[..., "Form"]


@cache
def demo() -> str:
    """Return the form for the demo site."""
    return form_of(DEMO)


@dataclass
class Form:
    """An open form, and the errors on its page."""

    page: Page
    address: str
    wrong: list[str]

    @property
    def context(self) -> BrowserContext:
        """The browser's own store and settings."""
        return self.page.context

    def begin(self, reader: str = "R. Sample", mark: str = ".") -> Form:
        """Enter who is reading, and the decimal mark."""
        self.page.get_by_label("Your name").fill(reader)
        self.page.locator(f"button[data-mark='{mark}']").click()
        return self

    def go(self, tag: str) -> Form:
        """Search for a device and go to it."""
        if self.page.locator("#list").is_hidden():
            self.page.get_by_role("link", name="All devices").locator("visible=true").click()
        self.page.locator("#search").fill(tag)
        expect(self.page.locator("#found")).to_contain_text("shown")
        self.page.locator("#devices a", has_text=tag).first.click()
        expect(self.page.locator("#device h1")).to_have_text(tag)
        return self

    def field(self, label: str) -> Locator:
        """Return the field of a setting, by its label on the display."""
        heading = self.page.locator("h2 b", has_text=re.compile(rf"^{re.escape(label)}$"))
        return self.page.locator("#device section.field", has=heading)

    def type(self, label: str, text: str, end: str = "Enter") -> Locator:
        """Type a value into a field, key by key; return the field."""
        field = self.field(label)
        box = field.locator("input").first
        box.fill("")
        box.press_sequentially(text)
        box.press(end)
        return field

    def press(self, label: str, option: str) -> Locator:
        """Press an option of a field; return the field."""
        field = self.field(label)
        field.get_by_role("button", name=option, exact=True).click()
        return field

    def entries(self) -> list[dict[str, Any]]:
        """Return the entries as they would be exported now, without leaving the view."""
        lines = self.page.evaluate("ownLines()")
        return [json.loads(line) for line in lines.splitlines()]

    def values(self, tag: str, setting: str) -> list[str]:
        """Return the values entered for a setting of a device."""
        return [one["value"] for one in self.entries() if (one["tag"], one["setting"]) == (tag, setting)]

    def export(self, target: Path) -> Path:
        """Export the entries and save the file that the browser is given."""
        self.page.goto(f"{self.address}#/export")
        with self.page.expect_download() as download:
            self.page.get_by_role("button", name="Export file").click()
        assert download.value.suggested_filename.endswith(".jsonl")
        download.value.save_as(target)
        return target

    def reload(self) -> Form:
        """Close the page and open it again, as after a flat battery."""
        self.page.reload()
        return self


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
