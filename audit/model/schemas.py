"""The JSON Schemas of all files, made from the models. `python -m audit.model.schemas` writes them."""

from __future__ import annotations

import ast
import inspect
import json
import textwrap
from itertools import pairwise
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from audit.model.base import Written
from audit.model.baseline import BaselineFile
from audit.model.call import Call
from audit.model.change import ChangesFile
from audit.model.code_mark import CodeMarksFile
from audit.model.device import DeviceSettings, DeviceType
from audit.model.diagnosis import Diagnosis
from audit.model.entry import Entry
from audit.model.figure_list import FigureList
from audit.model.history import History
from audit.model.joining import CausesFile
from audit.model.mapping import MappingFile
from audit.model.plan import PlanFile
from audit.model.radio import BandsFile
from audit.model.readback import ReadbackFile
from audit.model.reported import Reported
from audit.model.result import Result
from audit.model.rule import GateFile, RuleFile, SiteRuleFile
from audit.model.sample import Sample
from audit.model.sampling_tables import SamplingTables
from audit.model.slips import SlipFile
from audit.model.suggestion import Suggestion
from audit.model.summary import Summary
from audit.model.waiver import WaiverFile
from audit.model.work import WorkFile
from audit.model.worklist import WorkList

FILES: dict[str, type[BaseModel]] = {
    "plan": PlanFile,
    "device-type": DeviceType,
    "device-settings": DeviceSettings,
    "readback": ReadbackFile,
    "entry": Entry,
    "mapping": MappingFile,
    "rules": RuleFile,
    "site-rules": SiteRuleFile,
    "gates": GateFile,
    "bands": BandsFile,
    "slips": SlipFile,
    "joining-causes": CausesFile,
    "joining-call": Call,
    "waivers": WaiverFile,
    "baseline": BaselineFile,
    "code-marks": CodeMarksFile,
    "changes": ChangesFile,
    "result": Result,
    "summary": Summary,
    "history": History,
    "suggestion": Suggestion,
    "figures": FigureList,
    "sampling-tables": SamplingTables,
    "sample": Sample,
    "diagnosis": Diagnosis,
    "work": WorkFile,
    "worklist": WorkList,
}
"""Schema name → model."""


def schema(name: str) -> dict[str, Any]:
    """Return one schema, JSON Schema draft 2020-12."""
    model = FILES[name]
    mode = "serialization" if issubclass(model, Reported) else "validation"
    body = model.model_json_schema(mode=mode)  # type: ignore[arg-type]
    _describe(body, model)
    if not issubclass(model, Reported):
        body = _without_null(body)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"asfound:{name}",
        **body,
        "title": f"asfound {name}",
    }


def _describe(body: dict[str, Any], model: type[BaseModel]) -> None:
    """Put the docstrings below a model's fields into its schema, where editors show them.

    pydantic can do this itself, but every start of the program would then take longer.
    """
    family = Reported if issubclass(model, Reported) else Written
    classes = {cls.__name__: cls for cls in _below(family)}
    parts = {model.__name__: body} | body.get("$defs", {})
    for title, part in parts.items():
        for field, words in _field_docstrings(classes[title]).items():
            name = classes[title].model_fields[field].serialization_alias or field
            part["properties"][name].setdefault("description", words)


def _below(cls: type[BaseModel]) -> list[type[BaseModel]]:
    return [below for sub in cls.__subclasses__() for below in (sub, *_below(sub))]


def _field_docstrings(cls: type[BaseModel]) -> dict[str, str]:
    """Return field → the text below it, for a model and the models that it is derived from."""
    found: dict[str, str] = {}
    for base in reversed([base for base in cls.__mro__ if base.__module__.startswith("audit.")]):
        (tree,) = ast.parse(textwrap.dedent(inspect.getsource(base))).body
        body = tree.body if isinstance(tree, ast.ClassDef) else []
        for field, below in pairwise(body):
            is_text = isinstance(below, ast.Expr) and isinstance(below.value, ast.Constant)
            if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name) and is_text:
                name = field.target.id
                if name in cls.model_fields:
                    found[name] = inspect.cleandoc(str(below.value.value))  # type: ignore[attr-defined]
    return found


def text(name: str) -> str:
    """Return one schema as the text of its file."""
    return json.dumps(schema(name), indent=2, ensure_ascii=False) + "\n"


def _without_null(part: Any) -> Any:
    """Return a schema in which a key is either left out or has a value: null is not mentioned.

    Choices between plain types become a list of types, which editors show in one line. Names that
    do not match a pattern are refused, as the models refuse them.
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
        target.write_text(text(file), encoding="utf-8", newline="\n")
