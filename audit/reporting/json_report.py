"""A result, or anything else the program makes for machines, as JSON."""

from __future__ import annotations

import json

from pydantic_core import PydanticSerializationError

from audit.model.reported import Reported


def render(result: Reported) -> str:
    """Return it as JSON text: indented by two blanks, keys in the order of the schema."""
    try:
        return result.model_dump_json(by_alias=True, indent=2) + "\n"
    except PydanticSerializationError:  # half a surrogate pair, which pydantic cannot write
        return json.dumps(result.model_dump(by_alias=True), indent=2, ensure_ascii=False) + "\n"
