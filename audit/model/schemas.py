"""The JSON Schemas of all files, made from the models. `python -m audit.model.schemas` writes them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from audit.model.device import DeviceSettings, DeviceType
from audit.model.finding import Result
from audit.model.mapping import MappingFile
from audit.model.plan import PlanFile
from audit.model.readback import ReadbackFile
from audit.model.rule import GateFile, RuleFile, SiteRuleFile
from audit.model.waiver import WaiverFile

FILES: dict[str, type[BaseModel]] = {
    "plan": PlanFile,
    "device-type": DeviceType,
    "device-settings": DeviceSettings,
    "readback": ReadbackFile,
    "mapping": MappingFile,
    "rules": RuleFile,
    "site-rules": SiteRuleFile,
    "gates": GateFile,
    "waivers": WaiverFile,
    "result": Result,
}
"""Schema name → model."""


def schema(name: str) -> dict[str, Any]:
    """Return one schema, JSON Schema draft 2020-12."""
    model = FILES[name]
    mode = "serialization" if model is Result else "validation"
    body = model.model_json_schema(mode=mode)  # type: ignore[arg-type]
    if model is not Result:
        body = _without_null(body)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"asfound:{name}",
        **body,
        "title": f"asfound {name}",
    }


def text(name: str) -> str:
    """Return one schema as the text of its file."""
    return json.dumps(schema(name), indent=2, ensure_ascii=False) + "\n"


def _without_null(part: Any) -> Any:
    """Return a schema in which a key is left out or has a value: an empty one counts as left out.

    Choices between plain types become a list of types, which editors show in one line. Names that
    do not fit a pattern are refused, as the models refuse them.
    """
    if isinstance(part, list):
        return [_without_null(item) for item in part]
    if not isinstance(part, dict):
        return part
    part = {key: _without_null(value) for key, value in part.items()}
    if part.get("default", part) is None:
        del part["default"]
    if "patternProperties" in part:
        part.setdefault("additionalProperties", False)
    choices = [choice for choice in part.pop("anyOf", []) if choice != {"type": "null"}]
    if len(choices) == 1:
        return {**choices[0], **part}
    if choices and all(set(choice) == {"type"} for choice in choices):
        return {**part, "type": [choice["type"] for choice in choices]}
    return {**part, "anyOf": choices} if choices else part


if __name__ == "__main__":
    for file in FILES:
        target = Path(__file__).parents[2] / "schemas" / f"{file}.schema.json"
        target.write_text(text(file), encoding="utf-8")
