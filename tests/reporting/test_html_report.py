"""The page: everything of the result in its order, nothing from elsewhere, whatever the files say."""

from __future__ import annotations

import base64
import hashlib
import os
import re
import shlex
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import html

from audit.model.result import Finding, Result, Since, Waived
from audit.model.used import InputFile, WaiverUsed
from audit.phrases import clean
from audit.reporting import json_report, pages
from audit.reporting.html_report import render
from audit.run import Order, run
from tests.cli.sites import with_a_warning
from tests.reporting.detailed import detailed, findings_of, gateway, result_with, with_text
from tests.reporting.heard import heard
from tests.small_site import run as cli
from tests.the_examples import EXAMPLES, audit

SECTIONS = [
    "verdict", "causes", "maps", "matrix", "strips", "findings", "inputs", "not-checked", "cautions",
    "signatures",
]  # fmt: skip
WAIVED = Waived(
    waiver="W-7", reason="spare on order", compensating_measure="checked weekly", owner="A. Sample",
    approver="B. Other", expires="2026-09-30",
)  # fmt: skip
HOSTILE = [
    "<script>window.pwned = 1</script>", '"><img src=x onerror="window.pwned = 1">', "</style></title>",
    "{{ 7 * 7 }}{% raw %}", "&lt;b&gt;&amp;", "\u202egnp.exe\u2066", "\x1b[31m\x00\x7f", "]]>-->", "'\"`=",
    "T" * 300, "שלום 水 🙂",
]  # fmt: skip


class Page:
    """A page, read by a parser of its own."""

    def __init__(self, result: Result) -> None:
        self.source = render(result)
        self.root = html.document_fromstring(self.source.encode())

    def text(self, path: str = "//body") -> str:
        """Return the text of the first element at a path, in one line."""
        return " ".join(self.root.xpath(path)[0].text_content().split())

    def texts(self, path: str) -> list[str]:
        """Return the texts of all elements at a path."""
        return [" ".join(part.text_content().split()) for part in self.root.xpath(path)]

    def section(self, name: str) -> str:
        """Return the text of a section."""
        return self.text(f"//section[@id='{name}']")


@pytest.fixture(scope="module")
def failed() -> Result:
    """Return the result of an example with faults, with its devices."""
    folder = EXAMPLES / "merrow-vale"
    return run(Order(folder / "plan.yaml", [folder / "as-found"], run_on="2026-04-20", detail=True))


@pytest.fixture(scope="module")
def page(failed: Result) -> Page:
    """Return its page."""
    return Page(failed)


# What stands where


def test_sections_stand_in_the_order_of_a_signatorys_questions(page: Page) -> None:
    """Verdict first, then causes, pictures, evidence, and the signatures last."""
    assert page.root.xpath("//main/section/@id") == SECTIONS


def test_the_verdict_is_the_first_heading_of_the_text(page: Page) -> None:
    """Pass or fail comes before anything else, with the counts below it."""
    assert page.text("//main//h2[1]") == "Verdict Fail"
    assert page.section("verdict").count("16 errors, 0 warnings and 0 notes, from 11 causes") == 1


def test_causes_are_numbered_and_findings_point_at_them(page: Page) -> None:
    """A cause and the findings under it carry the number from the list of causes."""
    causes = page.texts("//ol[@class='causes']/li")

    assert causes[3].startswith(
        "error Upper LT-38: address is 83, planned 38 "
        "likely slip: two neighbouring digits swapped (99 %) 1 follow-on finding:"
    )
    rows = [row for row in page.texts("//table[contains(@class, 'findings')]/tbody/tr") if "LT-38" in row]
    assert [row.split(" error")[0] for row in rows] == ["4", "under 4"]


def test_why_and_remedy_are_told_once_a_rule(page: Page, failed: Result) -> None:
    """The second cause of a rule refers to the first."""
    first = failed.findings[0]

    assert page.section("causes").count(first.remedy) == 1
    assert "Why and remedy: see cause 1 · rule default-code-accepted" in page.section("causes")


def test_every_finding_has_its_evidence(page: Page, failed: Result) -> None:
    """File, row, column and raw text, for each finding."""
    text = page.section("findings")

    for finding in failed.findings:
        assert finding.message in text
        for place in finding.evidence:
            assert f"{place.file}" in text
            assert repr(place.raw) in text


