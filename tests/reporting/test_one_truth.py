"""One truth in all forms: random sites with odd names, waivers and an earlier result, read back form by form.

Every finding stands in every form once, at the same level and under the same rule.
"""

from __future__ import annotations

import csv
import io
import json
import random
import re
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from junitparser import JUnitXml
from lxml import html as lxml_html
from markdown_it import MarkdownIt

from audit.model.result import Result
from audit.reporting import json_report, text_report
from audit.reporting.formats import FORMATS, by_name, render
from audit.run import run
from tests.random_sites import QUICK, sites
from tests.site_builder import SiteOf

Told = Counter[tuple[str, str]]
"""Level, or that it is waived, and rule → how many findings."""
ODD = ('"{}"', "a|{}", "={}", "<b>{}", "*{}*", "פת-{}", "{}/2", "`{}", "{}\\", "{}")
PRIORITIES = {"A": "error", "B": "warning", "C": "note", "waived": "waived"}


def made(site: dict[str, Any], chance: random.Random) -> Result:
    """Return the result of a site under odd names, with some findings waived and others new."""
    odd = {f"N{n}": name.format(f"N{n}") for n, name in enumerate(chance.sample(ODD, len(ODD)))}
    for side in ("planned", "found"):
        site[side] = site[side] and [row | {"tag": odd.get(row["tag"], row["tag"])} for row in site[side]]
    with tempfile.TemporaryDirectory() as folder:
        order = replace(SiteOf(**site).write(Path(folder)), run_on="2026-05-01", detail=True)
        first = run(order)
        waivers = [
            {"id": f"W-{n}", "rule": f.rule, "node": f.node, "value": f.found, "reason": "a | b\nc",
             "owner": "R. Sample", "approver": "I. Other", "issued": "2026-04-01", "expires": "2026-12-01",
             **({"setting": f.setting} if f.setting else {})}
            for n, f in enumerate(first.findings)
            if f.node and f.found and f.setting != "access_code" and chance.random() < 0.3
        ]  # fmt: skip
        since, excused = Path(folder, "earlier.json"), Path(folder, "waivers.yaml")
        then = json_report.render(run(replace(order, readback=order.readback[:1])))
        since.write_text(then, encoding="utf-8")
        excused.write_text(json.dumps({"asfound": "waivers/1", "waivers": waivers}), encoding="utf-8")
        return run(replace(order, since=since, waivers=[excused] if waivers else []))


def rule_in(text: str, result: Result) -> str:
    """Return the last rule that a text names."""
    ids = {rule.id for rule in result.rules}
    words: list[str] = re.findall("[a-z-]+", text)
    return [word for word in words if word in ids][-1]


def of_text(text: str, result: Result) -> Told:
    """Return what the tables of the networks say."""
    rows = re.findall(r"^  (\d+|under \d+|waived) +(error|warning|note) (.*)$", text, re.MULTILINE)
    return Counter((c if c == "waived" else level, rule_in(rest, result)) for c, level, rest in rows)


def of_csv(text: str, result: Result) -> Told:
    """Return what the rows of a punch list say; a workbook has the same (test_punch_list.py)."""
    _, *rows = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    return Counter((PRIORITIES[row[0]], rule_in(row[5].rpartition(")")[0], result)) for row in rows)


def of_sarif(text: str, result: Result) -> Told:
    """Return what a log says of this run; each of its results has a fingerprint of its own."""
    told = json.loads(text)["runs"][0]["results"]
    assert len({str(one["partialFingerprints"]) for one in told}) == len(told)
    now = [one for one in told if one["baselineState"] != "absent" and one.get("kind") != "open"]
    return Counter(("waived" if one["suppressions"] else one["level"], one["ruleId"]) for one in now)


def of_junit(text: str, result: Result) -> Told:
    """Return what the cases say; one of them fails if the run does."""
    suites = list(JUnitXml.fromstring(text.encode()))
    assert any(suite.failures for suite in suites) == (result.verdict == "fail")
    told: Told = Counter()
    for case in (case for suite in suites for case in suite):
        said = case.system_out or "".join(part.text or "" for part in case.result)
        for one in re.findall(r"^(?:error|warning|note): (?:.+\n?)+", said, re.MULTILINE):
            level = "waived" if "\nwaived by: " in one else one.partition(":")[0]
            told[level, case.name.split()[-1]] += 1
    return told


def of_markdown(text: str, result: Result) -> Told:
    """Return what the lists after the two tables say."""
    page = lxml_html.fromstring(MarkdownIt("commonmark", {"html": True}).enable("table").render(text))
    assert len(page.xpath("//table")) == 2
    told: Told = Counter()
    for item in page.xpath("//li[strong or p/strong]"):
        heading = item.xpath("string(ancestor::details/summary)")
        if not heading.startswith("Findings of the earlier"):
            level = item.xpath("string(.//strong)").partition(",")[0]
            headline = item.text_content().partition("\n")[0]
            told["waived" if heading.startswith("Waived") else level, rule_in(headline, result)] += 1
    return told


def of_html(text: str, result: Result) -> Told:
    """Return what the table of the page says."""
    rows = lxml_html.document_fromstring(text).xpath("//table[contains(@class, 'findings')]/tbody/tr")
    rule, waived = "substring(*[4]/span[starts-with(., 'rule ')], 6)", "data-waived"
    return Counter(
        ("waived" if waived in row.attrib else row.get("data-level"), row.xpath(rule)) for row in rows
    )


READERS: dict[str, Callable[[Any, Result], Told]] = {
    "text": of_text, "punch-csv": of_csv, "sarif": of_sarif, "junit": of_junit,
    "markdown": of_markdown, "html": of_html,
}  # fmt: skip


def test_every_form_is_read_back() -> None:
    """JSON is the result itself, and the workbook has the rows of the list (`test_golden.py`)."""
    unread = {form.name for form in FORMATS} - set(READERS)

    assert unread == {"json", "punch-xlsx"}, "say in READERS how it is read"


@settings(QUICK, max_examples=10)
@given(sites(), st.randoms(use_true_random=False))
def test_every_form_tells_the_same(site: dict[str, Any], chance: random.Random) -> None:
    """Level and rule of each finding, and the counts, are those of the result."""
    result = made(site, chance)
    truth = Counter(("waived" if f.waived else f.level, f.rule) for f in result.findings)
    for name, told in READERS.items():
        written = render(result, by_name(name)) if name != "text" else text_report.render(result, 10_000)
        assert told(written, result) == truth, name
