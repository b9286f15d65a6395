"""What a plain scalar means in the core schema of YAML 1.2."""

from __future__ import annotations

import re

# YAML 1.2.2, section 10.3.2, "Tag Resolution" of the core schema.
_NULL = re.compile(r"null|Null|NULL|~|")
_BOOL = re.compile(r"true|True|TRUE|false|False|FALSE")
_INT = re.compile(r"[-+]?[0-9]+")
_OCTAL = re.compile(r"0o[0-7]+")
_HEX = re.compile(r"0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_INFINITY = re.compile(r"([-+]?)\.(?:inf|Inf|INF)")
_NAN = re.compile(r"\.(?:nan|NaN|NAN)")


def resolve(text: str) -> str | int | float | bool | None:
    """Return what a plain scalar means in the core schema.

    A number of more than 4,000 digits remains a text, since Python refuses to convert it.
    """
    if _NULL.fullmatch(text):
        return None
    if _BOOL.fullmatch(text):
        return text[0] in "tT"
    if len(text) > 4000:
        return text
    if _INT.fullmatch(text):
        return int(text)
    if _OCTAL.fullmatch(text):
        return int(text[2:], 8)
    if _HEX.fullmatch(text):
        return int(text[2:], 16)
    if _FLOAT.fullmatch(text):
        return float(text)
    if found := _INFINITY.fullmatch(text):
        return float(found[1] + "inf")
    return float("nan") if _NAN.fullmatch(text) else text
