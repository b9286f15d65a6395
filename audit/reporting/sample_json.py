"""The recorded sample as JSON: what `asfound check --sample` reads."""

from __future__ import annotations

import json

from audit.model.route_sheet import RouteSheet


def render(sheet: RouteSheet) -> str:
    """Return the sample: indented by two blanks, keys in the order of the schema, without empty ones."""
    return json.dumps(sheet.sample.model_dump(exclude_none=True), indent=2, ensure_ascii=False) + "\n"