def test_inputs_stand_with_their_digests(page: Page, failed: Result) -> None:
    """Every file and every rule pack has its SHA-256."""
    text = page.section("inputs")

    assert all(file.file in text and (file.sha256 or "") in text for file in failed.inputs)
    assert all(pack.sha256 in text for pack in failed.packs)


def test_a_withheld_digest_says_why() -> None:
    """A file with access codes has no digest, and the page says so."""
    assert "it carries access codes" in Page(detailed(3)).section("inputs")


def test_what_was_not_checked_is_told_with_what_it_needs(page: Page, failed: Result) -> None:
    """Every rule that had nothing to check is named."""
    assert failed.not_checked
    assert all(idle.rule in page.section("not-checked") for idle in failed.not_checked)
    assert "alarm-disabled (alarm_enabled)" in page.section("not-checked")


def test_the_signature_block_has_four_roles_with_room_to_write(page: Page) -> None:
    """Configured, read back, verified, accepted: each with name, date and signature."""
    rows = page.root.xpath("//table[@class='sign']/tbody/tr")

    assert [row[0].text for row in rows] == ["Configured by", "Read back by", "Verified by", "Accepted by"]
    assert page.texts("//table[@class='sign']/thead//th") == ["role", "name", "date", "signature"]


def test_the_digest_is_that_of_the_json_result(page: Page, failed: Result) -> None:
    """Whoever has the JSON result can check that it is the one that was signed for."""
    written = json_report.render(failed.model_copy(update={"devices": None})).encode()

    assert hashlib.sha256(written).hexdigest() in page.section("signatures")


DIGEST = "//div[@class='digest']"
RECIPES = {
    "default": (), "every device": ("--detail",), "another level": ("--fail-on", "warning"),
    "audit": ("--gate", "annual"),
}  # fmt: skip


