"""The result as JSON, for machines."""

from __future__ import annotations

from audit.model.result import Result


def render(result: Result) -> str:
    """Return the result as JSON text: two blanks a level, keys in the order of the schema."""
    return result.model_dump_json(by_alias=True, indent=2) + "\n"
