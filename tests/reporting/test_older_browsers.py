"""Browsers of five years ago: what they do not know has something before it that they do."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from audit import reporting

STYLES = sorted(Path(reporting.__file__).with_name("html").glob("*.css"))
UNSPOKEN = re.compile(r'content: ("[^"]+") / ""')
"""A sign that is not read out; before 2024 Safari and Firefox dropped the whole declaration, sign and all."""


@pytest.mark.parametrize("style", STYLES, ids=lambda style: style.name)
def test_a_sign_that_is_not_read_out_is_shown_by_all(style: Path) -> None:
    """The same sign stands before it, without what older browsers do not know."""
    text = style.read_text(encoding="utf-8")

    alone = [sign for sign in UNSPOKEN.findall(text) if f'content: {sign}; content: {sign} / ""' not in text]
    assert alone == []
