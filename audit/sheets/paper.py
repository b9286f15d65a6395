"""Measures of a card on paper, in millimetres, so that no card is taller than a page.

They follow cards.css, and are on the large side, since type is wider on some machines than on others. A4
pages (ISO 216) are 210 by 297, Letter pages 216 by 279; the card has to fit both.
"""

from __future__ import annotations

from math import ceil

from audit.sheets.boxes import Answer

ROOM = 252.0
"""Greatest height of a card: that of Letter less margins of 10 above and below, and a little more."""
WHOLE = 172.0
"""Width across a card: that of A4 less margins of 12 at the sides, and the card's own."""
HALF = 82.0
"""Width of one of two questions side by side."""
BOX = 7.6
TICK = 11.0
"""A box to tick, and the gaps beside it."""
QUESTION = 16.2
"""Height of a question with one line of name and one of answer."""
ANSWER_LINE = 10.0
HEAD = 26.0
"""Height of the head with two lines beside the tag."""
FOOT = 46.0
"""Height below the questions: the factory code, who and when, the note; without the small type."""
SMALL, MEDIUM, BOLD, LARGE = 1.85, 2.6, 3.1, 5.2
"""Width of a character in small type, in medium type, in bold labels, and in the large type of tags."""
LINE = 4.4
"""Height of a line of medium type."""
SMALL_LINE = 3.7


def lines(width: float, room: float) -> int:
    """Return how many lines a text of some width takes."""
    return max(1, ceil(width / room))


def answer_width(answer: Answer, unit: str) -> float:
    """Return the width of boxes, ticks or a line, with the unit."""
    unit_width = MEDIUM * len(unit)
    if answer.ticks:
        return sum(TICK + MEDIUM * len(tick) for tick in answer.ticks) + unit_width
    return (BOX * answer.boxes + 5 if answer.boxes else HALF - 20) + unit_width


def question_height(name: float, answer: float, room: float) -> float:
    """Return the height of a question whose name and answer have these widths."""
    return QUESTION + LINE * (lines(name, room) - 1) + ANSWER_LINE * (lines(answer, room) - 1)


def head_height(tag: str, place: str, about: str) -> float:
    """Return the height of a card's head."""
    left = tag_lines(tag) * 9 + lines(MEDIUM * len(place), 50) * 5
    return max(HEAD, left + 4, lines(SMALL * len(about), 46) * 4 + 8)


def tag_lines(tag: str) -> int:
    """Return how many lines of large type a tag takes; long ones are set smaller."""
    return lines((LARGE if len(tag) <= LONGEST_LARGE else MEDIUM) * len(tag), 50)


LONGEST_LARGE = 18
"""Longest tag, in characters, that is set in large type."""


def foot_height(*texts: str) -> float:
    """Return the height below the questions, including texts in small type."""
    return FOOT + sum(SMALL_LINE * lines(SMALL * len(text), WHOLE) for text in texts if text)
