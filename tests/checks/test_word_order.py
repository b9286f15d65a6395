"""word-order: the host's number is the device's only once its two 16-bit words are swapped.

The numbers are IEEE 754 binary32: 123.5 is 0x42F70000, with its words swapped 0x000042F7, which is
about 2.402e-41 (computed with the standard library's struct).
"""

from __future__ import annotations

import math
import struct
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.checks.word_order import swapped_words
from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of


def turned(number: float) -> str:
    """Return what a host shows that reads the two words of a number in the wrong order."""
    data = struct.pack(">f", number)
    return repr(struct.unpack(">f", data[2:] + data[:2])[0])


FIRES = [
    fires("word-order-suspect", "a number that turned tiny", "reading", "host_reading",
          found={"reading": "123.5", "host_reading": turned(123.5)},
          says="with its two words swapped that is 123.5, which the device shows"),
    fires("word-order-suspect", "a number with digits in both words", "reading", "host_reading",
          found={"reading": "283.7", "host_reading": turned(283.7)}),
    fires("word-order-suspect", "a number beyond all that devices are set to", "reading", "host_reading",
          found={"reading": "256.9", "host_reading": turned(256.9)}),
    fires("word-order-suspect", "below zero", "reading", "host_reading",
          found={"reading": "-2.5", "host_reading": turned(-2.5)}),
]  # fmt: skip

SILENT = [
    silent("word-order-suspect", "the same", found={"reading": "123.5", "host_reading": "123.5"}),
    silent("word-order-suspect", "one display step apart",
           found={"reading": "123.5", "host_reading": "123.6"}),
    silent("word-order-suspect", "wrong in another way", found={"reading": "123.5", "host_reading": "12.35"}),
    silent("word-order-suspect", "zero is zero in any order", found={"reading": "0.0", "host_reading": "0"}),
    silent("word-order-suspect", "not read at the host", planned=[{}, {}],
           found=[{"reading": "123.5", "host_reading": "n/a"}, {"reading": "1", "host_reading": "1"}]),
    silent("word-order-suspect", "beyond binary32", found={"reading": "1", "host_reading": "1e29"}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A host that shows the number with its words swapped is told what to swap."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Numbers that agree, or differ in another way, are not a matter of word order."""
    case.check(tmp_path)


def test_swapped_words_are_told_as_such(tmp_path: Path) -> None:
    """Not, in addition, as a host that shows another value."""
    found = {"range_low": 0, "range_high": 1000, "reading": "123.5", "host_reading": "2.4022459e-41"}
    about = audit_of(tmp_path, planned={"range_low": 0, "range_high": 1000}, found=found)

    assert [one.rule for one in about if "host_reading" in one.settings] == ["word-order-suspect"]


@given(st.floats(width=32, allow_nan=False, allow_infinity=False))
def test_exchanging_twice_gives_the_number_again(number: float) -> None:
    """The words of a number, swapped and swapped back, are the number, unless they spell none."""
    once = swapped_words(number)

    if once is not None and math.isfinite(once):
        assert swapped_words(once) == number