@pytest.mark.parametrize("arguments", RECIPES.values(), ids=RECIPES)
def test_the_command_on_the_page_makes_the_file_with_its_digest(
    tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    """Following the page to the letter gives the digest printed on it, whatever options were used."""
    site = with_a_warning(tmp_path)
    site.check("--quiet", "--out", tmp_path / "page.html", *arguments)
    root = html.fromstring((tmp_path / "page.html").read_bytes())
    digest, command = (code.text_content() for code in root.xpath(f"{DIGEST}//code")[:2])
    made = tmp_path / "result.json"
    *words, out = shlex.split(command)
    cli(*words[1:], made, "--quiet")

    assert (words[0], out) == ("asfound", "result.json")
    assert hashlib.sha256(made.read_bytes()).hexdigest() == digest


def test_the_page_says_that_a_run_adds_to_the_marks_of_codes(failed: Result) -> None:
    """The same command with the file of marks as it is now makes another result."""
    marked = failed.model_copy(
        update={"command": "asfound check p.yaml r --code-marks m.json --on 2026-04-20"}
    )

    assert "as it was before the run" in Page(marked).text(DIGEST)
    assert "as it was before the run" not in Page(failed).text(DIGEST)


def test_any_change_of_the_result_changes_the_digest(failed: Result) -> None:
    """A page of another result cannot be taken for the signed one."""
    other = failed.model_copy(update={"run_on": "2026-04-21"})

    assert Page(failed).text("//div[@class='digest']//code") != Page(other).text(
        "//div[@class='digest']//code"
    )


def test_a_pass_is_told_as_plainly() -> None:
    """A site without findings has its verdict, no causes, and the same signature block."""
    passed = Page(audit("merrow-vale", "as-left"))

    assert passed.text("//main//h2[1]") == "Verdict Pass"
    assert passed.section("causes") == "Causes None."
    assert "Accepted by" in passed.section("signatures")


def test_the_plan_alone_is_said_to_be_alone() -> None:
    """Without a readback the page says that nothing is confirmed."""
    page = Page(audit("merrow-vale"))

    assert "nothing was read back, so nothing is confirmed" in page.section("verdict")
    assert "gate" not in page.text("//p[@class='lead']")
    assert "Planned by" in page.section("signatures")
    assert "Read back by" not in page.section("signatures")


def test_a_file_without_a_digest_says_why(failed: Result) -> None:
    """A file that was passed over has no digest either, and nothing in it is withheld."""
    over = InputFile(file="notes.txt", kind="not read", sha256=None, note="no readback")
    page = Page(failed.model_copy(update={"inputs": [*failed.inputs, over]}))

    assert page.texts("//tr[th='notes.txt']/td") == ["not read", "no readback"]


def test_a_finding_about_the_site_as_a_whole_begins_with_what_it_says(failed: Result) -> None:
    """Without network and node, there is no colon before the message."""
    whole = failed.findings[0].model_copy(
        update={"network": None, "node": None, "message": "codes stand in it"}
    )
    since = Since(file="earlier.json", sha256="0" * 64, run_on="2025-04-20", absent=[whole])
    page = Page(failed.model_copy(update={"findings": [whole], "since": since}))

    assert "error codes stand in it" in page.section("causes")
    assert "error codes stand in it" in page.section("findings").partition("are gone")[2]


def test_without_details_the_drawings_say_what_they_need(failed: Result) -> None:
    """A result without its devices still makes a page."""
    bare = Page(failed.model_copy(update={"devices": None}))

    for name in ("maps", "matrix", "strips"):
        assert "needs every device with its settings" in bare.section(name)


@pytest.mark.parametrize("word", ["safe", "compliant"])
def test_no_page_promises(page: Page, word: str) -> None:
    """A page never calls anything safe or compliant."""
    assert not re.search(rf"\b{word}\b", page.text("//html"), re.IGNORECASE)


# Waivers and earlier results


def waived(result: Result) -> Result:
    """Return the result with its first finding waived."""
    first = result.findings[0].model_copy(update={"waived": WAIVED})
    used = WaiverUsed(
        id="W-7", rule=first.rule, node=first.node or "", setting=first.setting, value=first.found,
        reason=WAIVED.reason, compensating_measure=WAIVED.compensating_measure, owner=WAIVED.owner,
        approver=WAIVED.approver, issued="2026-01-10", expires=WAIVED.expires, state="in use",
    )  # fmt: skip
    lapsed = used.model_copy(update={"id": "W-8", "state": "lapsed"})
    return result.model_copy(
        update={"findings": [first, *result.findings[1:]], "waivers": [used, lapsed]},
    )


def test_the_map_tells_waived_and_partly_read_nodes_from_those_as_planned() -> None:
    """Nobody signs for a node as planned that differs under a waiver, or that was only partly read."""
    result = detailed(4, faulty=0, unread=0)
    states = ["as planned", "as planned", "waived", "partly read", "as planned"]
    devices = [
        device.model_copy(update={"state": state})
        for device, state in zip(result.devices or (), states, strict=True)
    ]
    page = Page(result.model_copy(update={"devices": devices}))

    title = page.text("//*[local-name()='title'][@id='map1t']")
    assert title.endswith("2 as planned, 0 differ, 0 not read, 1 partly read, 1 waived")
    assert f"(≠) waived (1): {devices[2].tag}." in page.section("maps")


def test_the_map_says_differs_only_where_a_setting_differs() -> None:
    """A node with some other finding has its own mark, since the table beside it counts no difference."""
    result = detailed(1, faulty=0, unread=0)
    devices = [one.model_copy(update={"state": "with a finding"}) for one in result.devices or ()]
    page = Page(result.model_copy(update={"devices": devices}))

    title = page.text("//*[local-name()='title'][@id='map1t']")
    assert title.endswith("0 as planned, 0 differ, 1 with a finding, 0 not read")
    assert f"× with a finding (1): {devices[1].tag}." in page.section("maps")


def test_waived_findings_are_listed_with_their_waiver(failed: Result) -> None:
    """A waived finding stays among the findings, with reason, measure, people and expiry date."""
    text = Page(waived(failed)).section("findings")

    assert (
        "Waived by W-7 until 2026-09-30: spare on order. Meanwhile: checked weekly. "
        "Owner A. Sample, approved by B. Other." in text
    )


def test_waived_causes_stand_apart_from_those_to_work_on(failed: Result) -> None:
    """The numbered list holds what is left to do; what is waived is listed after it."""
    made = Page(waived(failed))

    assert len(made.texts("//ol[@class='causes']/li")) == 10
    assert "Waived causes error Upper PT-34" in made.section("causes")


def test_all_waivers_are_listed_with_what_became_of_them(failed: Result) -> None:
    """A waiver that no longer excuses anything is shown."""
    states = Page(waived(failed)).texts("//table[@class='waivers']/tbody/tr/*[position() < 3]")

    assert states == ["W-7", "in use", "W-8", "lapsed"]


def test_changes_since_an_earlier_result_are_marked(failed: Result) -> None:
    """New findings are marked as new, and those that are gone are listed."""
    gone = failed.findings[1].model_copy(update={"message": "the old fault", "caused_by": None})
    new = failed.findings[0].model_copy(update={"since": "new"})
    unread = gone.model_copy(update={"message": "not looked at"})
    since = Since(file="earlier.json", sha256="ef" * 32, run_on="2025-04-20", absent=[gone],
                  not_read_again=[unread])  # fmt: skip
    made = Page(failed.model_copy(update={"findings": [new, *failed.findings[1:]], "since": since}))

    assert "new" in made.texts("//span[@class='since']")
    assert "that are gone error Upper PT-41: the old fault" in made.section("findings")
    assert "that were not read again error Upper PT-41: not looked at" in made.section("findings")
    assert "earlier.json" in made.section("inputs")


def test_the_table_of_networks_adds_up(failed: Result) -> None:
    """Findings outside any network have a row of their own."""
    counts = failed.counts.model_copy(update={"waived": failed.counts.waived + 1})

    assert "(none)000000001" in Page(failed.model_copy(update={"counts": counts})).section("verdict")


def test_findings_outside_any_network_have_their_table(failed: Result) -> None:
    """A finding about the site as a whole is not lost."""
    loose = failed.findings[0].model_copy(update={"network": None, "node": None, "message": "of the site"})
    made = Page(failed.model_copy(update={"findings": [loose]}))

    assert "Outside any network" in made.section("findings")
    assert "of the site" in made.section("findings")


# Size


def test_up_to_150_devices_every_row_is_shown(page: Page, failed: Result) -> None:
    """A small site's matrix is whole, and every node with alarms has its strip."""
    rows = [heard(row) for row in page.root.xpath("//table[@class='matrix']/tbody/tr/th")]

    assert [row.partition(",")[0] for row in rows] == [d.tag for d in failed.devices or ()]
    assert len(page.root.xpath("//li[@class='strip']")) == sum(
        any((one.role or "").startswith("alarm_") for one in device.settings)
        for device in failed.devices or ()
    )


def test_of_600_nodes_those_with_something_to_say_are_shown() -> None:
    """A large site's matrix and strips are short, and say how much they leave out."""
    made = Page(detailed(600, 10))

    assert len(made.root.xpath("//table[@class='matrix']/tbody/tr")) < 60
    assert "devices as planned throughout" in made.section("matrix")
    assert "strips left out" in made.section("strips")


def test_5000_nodes_stay_under_15_mb() -> None:
    """The page of a very large site can be mailed, even if half of its nodes have a fault."""
    assert len(render(detailed(5000, 84)).encode()) < 3_000_000
    assert len(render(detailed(5000, 20, faulty=0.5, positions=True)).encode()) < 15_000_000


# Nothing from elsewhere, nothing obeyed


def test_nothing_is_fetched(page: Page) -> None:
    """The page contains no address of another file, and its policy forbids fetching any."""
    assert not re.search(r"https?://|@import|url\(", page.source)
    assert page.root.xpath("//@src") == []
    policy = page.root.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")[0]
    assert policy.startswith("default-src 'none'; ")


@pytest.mark.parametrize("tag", ["script", "style"])
def test_the_policy_allows_only_our_script_and_style(page: Page, tag: str) -> None:
    """The page names the hash of its own script and style: a browser runs nothing else."""
    (text,) = page.root.xpath(f"//{tag}/text()")
    expected = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()

    assert f"{tag}-src 'sha256-{expected}'" in page.source


@pytest.mark.parametrize("text", HOSTILE, ids=ascii)
def test_hostile_text_is_shown_and_not_obeyed(text: str) -> None:
    """Whatever a file says anywhere, the page has the same elements and shows the text."""
    plain, made = detailed(8, 2, faulty=0.5), Page(with_text(detailed(8, 2, faulty=0.5), text))

    assert [part.tag for part in Page(plain).root.iter()] == [part.tag for part in made.root.iter()]
    assert " ".join(clean(text).split()) in made.text("//h1")
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069]", made.source)


