"""The result as Markdown: verdict first, short enough for a job page, with nothing that becomes markup."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from audit.model.result import Finding, Result, Since
from audit.reporting.markdown_report import MOST_BYTES, escaped, render
from audit.run import Order, run
from tests.reporting.parts import DIGEST, WAIVED, finding
from tests.site_builder import result_of
from tests.the_examples import EXAMPLES, audit

READER = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])


def page(result: Result, *findings: Finding, **more: object) -> str:
    """Return the summary of a result with other findings."""
    return render(result.model_copy(update={"findings": list(findings), **more}))


def shown(markdown: str) -> str:
    """Return what a reader sees of one paragraph."""
    (inline,) = (token for token in READER.parse(markdown) if token.type == "inline")
    return "".join(child.content for child in inline.children or [])


def test_the_table_of_networks_adds_up(failed: Result) -> None:
    """Findings outside any network have a row of their own."""
    counts = failed.counts.model_copy(update={"notes": failed.counts.notes + 2})

    assert "| (none) |  | 0 | 0 | 0 | 0 | 0 | 0 | 0 | 2 | 0 |" in page(failed, counts=counts)
    assert "| (none) |" not in page(failed)


def test_the_verdict_comes_first(failed: Result) -> None:
    """The first line says pass or fail and of which site, the second on what terms."""
    assert render(failed).startswith(
        "# FAIL: Merrow Vale Water District (invented), plan revision C\n\n"
        "Quality gate before handover (handover): fails on errors.\n"
    )
    assert render(audit("merrow-vale", "as-left")).startswith("# PASS: ")


def test_counts_stand_in_tables(failed: Result) -> None:
    """Counts of the site and of each network are read as tables."""
    tables = [token for token in READER.parse(render(failed)) if token.type == "table_open"]

    assert len(tables) == 2
    assert "| 16 | 0 | 0 | 0 | 11 | 52 | 51 | 692 | 8 | 15 |" in render(failed)
    assert "| Middle | GW-M | 18 | 18 | 242 | 3 | 0 | 6 | 0 | 0 | 0 |" in render(failed)


def test_each_number_of_the_evidence_follows_its_heading(tmp_path: Path) -> None:
    """A line of the inventory reads without its table."""
    markdown = render(result_of(tmp_path, gate="annual", found={"firmware": "1.2"}))

    assert "\n- device type probe, devices 1, read 1, serial read 0, firmware as read 1.2 (1)\n" in markdown


def test_causes_are_a_numbered_list(failed: Result) -> None:
    """Each cause says where it was found and what to do; a shared remedy is given once."""
    text = page(failed, finding(1, dependents=["rule/3"]), finding(2), finding(3, caused_by="rule/1"))

    assert "1. **error** North N-1: message 1 (channel-differs)\n   - follow-on findings: 1" in text
    assert "2. **error** North N-2: message 2 (channel-differs)\n   - remedy: see cause 1" in text
    assert "- **error** North N-3: message 3 (channel-differs), under 1" in text


def test_a_finding_about_many_names_them(failed: Result) -> None:
    """A finding about a network names the devices that it concerns."""
    assert "   - devices: N-1, N-2\n" in page(failed, finding(1, node=None, others=["N-1", "N-2"]))


def test_what_is_waived_is_folded_away_with_its_reason(failed: Result) -> None:
    """Waived findings are not listed as causes, and can be unfolded."""
    text = page(failed, finding(1, waived=WAIVED))

    assert "## Causes" not in text
    assert "<details><summary>Waived findings: 1</summary>\n\n- **error** North N-1: message 1" in text
    assert "W-1 until 2026-06-30. the meter is replaced in June. Meanwhile: weekly reading by hand." in text
    assert " Owner: A. Example, approved by B. Sample." in text


def test_the_command_that_makes_it_again_is_whole() -> None:
    """Half a command would make nothing, so it is never cut, however long it is."""
    folder = EXAMPLES / "merrow-vale"
    order = Order(folder / "plan.yaml", [folder / "as-found"], gate="annual", run_on="2026-04-20")
    result = run(order)
    long = result.model_copy(update={"evidence": result.evidence and result.evidence.model_copy(
        update={"command": "asfound check plan.yaml " + "found.csv " * 50 + "--on 2026-04-20"})})  # fmt: skip

    assert "found.csv --on 2026-04-20\n" in render(long)


def test_what_changed_since_an_earlier_result_is_marked(failed: Result) -> None:
    """New findings say so, and those that are gone are listed."""
    since = Since(file="earlier.json", sha256=DIGEST, run_on="2025-04-20", absent=[finding(2)],
                  not_read_again=[finding(3)])  # fmt: skip
    text = page(failed, finding(1, since="new"), since=since)

    assert "Compared with the result of 2025-04-20." in text
    assert "1. **error, new** North N-1" in text
    assert "<summary>Findings of the earlier result that were not read again: 1</summary>" in text
    assert (
        "<summary>Findings of the earlier result that are gone: 1</summary>\n\n- **error** North N-2" in text
    )


def test_the_plan_alone_is_said_to_be_alone() -> None:
    """A check without a readback does not look like one of devices."""
    text = render(audit("tarnbeck"))

    assert "The plan alone was checked: no device was read back." in text
    assert "Quality gate" not in text


def test_inputs_and_cautions_stand_at_the_end(failed: Result) -> None:
    """Every file has its SHA-256, or the reason why there is none; cautions are not folded away."""
    withheld = failed.inputs[0].model_copy(update={"sha256": None, "note": "its digest is withheld"})
    in_part = failed.inputs[1].model_copy(update={"note": "4 rows left out"})
    text = page(failed, inputs=[withheld, in_part, *failed.inputs[2:]])

    assert all(file.sha256 in text for file in failed.inputs[1:] if file.sha256)
    assert ": its digest is withheld\n" in text
    assert f": {in_part.sha256}; 4 rows left out\n" in text
    assert text.index("</details>\n\n## Cautions") > text.rindex("<details>")


# Length


def test_a_long_page_is_cut_and_says_what_was_left_out(failed: Result) -> None:
    """Job pages cut long summaries anywhere; this one ends by itself and counts what is left out."""
    many = [finding(n, message=f"message {n} " + 200 * "x") for n in range(2000)]
    text = page(failed, *many)
    shown_causes = len(re.findall(r"^\d+\. \*\*error", text, re.MULTILINE))

    assert MOST_BYTES * 0.8 < len(text.encode()) <= MOST_BYTES
    assert f"… {2000 - shown_causes:,} more of the causes left out; the JSON result lists them." in text
    assert "## Cautions" in text


def test_the_longest_page_is_short_enough(failed: Result) -> None:
    """However long names and lists are, and in whatever script, the page keeps to its length."""
    name = "水" * 300
    findings = [finding(n, message=name, network=name, node=name, remedy=name) for n in range(300)]
    rest = [finding(n, message=name, caused_by="rule/1") for n in range(300, 600)]
    networks = [failed.networks[0].model_copy(update={"network": name, "gateway": name})] * 300
    inputs = [failed.inputs[0].model_copy(update={"file": name})] * 300
    text = page(failed, *findings, *rest, networks=networks, inputs=inputs, cautions=[name] * 300)

    assert len(text.encode()) <= MOST_BYTES
    for what in ("networks", "cautions"):
        assert re.search(rf"… [\d,]+ more of the {what} left out", text)


def test_long_texts_are_cut(failed: Result) -> None:
    """One value of many thousand characters does not fill the page."""
    assert len(page(failed, finding(1, message="x" * 50_000))) < len(render(failed)) + 1000


# What must not become markup

MARKUP = {
    "cell": "a|b",
    "code": "`rm` ``x``",
    "emphasis": "*a* _b_ ~~c~~",
    "link": "[a](http://example.invalid) ![b](c)",
    "address": "http://example.invalid www.example.invalid <b@example.invalid>",
    "HTML": "<script>alert(1)</script> <!-- x --> &lt;",
    "heading": "# a",
    "list": "- a",
    "other list": "+ a",
    "numbered list": "1. a",
    "other numbered list": "12345) a",
    "rule": "---",
    "underline": "===",
    "quotation": "> a",
    "backslash": "\\ \\| \\",
    "formula": "$x$",
    "code block": "    a",
    "fence": "~~~ a",
}


@pytest.mark.parametrize("text", list(MARKUP.values()), ids=list(MARKUP))
@pytest.mark.parametrize("around", ["{}", "- {}", "1. {}", "# {}"], ids=["text", "item", "number", "head"])
def test_text_is_shown_as_it_is(text: str, around: str) -> None:
    """No mark in a tag or value has any effect, wherever it is; blanks at its edges are removed."""
    assert shown(around.format(escaped(text))) == text.strip()


@pytest.mark.parametrize("text", list(MARKUP.values()), ids=list(MARKUP))
def test_text_stays_in_its_cell(text: str) -> None:
    """The same holds in a table."""
    tokens = READER.parse(f"| a | b |\n| --- | --- |\n| {escaped(text)} | x |")
    cells = [token.content for token in tokens if token.type == "inline"]

    assert len(cells) == 4
    assert shown(cells[2]) == text.strip()


def test_a_line_end_does_not_end_the_line() -> None:
    """A line end in a tag is written out, so that no new block begins."""
    assert shown(escaped("a\n\n# b")) == r"a\u000a\u000a# b"


@given(st.text(max_size=60))
def test_any_text_is_plain_text(text: str) -> None:
    """Whatever a file says, a reader of Markdown finds one paragraph of text, without any markup."""
    tokens: list[Token] = READER.parse(f"x {escaped(text)}")
    children = tokens[1].children or []

    assert [token.type for token in tokens] == ["paragraph_open", "inline", "paragraph_close"]
    assert {child.type for child in children} == {"text"}
