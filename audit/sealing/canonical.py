r"""Canonical JSON (RFC 8785), and the layout of sealed files: one setting a line.

The layout is a function of the values alone. Without its line breaks, a laid-out file is the canonical
form of its values, so that anybody can check a digest with `tr -d '\n'` and a SHA-256 program.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from json.encoder import encode_basestring
from typing import Any

import rfc8785

Shape = Mapping[str, Any]
"""Which parts are laid out with each member on its own line: name (or `*`) → the shape of that part."""

_DEVICES: Shape = {"*": {"*": {"settings": {}, "planned": {}}}}
BASELINE: Shape = {
    "content": {
        "device_types": {"*": {"settings": {}}},
        "devices": _DEVICES,
        "findings": {},
        "inputs": {},
        "networks": {},
        "packs": {},
        "waivers": {},
    },
    "parts": {},
}
"""The shape of a baseline."""
NO_FORM = "(no canonical form)"
"""Stands for a number that JSON cannot hold exactly; no file that was sealed has one."""


def digest(canonical: str) -> str:
    """Return the SHA-256 of a canonical text in UTF-8."""
    return hashlib.sha256(canonical.encode("utf-8", "surrogatepass")).hexdigest()


def canonical(value: Any) -> str:
    """Return the canonical form of a value. Raises ValueError for one that JSON cannot hold exactly."""
    return rfc8785.dumps(value).decode()


def pieces(value: Any, shape: Shape | None) -> Iterator[str]:
    """Yield the canonical form of a value in pieces, a line break between any two."""
    if shape is None or not value or not isinstance(value, (dict, list, tuple)):
        yield _closed(value)
        return
    if isinstance(value, dict):
        opening, closing = "{", "}"
        members = [(f"{encode_basestring(key)}:", key, value[key]) for key in in_order(value)]
    else:
        opening, closing = "[", "]"
        members = [("", "*", item) for item in value]
    yield opening
    last = len(members) - 1
    for n, (before, key, item) in enumerate(members):
        after = "" if n == last else ","
        if isinstance(item, str):
            yield f"{before}{encode_basestring(item)}{after}"
            continue
        inside = list(pieces(item, shape.get(key, shape.get("*"))))
        inside[0] = before + inside[0]
        inside[-1] += after
        yield from inside
    yield closing


def _closed(value: Any) -> str:
    if isinstance(value, str):
        return encode_basestring(value)
    try:
        return canonical(value)
    except ValueError:
        return NO_FORM


def in_order(keys: Iterable[str]) -> list[str]:
    """Return the keys of an object in canonical order."""
    names = list(keys)
    return sorted(names) if all(map(str.isascii, names)) else sorted(names, key=_utf16)


def _utf16(key: str) -> bytes:
    """Return what keys are sorted by: their UTF-16 code units (RFC 8785, section 3.2.3)."""
    return key.encode("utf-16-be", "surrogatepass")


def laid_out(values: Any, shape: Shape = BASELINE) -> str:
    """Return values as the text of a file."""
    return "\n".join(pieces(values, shape)) + "\n"


def parts_of(content: Mapping[str, Any]) -> dict[str, str]:
    """Return the digest of each device and of each other part of a content, by its pointer."""
    names: list[tuple[str, ...]] = []
    for name, value in content.items():
        if name == "devices":
            names += [(name, network, tag) for network, its in value.items() for tag in its]
        else:
            names.append((name,))
    return {pointer(*steps): digest("".join(part(content, steps)))[:16] for steps in names}


def part(content: Mapping[str, Any], steps: Sequence[str]) -> list[str]:
    """Return a part of a content in pieces."""
    value: Any = content
    shape: Any = BASELINE["content"]
    for step in steps:
        value, shape = value[step], shape.get(step, shape.get("*"))
    return list(pieces(value, shape))


def pointer(*steps: str | int) -> str:
    """Return an RFC 6901 pointer."""
    return "".join(f"/{str(step).replace('~', '~0').replace('/', '~1')}" for step in steps)


def line_of(values: Any, steps: Sequence[str | int], shape: Shape | None = BASELINE) -> int:
    """Return the line, counted from 1, on which the part that `steps` lead to begins in the laid-out values.

    Where the steps lead into a part that is on one line, it is that line.
    """
    line = 1
    for step in steps:
        if shape is None or not isinstance(values, (dict, list, tuple)):
            break
        members: dict[Any, Any] = (
            {name: values[name] for name in in_order(values)}
            if isinstance(values, dict)
            else dict(enumerate(values))
        )
        if step not in members:
            break
        line += 1
        for name, member in members.items():
            inner = shape.get(str(name), shape.get("*"))
            if name == step:
                values, shape = member, inner
                break
            line += sum(1 for _ in pieces(member, inner))
    return line
