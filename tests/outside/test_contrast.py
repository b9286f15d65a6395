"""Contrast of the colours of the pages, in both schemes, by the formula and the limits of WCAG 2.2.

Sources: W3C Recommendation 'Web Content Accessibility Guidelines (WCAG) 2.2', definitions of 'relative
luminance' (with 0.04045, which was 0.03928 before May 2021) and 'contrast ratio'; success criteria 1.4.3
Contrast (Minimum): 4.5 for text, 1.4.6 Contrast (Enhanced): 7, 1.4.11 Non-text Contrast: 3 for what is needed
to understand a drawing or to see a control. Secondary: several pages quote formula and limits.

A browser's checker looks at texts as they are drawn; it cannot look at shapes in drawings.
"""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

TEXT, SUNLIGHT, SHAPE = 4.5, 7.0, 3.0
PAGES = {
    ("ink", "paper"): TEXT, ("soft", "paper"): TEXT, ("bad", "paper"): TEXT, ("warn", "paper"): TEXT,
    ("unread", "paper"): TEXT, ("good", "paper"): TEXT,
    ("bad", "bad-tint"): TEXT, ("unread", "unread-tint"): TEXT, ("warn", "warn-tint"): TEXT,  # in the matrix
    ("ink", "warn-tint"): TEXT, ("soft", "warn-tint"): TEXT, ("bad", "warn-tint"): TEXT,  # finding linked to
    ("unread", "warn-tint"): TEXT,  # in the timeline
    ("firm", "paper"): SHAPE,  # borders of fields; on strips the planned range, which the deadband cuts
}  # fmt: skip
FORM = {
    ("ink", "paper"): SUNLIGHT, ("soft", "paper"): SUNLIGHT, ("bad", "paper"): SUNLIGHT,
    ("good", "paper"): SUNLIGHT, ("on-press", "press"): SUNLIGHT, ("ink", "bad-tint"): SUNLIGHT,
    ("bad", "bad-tint"): TEXT, ("firm", "paper"): SHAPE,
}  # fmt: skip
PAIRS = [
    (style, scheme, *pair, least)
    for style, pairs in (("style.css", PAGES), ("form.css", FORM))
    for scheme in ("light", "dark")
    for pair, least in pairs.items()
]
"""Style, scheme, colour, ground, least contrast."""


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour such as #5a564e."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, from 1 to 21."""
    darker, lighter = sorted(map(luminance, (one, other)))
    return (lighter + 0.05) / (darker + 0.05)


def colours(style: str, scheme: str) -> dict[str, str]:
    """Return the colours of a style by name: its first block is the light scheme, its second the dark one."""
    text = files("audit.reporting").joinpath("html", style).read_text(encoding="utf-8")
    blocks = re.findall(r":root \{(.*?)\}", text, re.DOTALL)
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", blocks[scheme == "dark"]))


def test_the_formula() -> None:
    """Black on white has 21, a colour on itself 1: note 1 to the definition of contrast ratio."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#5a564e", "#5a564e") == 1


@pytest.mark.parametrize(("style", "scheme", "colour", "ground", "least"), PAIRS)
def test_colours_stand_out(style: str, scheme: str, colour: str, ground: str, least: float) -> None:
    """Each colour has the contrast that its use needs on every ground on which it is used."""
    found = colours(style, scheme)

    assert contrast(found[colour], found[ground]) >= least


def test_a_deadband_stands_out_from_its_range() -> None:
    """On alarm strips it is cut out of the range as gaps, in the colour of the ground, on both sides."""
    text = files("audit.reporting").joinpath("html", "style.css").read_text(encoding="utf-8")
    used = {rule: re.search(rf"^{rule} \{{ stroke: var\(--(\w+)\)", text, re.MULTILINE) for rule in
            (r"\.deadband", r"\.range", r"\.found \.range")}  # fmt: skip
    gap, planned, range_found = (match[1] if match else "" for match in used.values())

    for scheme in ("light", "dark"):
        found = colours("style.css", scheme)
        assert contrast(found[gap], found[planned]) >= SHAPE
        assert contrast(found[gap], found[range_found]) >= SHAPE
