"""Canonical JSON against the published examples of RFC 8785 (JSON Canonicalization Scheme, June 2020)."""

from __future__ import annotations

import json
import struct
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from audit.sealing.canonical import BASELINE, canonical, laid_out

# RFC 8785, section 3.2.2 'Serialization of Primitive Data Types': the sample object and its form.
SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
SAMPLE_FORM = (
    '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
    '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
)

# RFC 8785, section 3.2.3 'Sorting of Object Properties': property names in the required order.
SORTED = {
    "\r": "Carriage Return",
    "1": "One",
    "\x80": "Control",
    "ö": "Latin Small Letter O With Diaeresis",
    "€": "Euro Sign",
    "😀": "Emoji: Grinning Face",
    "\ufb33": "Hebrew Letter Dalet With Dagesh",
}

# RFC 8785, appendix B 'Number Serialization Samples', table 2: IEEE 754 bits and the text.
NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}
NOT_NUMBERS = ("7fffffffffffffff", "7ff0000000000000")
"""From the same table: NaN and Infinity, for which an error is required."""


def of_bits(bits: str) -> float:
    """Return the number with these IEEE 754 bits."""
    number: float = struct.unpack(">d", bytes.fromhex(bits))[0]
    return number


def test_the_sample_of_section_3_2_2() -> None:
    """Literals, numbers and texts come out as the standard shows."""
    assert canonical(json.loads(SAMPLE)) == SAMPLE_FORM


def test_the_order_of_section_3_2_3() -> None:
    """Names are sorted by their UTF-16 code units, also in a layout with line breaks between members."""
    shuffled = dict(sorted(SORTED.items(), reverse=True))

    assert list(json.loads(canonical(shuffled)).values()) == list(SORTED.values())
    assert list(json.loads(laid_out(shuffled, {"*": {}})).values()) == list(SORTED.values())


@pytest.mark.parametrize(("bits", "text"), NUMBERS.items())
def test_the_numbers_of_appendix_b(bits: str, text: str) -> None:
    """Numbers are written as ECMAScript does."""
    assert canonical(of_bits(bits)) == text


@pytest.mark.parametrize("bits", NOT_NUMBERS)
def test_what_is_not_a_number_is_refused(bits: str) -> None:
    """NaN and Infinity have no canonical form."""
    with pytest.raises(ValueError, match="not representable"):
        canonical(of_bits(bits))


TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False) | TEXTS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=12,
)  # fmt: skip


@given(JSON, st.dictionaries(TEXTS, JSON, max_size=3))
def test_a_laid_out_file_without_its_line_breaks_is_canonical(part: Any, devices: dict[str, Any]) -> None:
    """Whatever the values, the layout only adds line breaks to what the library writes."""
    values = {"content": {"devices": {"North": devices}, "site": part}, "parts": {}}

    assert laid_out(values, BASELINE).replace("\n", "").encode() == rfc8785.dumps(values)
