"""The keys of a file as text: what its JSON Schema says, for people."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator
from typing import Any

from audit.reading.wording import LIMIT_WORDS, SCALARS

WIDTH = 80
"""Columns of a line. A longer name or value may exceed it."""

TYPES = {
    "string": "text", "integer": "whole number", "number": "number", "boolean": "true or false",
    "null": "null", "array": "list",
}  # fmt: skip


def keys_text(schema: Any) -> Iterator[str]:
    """Yield the lines that list the keys of a JSON Schema as pydantic writes it.

    Each key has its kind of value, its default and what it means; the keys of a mapping follow below it,
    further in. What has been listed is not listed again.
    """
    yield from textwrap.wrap(_sentences(schema), WIDTH)
    yield "A key with * has to be there."
    yield ""
    yield from _keys(schema, schema, 0, {})


def _keys(schema: Any, mapping: Any, depth: int, listed: dict[str, str]) -> Iterator[str]:
    """Yield the lines of the keys of one mapping; `listed` holds the definitions seen so far, and where."""
    for name, value in mapping.get("properties", {}).items():
        needed = "*" if name in mapping.get("required", ()) else ""
        inner = [ref for ref in _refs(value) if "properties" in schema["$defs"][ref]]
        kind = _kind(schema, value)
        if inner and inner[0] in listed:
            kind = f"{kind or 'keys'}, as under {listed[inner[0]]}"
        own = " ".join(_sentences(schema["$defs"][ref]) for ref in inner) if len(inner) == 1 else ""
        about = [f"{kind}." if kind else "", _sentences(value) or own]
        yield from _line(f"{name}{needed}", " ".join(part for part in about if part), depth)
        one = value.get("items", value)
        choice = one.get("discriminator", {}).get("propertyName")
        for ref in inner:
            if ref not in listed:
                listed[ref] = name
                yield from _definition(schema, schema["$defs"][ref], choice, depth + 1, listed)


def _definition(
    schema: Any, definition: Any, choice: str | None, depth: int, listed: dict[str, str]
) -> Iterator[str]:
    """Yield the lines of the keys of a definition; one of several is headed by the key that chooses it."""
    if choice is None:
        yield from _keys(schema, definition, depth, listed)
    else:
        properties = dict(definition["properties"])
        yield from _line(f"{choice}: {properties.pop(choice)['const']}", _sentences(definition), depth)
        yield from _keys(schema, definition | {"properties": properties}, depth + 1, listed)


def _line(name: str, words: str, depth: int) -> list[str]:
    """Return the lines of one key, what it means being wrapped and set in further than its own keys."""
    start = "  " * depth
    return textwrap.wrap(
        f"{name}  {words}".strip(), WIDTH, initial_indent=start, subsequent_indent=f"{start}      ",
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def _refs(value: Any) -> list[str]:
    """Return the names of the definitions that a value may have, directly or in a list or mapping."""
    if "$ref" in value:
        return [value["$ref"].rpartition("/")[2]]
    inner = [*value.get("anyOf", ()), *value.get("oneOf", ()), *value.get("patternProperties", {}).values()]
    inner += [value[key] for key in ("items", "additionalProperties") if isinstance(value.get(key), dict)]
    return [ref for one in inner for ref in _refs(one)]


def _kind(schema: Any, value: Any) -> str:
    """Return the words for the kind of a value, its limits and its default."""
    kind = _type(schema, value)
    limits = [f"{words} {value[key]}" for key, words in LIMIT_WORDS.items() if key in value]
    default = value.get("default")
    if default not in (None, "", [], {}):
        limits.append(f"default {_written(default)}")
    return ", ".join([kind, *limits]) if kind else ""


def _type(schema: Any, value: Any) -> str:
    """Return the words for the type of a value."""
    if "$ref" in value:
        definition = schema["$defs"][value["$ref"].rpartition("/")[2]]
        return "" if "properties" in definition else _type(schema, definition)
    if "const" in value:
        return str(value["const"])
    if "enum" in value:
        return " | ".join(map(_written, value["enum"]))
    choices = [_type(schema, one) for key in ("anyOf", "oneOf") for one in value.get(key, ())]
    if choices:
        return " or ".join(dict.fromkeys(words or "keys" for words in choices))
    types = value.get("type", [])
    if isinstance(types, list):
        any_value = not types or set(types) >= set(SCALARS)
        return "value" if any_value else " or ".join(TYPES[one] for one in types)
    if types == "array" and isinstance(value.get("items"), dict):
        words = _type(schema, value["items"])
        return f"list of {words}" if words else "list"
    if types == "object":
        of = [*value.get("patternProperties", {}).values(), value.get("additionalProperties")]
        words = next((_type(schema, one) for one in of if isinstance(one, dict)), "")
        return f"names, each with {words or 'keys'}"
    return "date" if value.get("format") == "date" else TYPES[types]


def _written(value: Any) -> str:
    """Return a value as it is written in a file: bare words without quotes."""
    bare = isinstance(value, str) and any(map(str.isalnum, value))
    return str(value) if bare else json.dumps(value)


def _sentences(value: Any) -> str:
    """Return the description as one paragraph."""
    return " ".join(value.get("description", "").split())
