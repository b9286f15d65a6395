"""Drift as a JSON Patch (RFC 6902): applied to the baseline, it gives the readback."""

from __future__ import annotations

import json

from audit.model.result import Result


def render(result: Result) -> str:
    """Return the patch, one operation a line."""
    operations = result.drift.patch if result.drift else None
    lines = [
        json.dumps(operation.model_dump(exclude_unset=True), ensure_ascii=False)
        for operation in operations or ()
    ]
    return "[\n" + ",\n".join(lines) + "\n]\n"
