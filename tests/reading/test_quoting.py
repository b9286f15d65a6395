"""Texts that a message gives to be written into a file."""

from __future__ import annotations

import pytest

from audit.reading.quoting import as_yaml
from audit.reading.yaml_core import load


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("press.", "press."),
        ("Kläranlage 2 (alt)", "Kläranlage 2 (alt)"),
        ("n/a", "n/a"),
        ("12", '"12"'),
        ("true", '"true"'),
        ("pump: old, small", '"pump: old, small"'),
        ("{x}", '"{x}"'),
        ("-", '"-"'),
        ("# 3", '"# 3"'),
        ('5" pipe', '"5\\" pipe"'),
    ],
)
def test_a_key_is_read_as_the_text_that_it_stands_for(text: str, key: str) -> None:
    """It is pasted into a mapping, between braces."""
    assert as_yaml(text) == key
    assert list(load(f"values: {{{key}: x}}", "m.yaml").data["values"]) == [text]
