"""The keys of a file are listed as text, from its JSON Schema."""

from __future__ import annotations

import json
import re
from typing import Annotated, Any, Literal

import pytest
from pydantic import BaseModel, Field

from audit.reporting.keys_text import WIDTH, keys_text
from audit.resources import schema_names, schema_text


class Place(BaseModel):
    """Where it stands."""

    x_m: float = Field(gt=0)


class Round(BaseModel):
    """A round tank."""

    kind: Literal["round"]
    across_m: float = Field(ge=1, le=9)


class Square(BaseModel):
    """A square tank."""

    kind: Literal["square"]
    side_m: float


class Yard(BaseModel):
    """A yard with its tanks."""

    name: str
    place: Place
    drain: Place | None = None
    mark: Literal["", "A", ","] = ","
    tanks: list[Annotated[Round | Square, Field(discriminator="kind")]] = Field(
        default=[], description="What\nstands in it."
    )
    biggest: Annotated[Round | Square, Field(discriminator="kind")]
    heights: dict[str, int] = {}


LINES = """\
A yard with its tanks.
A key with * has to be there.

name*  text.
place*  Where it stands.
  x_m*  number, above 0.
drain  keys or null, as under place. Where it stands.
mark  "" | A | ",", default ",".
tanks  list of keys. What stands in it.
  kind: round  A round tank.
    across_m*  number, at least 1, at most 9.
  kind: square  A square tank.
    side_m*  number.
biggest*  keys, as under tanks.
heights  names, each with whole number."""


def test_a_line_for_each_key() -> None:
    """Each key has its kind of value, limits, default and meaning; nested keys follow once, further in."""
    assert "\n".join(keys_text(Yard.model_json_schema())) == LINES


def test_long_meanings_are_wrapped_and_set_in() -> None:
    """What a key means goes on further in than its own keys would stand."""
    schema = {"properties": {"seed": {"type": "string", "description": "word " * 40}}}

    lines = list(keys_text(schema))[2:]

    assert all(len(line) <= WIDTH for line in lines)
    assert [line[:7] for line in lines] == ["seed  t", "      w", "      w"]


def _names(part: Any) -> set[str]:
    """Return the names of all properties in a schema, at any depth."""
    if isinstance(part, list):
        return {name for one in part for name in _names(one)}
    if not isinstance(part, dict):
        return set()
    own = part.get("properties", {})
    return set(own if isinstance(own, dict) else ()) | {name for one in part.values() for name in _names(one)}


@pytest.mark.parametrize("name", schema_names())
def test_every_key_of_every_schema_is_listed(name: str) -> None:
    """No key is left out, in any of the schemas."""
    schema = json.loads(schema_text(name))

    listed = {re.split(r"\W", line.strip(), maxsplit=1)[0] for line in keys_text(schema)}

    assert _names(schema) - {"$schema"} <= listed
