"""The JSON Schemas in schemas/ are those made from the models, and accept what the models accept."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pydantic import ValidationError

from audit.model.schemas import FILES, text
from audit.reading.documents import plain, without_blanks
from audit.reading.files import read_bytes
from audit.reading.yaml_core import load
from audit.resources import folder, schema_names, schema_text
from tests.the_examples import EXAMPLES, audit

KIND_SCHEMA = {
    "plan/1": "plan",
    "device-type/1": "device-type",
    "device-settings/1": "device-settings",
    "readback/1": "readback",
    "mapping/1": "mapping",
    "rules/1": "rules",
    "site-rules/1": "site-rules",
    "gates/1": "gates",
    "slips/1": "slips",
    "bands/1": "bands",
    "joining-causes/1": "joining-causes",
    "waivers/1": "waivers",
    "sampling-tables/1": "sampling-tables",
    "work/1": "work",
    "changes/1": "changes",
    "baseline/1": "baseline",
}


def validator(name: str) -> Draft202012Validator:
    """Return a validator for one of the schemas."""
    return Draft202012Validator(json.loads(schema_text(name)))


def accepted_by_model(name: str, data: Any) -> bool:
    """Return whether the model accepts the data, as far as types and shapes go."""
    try:
        FILES[name].model_validate(plain(data))
    except ValidationError as error:
        return all(e["type"] == "value_error" for e in error.errors())
    return True


@pytest.mark.parametrize("name", list(FILES))
def test_schemas_are_in_step_with_the_models(name: str) -> None:
    """After changing a model, write the schemas again: python -m audit.model.schemas."""
    assert schema_text(name) == text(name), "python -m audit.model.schemas writes the schemas"


@pytest.mark.parametrize("name", list(FILES))
def test_schemas_are_valid_2020_12(name: str) -> None:
    """Each schema is itself valid against the meta-schema of JSON Schema 2020-12."""
    Draft202012Validator.check_schema(json.loads(schema_text(name)))


def test_no_schema_is_left_over() -> None:
    """Every file in schemas/ has a model behind it."""
    assert set(schema_names()) == set(FILES)


def written_files() -> list[Path]:
    """Return every YAML file of the project that has a schema."""
    files = [*folder("rules").glob("*.yaml"), *EXAMPLES.rglob("*.yaml")]
    return sorted(file for file in files if "asfound:" in file.read_text(encoding="utf-8"))


@pytest.mark.parametrize("file", written_files(), ids=lambda file: "/".join(file.parts[-3:]))
def test_our_own_files_are_valid_and_name_their_schema(file: Path) -> None:
    """Rules and examples fit their schema, and their first line names it for editors."""
    document = load(read_bytes(file).data.decode(), file.name)
    name = KIND_SCHEMA[document.data["asfound"]]

    assert list(validator(name).iter_errors(without_blanks(document.data))) == []
    reference = (
        file.read_text(encoding="utf-8").split("\n")[0].removeprefix("# yaml-language-server: $schema=")
    )
    assert (file.parent / reference).resolve() == (folder("schemas") / f"{name}.schema.json").resolve()


@pytest.mark.parametrize("readback", ["as-found", "as-left", None])
def test_results_fit_their_schema(readback: str | None) -> None:
    """A result as written validates against the published schema of results."""
    result = audit("merrow-vale", readback)

    assert list(validator("result").iter_errors(json.loads(result.model_dump_json(by_alias=True)))) == []


def test_the_top_of_a_result_is_as_published() -> None:
    """A result begins with its schema and its verdict, so that a person sees them first."""
    data = json.loads(audit("tarnbeck", "as-found").model_dump_json(by_alias=True))

    assert list(data)[:3] == ["schema", "verdict", "counts"]
    assert (data["schema"], data["verdict"]) == ("asfound/result/1", "fail")
    wanted = {"rule", "level", "network", "node", "setting", "planned", "found", "raw", "evidence", "message"}
    assert wanted | {"why", "remedy", "source", "caused_by", "dependents"} <= set(data["findings"][0])


scalars = (
    st.none()
    | st.booleans()
    | st.integers(-5, 300)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=5)
)
junk = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)


def paths(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the path of every value in a document."""
    steps = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [path, *(p for step, part in steps for p in paths(part, (*path, step)))]


def replaced(data: Any, path: tuple[Any, ...], value: Any) -> Any:
    """Return a copy of a document with another value at a path."""
    if not path:
        return value
    copy = dict(data) if isinstance(data, dict) else list(data)
    copy[path[0]] = replaced(data[path[0]], path[1:], value)
    return copy


SEEDS = {
    "plan": EXAMPLES / "tarnbeck/plan.yaml",
    "device-type": EXAMPLES / "tarnbeck/device-types/sump-level.yaml",
    "mapping": EXAMPLES / "merrow-vale/as-found/mapping.yaml",
    "site-rules": EXAMPLES / "tarnbeck/site-rules.yaml",
    "rules": folder("rules") / "alarms.yaml",
    "readback": EXAMPLES / "tarnbeck/as-found/gateway.yaml",
    "slips": folder("rules") / "slips.yaml",
    "entry": Path(__file__).parent / "reading/entry.json",
}


@cache
def seed(name: str) -> Any:
    """Return the data of a file that fits, which no test alters."""
    return load(SEEDS[name].read_text(encoding="utf-8"), name).data


@pytest.mark.parametrize("name", list(SEEDS))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(chance=st.data())
def test_model_and_schema_accept_the_same(name: str, chance: st.DataObject) -> None:
    """Whatever replaces any value, the model and the schema agree on whether it fits."""
    document = seed(name)
    path = chance.draw(st.sampled_from(paths(document)))
    data = without_blanks(replaced(document, path, chance.draw(junk)))

    by_schema = not list(validator(name).iter_errors(data))
    assert by_schema == accepted_by_model(name, data) or whole_float(data, path)


def whole_float(data: Any, path: tuple[Any, ...]) -> bool:
    """Return whether the value is a whole number with a point: an integer to JSON Schema, not to us."""
    values = [data]
    while values:
        value = values.pop()
        if isinstance(value, float) and value.is_integer():
            return True
        values.extend(value.values() if isinstance(value, dict) else value if isinstance(value, list) else ())
    return False
