"""Numbers in the form, compared with how the exported file is read."""

from __future__ import annotations

import random
from decimal import Decimal

from playwright.sync_api import expect

from audit.comparing import same
from audit.model.device import Setting
from audit.model.table import Style
from audit.reading.entry_table import STYLE
from audit.reading.values import parse, plain
from tests.browser.form_pages import Form


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
    text = chance.choice(
        (f"{near:f}", f"{near:+f}", f"{near:07.3f}", f"{near:.2f}", f"{near}x", f"{near} 1", ".5", "-", "5.")
    )
    return text.replace(".", mark) if chance.random() < 0.9 else text, plain(planned), kind, step, mark


def _by_the_check(text: str, planned: str, kind: str, step: str, mark: str) -> bool | None:
    setting = Setting(
        name="x", kind="integer" if kind == "integer" else "decimal", step=float(step) if step else None
    )
    value = parse(text, setting, Style(decimal=mark))
    if not value.read:
        whole = Setting(name="x", kind="decimal", step=1.0)
        return False if kind == "integer" and parse(text, whole, Style(decimal=mark)).read else None
    return same(value, parse(planned, setting, Style()), setting)


def test_what_the_check_may_take_for_thousands_is_refused(begun: Form) -> None:
    """Entries do not say which decimal mark was typed: where 812.50 is shown, 812.500 may be 812500."""
    texts = ("812.500", "1.250", "-8.500", "0.500", "1812.500", "812.50", "00.500", "8.5000", "08.500")
    settings = [("integer", ""), ("decimal", "0.5"), ("decimal", "0.001"), ("decimal", "100")]
    cases = [(text, kind, step) for text in texts for kind, step in settings]
    may_be = "cases => cases.map(([text, kind, step]) => mayBeThousands({ kind, step }, text))"
    found = begun.page.evaluate(may_be, [list(case) for case in cases])

    assert found == [_unclear(*case) for case in cases]
    assert {True, False} == set(found)
    field = begun.go("PT-33").type("L", "280.000")
    expect(field.locator(".wrong")).to_contain_text("Leave out the zero at the end")
    assert begun.entries() == []


def _unclear(text: str, kind: str, step: str) -> bool:
    setting = Setting(
        name="x", kind="integer" if kind == "integer" else "decimal", step=float(step) if step else None
    )
    return "thousands" in parse(text, setting, STYLE).note
