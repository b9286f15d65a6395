"""The JUnit XML against a reader written by others, and against the form that CI systems read.

There is no standard. The elements and attributes below are those of `junit-10.xsd` (2014, MIT licence; read,
in the source package of pytest 8.3.4, testing/example_scripts/).
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import chain

import junitparser
import pytest
from junitparser import Failure, JUnitXml, Skipped
from lxml import etree

from audit.model.base import level_rank
from audit.model.result import Result
from audit.reporting.junit_report import render
from audit.run import Order, run
from tests.reporting.parts import with_all_there_is
from tests.the_examples import EXAMPLES, audit


def with_devices() -> Result:
    """Return the result of an example that lists its devices."""
    folder = EXAMPLES / "merrow-vale"
    return run(Order(folder / "plan.yaml", [folder / "as-found"], run_on="2026-04-20", detail=True))


RESULTS: dict[str, Callable[[], Result]] = {
    "devices listed": with_devices,
    "errors and warnings": lambda: audit("tarnbeck", "as-found"),
    "devices not listed": lambda: audit("merrow-vale", "as-found"),
    "as left": lambda: audit("tarnbeck", "as-left"),
    "plan alone": lambda: audit("tarnbeck"),
    "waivers and an earlier result": with_all_there_is,
}
everywhere = pytest.mark.parametrize("made", list(RESULTS.values()), ids=list(RESULTS))

ALLOWED = {
    "testsuites": ({"name", "time", "tests", "failures", "errors"}, {"testsuite"}),
    "testsuite": (
        {"name", "tests", "failures", "errors", "group", "time", "skipped", "timestamp", "hostname", "id",
         "package", "file", "log", "url", "version"},
        {"testsuite", "properties", "testcase", "system-out", "system-err"},
    ),
    "properties": (set(), {"property"}),
    "property": ({"name", "value"}, set()),
    "testcase": (
        {"name", "time", "classname", "group"},
        {"skipped", "error", "failure", "rerunFailure", "rerunError", "flakyFailure", "flakyError",
         "system-out", "system-err"},
    ),
    "failure": ({"type", "message"}, set()),
    "skipped": ({"type", "message"}, set()),
    "system-out": (set(), set()),
}  # fmt: skip
"""Element → attributes and elements that it may have."""
REQUIRED = {
    "testsuite": {"name", "tests", "failures", "errors"},
    "testcase": {"name"},
    "property": {"name", "value"},
}


def read(result: Result) -> list[junitparser.TestSuite]:
    """Return the suites as the other reader sees them."""
    return list(JUnitXml.fromstring(render(result).encode()))


@everywhere
def test_counts_agree_with_what_a_reader_counts(made: Callable[[], Result]) -> None:
    """The counts of each suite are those of its cases, and the counts at the top are their sums."""
    text = render(made()).encode()
    stated, counted = JUnitXml.fromstring(text), JUnitXml.fromstring(text)
    counted.update_statistics()  # type: ignore[no-untyped-call]

    for one, other in zip([stated, *stated], [counted, *counted], strict=True):
        assert (one.tests, one.failures, one.errors) == (other.tests, other.failures, other.errors)
    assert [one.skipped for one in stated] == [one.skipped for one in counted]


@everywhere
def test_what_the_gate_fails_on_are_failures_unless_waived(made: Callable[[], Result]) -> None:
    """A reader finds each as a failure of its rule, on its node, in the suite of its network."""
    result = made()
    failures = {
        (suite.name, case.name, part.type)
        for suite, case in cases(result)
        for part in case.result
        if isinstance(part, Failure)
    }

    assert failures == {
        (one.network or result.site.name, f"{one.node or ''} {one.rule}".strip(), one.rule)
        for one in result.findings
        if level_rank(one.level) <= level_rank(result.gate.fail_on) and not one.waived
    }


def cases(result: Result) -> list[tuple[junitparser.TestSuite, junitparser.TestCase]]:
    """Return the cases with their suites."""
    return [(suite, case) for suite in read(result) for case in suite]


def test_devices_are_counted_once() -> None:
    """Each of 52 devices has a case: one or more if it has findings, or else one that passes."""
    result = with_devices()
    passed = {case.name.removesuffix(" as planned") for _, case in cases(result) if not case.result}
    found = {one.node for one in result.findings if one.node}

    assert len(passed - {"no finding on the site as a whole"} | found) == result.counts.devices


def test_a_plan_alone_is_skipped() -> None:
    """A reader does not see settings pass that were not read."""
    parts = chain.from_iterable(case.result for suite, case in cases(audit("tarnbeck")))

    assert any(isinstance(part, Skipped) for part in parts)


@everywhere
def test_only_known_elements_and_attributes(made: Callable[[], Result]) -> None:
    """The file has the form that CI systems read."""
    for element in etree.fromstring(render(made()).encode()).iter():
        attributes, children = ALLOWED[element.tag]
        assert set(element.attrib) <= attributes
        assert set(element.attrib) >= REQUIRED.get(element.tag, set())
        assert {child.tag for child in element} <= children


@everywhere
def test_names_of_cases_are_unique(made: Callable[[], Result]) -> None:
    """A reader that identifies cases by class and name keeps them all apart."""
    names = [(suite.name, case.classname, case.name) for suite, case in cases(made())]

    assert len(set(names)) == len(names)