@settings(max_examples=40)
@given(st.text(max_size=30).filter(lambda text: not re.search("[\ud800-\udfff]", text)))
def test_any_text_leaves_the_page_well_formed(text: str) -> None:
    """Every element that is opened is closed, in order, whatever the tags are."""
    Balance().feed(render(with_text(SMALL, text)))


SMALL = detailed(4, 2, faulty=0.5)
VOID = {"meta", "link", "input", "br", "img"}


class Balance(HTMLParser):
    """Checks that elements are closed in the order in which they were opened."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, _: list[tuple[str, str | None]]) -> None:
        """Note an element, unless it has no end tag."""
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, _: list[tuple[str, str | None]]) -> None:
        """Skip an element that closes itself."""

    def handle_endtag(self, tag: str) -> None:
        """Compare an end tag with the last start tag."""
        assert self.open.pop() == tag


# Colours


def colours(dark: bool) -> dict[str, tuple[float, float, float]]:
    """Return the colours of the style by name, as components from 0 to 1."""
    light_style, dark_style = pages.part("style.css").split("prefers-color-scheme: dark", 1)
    found = dict(re.findall(r"--([a-z-]+): #([0-9a-f]{6})", light_style))
    if dark:
        found |= dict(re.findall(r"--([a-z-]+): #([0-9a-f]{6})", dark_style))
    return {
        name: (int(code[:2], 16) / 255, int(code[2:4], 16) / 255, int(code[4:], 16) / 255)
        for name, code in found.items()
    }


def contrast(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    """Return the contrast of two colours.

    WCAG 2.2 (W3C, 2023), definitions of 'relative luminance' (read) and 'contrast ratio' (seen quoted).
    """

    def luminance(colour: tuple[float, float, float]) -> float:
        r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


PAIRS = [
    *((ink, "paper") for ink in ("ink", "soft", "bad", "warn", "unread", "good")),
    ("bad", "bad-tint"), ("unread", "unread-tint"), ("warn", "warn-tint"), ("ink", "warn-tint"),
    ("soft", "warn-tint"),
]  # fmt: skip


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize(("ink", "ground"), PAIRS, ids=str)
def test_texts_have_contrast(ink: str, ground: str, dark: bool) -> None:
    """Every text colour contrasts with its background by 4.5 to 1.

    WCAG 2.1 (W3C, 2018), success criterion 1.4.3, level AA (from memory, not verified).
    """
    found = colours(dark)

    assert contrast(found[ink], found[ground]) >= 4.5


# Sameness


def test_the_same_result_gives_the_same_bytes() -> None:
    """The page does not depend on the process that made it."""
    program = (
        "import hashlib; from audit.reporting.html_report import render; "
        "from tests.reporting.detailed import detailed; "
        "print(hashlib.sha256(render(detailed(60, 2, positions=True)).encode()).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", program], capture_output=True, text=True, check=True,
            cwd=EXAMPLES.parent, env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip

    assert len(digests) == 1


def test_dependents_beyond_twelve_are_counted() -> None:
    """A cause of forty findings names twelve, and says where the others are."""
    devices = detailed(40, faulty=1.0, unread=0).devices or []
    own = [finding for device in devices for finding in findings_of(device)]
    cause = own[0].model_copy(update={"dependents": [finding.id for finding in own[1:]]})
    under = [finding.model_copy(update={"caused_by": cause.id}) for finding in own[1:]]
    causes = Page(result_with(devices, [cause, *under])).section("causes")

    assert f"{len(under)} follow-on findings:" in causes
    assert f"and {len(under) - 12} more: see every finding" in causes


def test_other_devices_of_a_finding_are_named(failed: Result) -> None:
    """A finding about several devices lists them, unless its message does."""
    several: Finding = failed.findings[0].model_copy(update={"others": ["PT-1", "PT-2"]})

    assert "Devices: PT-1, PT-2" in Page(failed.model_copy(update={"findings": [several]})).section(
        "findings"
    )


def test_a_right_to_left_tag_is_set_apart_wherever_a_message_stands(failed: Result) -> None:
    """Under the causes and among the findings, so that the address after it is not drawn before it."""
    one: Finding = failed.findings[0].model_copy(
        update={"message": "GW-1 has the address of \u05de-3 (2)", "others": ["\u05de-3"]}
    )
    page = Page(failed.model_copy(update={"findings": [one]}))

    assert page.texts("//*[@class='say']/bdi") == ["\u05de-3", "\u05de-3"]


def test_a_right_to_left_tag_is_set_apart_in_what_is_said_of_a_slip(failed: Result) -> None:
    """The neighbour whose value was taken may have no finding of its own."""
    one: Finding = failed.findings[0].model_copy(
        update={"slip": "likely slip: the address planned for \u05de-3 (9 %)"}
    )
    neighbour = gateway("Middle", 1).model_copy(update={"tag": "\u05de-3"})
    page = Page(result_with([neighbour], [one]))

    assert page.texts("//p[@class='with']/bdi") == page.texts("//span[@class='more']/bdi") == ["\u05de-3"]
