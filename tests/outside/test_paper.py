"""Cards against sizes of paper taken from published standards.

A4: 210 by 297 mm, ISO 216:2007, table 1 (from memory, not verified). Letter: 8.5 by 11 inches,
ANSI/ASME Y14.1, size A (from memory, not verified). An inch is 25.4 mm: NIST SP 811, appendix B.
"""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from audit.sheets import paper

INCH = 25.4
PAPERS = {"A4": (210.0, 297.0), "Letter": (8.5 * INCH, 11 * INCH)}


@pytest.mark.parametrize("name", list(PAPERS))
def test_a_card_fits_the_paper(name: str) -> None:
    """A card of the largest size allowed, with the margins of its style, fits on the paper."""
    style = files("audit.reporting").joinpath("html", "cards.css").read_text(encoding="utf-8")
    found = re.search(r"margin: (\d+)mm (\d+)mm", style)
    assert found is not None
    above, beside = int(found[1]), int(found[2])
    width, height = PAPERS[name]

    assert paper.ROOM + 2 * above <= height
    assert paper.WHOLE + 2 * beside <= width
    assert 2 * paper.HALF < paper.WHOLE
