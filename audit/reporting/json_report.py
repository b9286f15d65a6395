"""A result, a summary, a diagnosis or a work list as JSON, for machines."""

from __future__ import annotations

import json

from pydantic_core import PydanticSerializationError

from audit.model.diagnosis import Diagnosis
from audit.model.result import Result
from audit.model.summary import Summary
from audit.model.worklist import WorkList


def render(result: Result | Summary | Diagnosis | WorkList) -> str:
    """Return it as JSON text: two blanks a level, keys in the order of the schema."""
    try:
        return result.model_dump_json(by_alias=True, indent=2) + "\n"
    except PydanticSerializationError:  # half a character, which its own writer cannot write
        return json.dumps(result.model_dump(by_alias=True), indent=2, ensure_ascii=False) + "\n"
