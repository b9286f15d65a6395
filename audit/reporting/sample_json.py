"""The recorded sample as JSON: what `asfound check --sample` reads."""

from __future__ import annotations

import json

from audit.model.route_sheet import RouteSheet


def render(sheet: RouteSheet) -> str:
    """Return the sample: two blanks a level, keys in the order of the schema, nothing that is not given."""
    return json.dumps(sheet.sample.model_dump(exclude_none=True), indent=2, ensure_ascii=False) + "\n"
