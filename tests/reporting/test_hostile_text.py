"""Hostile text through every writer: whatever a file says, each output stays well-formed and keeps its shape.

Each output is read by a reader that others wrote. Its shape is compared with that of the same result with
ordinary text: hostile text must add no element, row, cell, list item or formula.
"""

from __future__ import annotations

import csv
import io
import json
import unicodedata
import zipfile
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import junitparser
import openpyxl
import pytest
from hypothesis import example, given, settings
from jsonschema import Draft4Validator
from lxml import etree
from lxml import html as lxml_html
from markdown_it import MarkdownIt
from pydantic import BaseModel

from audit.cli.writing import as_bytes
from audit.model.result import Finding, Result, Since
from audit.model.used import WaiverUsed
from audit.reporting.formats import FORMATS, by_name
from audit.run import Order, run
from tests.outside.sarif_schema import SCHEMA
from tests.reporting.hostile import FRAGMENTS, HOSTILE
from tests.reporting.parts import DIGEST, WAIVED, finding
from tests.the_examples import EXAMPLES

FIXED = {
    "schema_", "verdict", "level", "fail_on", "state", "sha256", "run_on", "expires", "issued", "column",
    "role", "input", "doubtful_side",
}  # fmt: skip
"""Fields that hold no text from a file."""


def base() -> Result:
    """Return a small result with a part of every kind."""
    folder = EXAMPLES / "merrow-vale"
    whole = run(Order(folder / "plan.yaml", [folder / "as-found"], run_on="2026-04-20", detail=True))
    devices = [one for one in whole.devices or () if one.network == "Middle"]
    own = [one for one in whole.findings if one.node in ("PT-63", "PT-66")]
    rules = {one.rule for one in own}
    waiver = WaiverUsed(
        **WAIVED.model_dump(exclude={"waiver"}), id="W-1", rule="address-differs", node="PT-68",
        setting="address", value="67", issued="2026-01-01", state="in use",
    )  # fmt: skip
    more = [
        finding(1, waived=WAIVED, since="unchanged", doubtful_side="plan", doubt="the plan may be wrong"),
        finding(
            2, network=None, node=None, settings=[], setting=None, others=["PT-61", "PT-62"], since="new"
        ),
    ]
    return whole.model_copy(
        update={
            "findings": [*own, *more],
            "networks": [one for one in whole.networks if one.network == "Middle"],
            "rules": [one for one in whole.rules if one.id in rules],
            "inputs": [
                whole.inputs[0],
                whole.inputs[-1].model_copy(update={"sha256": None, "note": "withheld"}),
            ],
            "packs": whole.packs[:1],
            "not_checked": whole.not_checked[:1],
            "waivers": [waiver],
            "since": Since(file="earlier.json", sha256=DIGEST, run_on="2025-04-20", absent=[finding(3)]),
            "devices": [one.model_copy(update={"settings": one.settings[:4]}) for one in devices[:3]],
        }
    )


BASE = base()


def with_text(part: Any, text: str) -> Any:
    """Return a part of a result with a text in front of everything that comes from files."""
    if isinstance(part, BaseModel):
        names = [name for name in type(part).model_fields if name not in FIXED]
        if isinstance(part, Finding):
            names.remove("since")
        return part.model_copy(update={name: with_text(getattr(part, name), text) for name in names})
    if isinstance(part, list):
        return [with_text(one, text) for one in part]
    return text + part if isinstance(part, str) else part


def written(name: str, text: str) -> bytes:
    """Return what a format makes of the result with a text in all its parts."""
    return as_bytes(by_name(name).write(with_text(BASE, text)))


def obeyed(character: str) -> bool:
    """Tell whether a terminal or a reader obeys a character instead of showing it."""
    return unicodedata.category(character) in ("Cc", "Cf", "Cs", "Zl", "Zp")


# One shape a format: what hostile text must not change.


def shape_of_text(data: bytes) -> object:
    """Return whether a terminal finds anything to obey, and how many lines begin with a verdict."""
    lines = data.decode().split("\n")
    assert not any(map(obeyed, "".join(lines)))
    return sum(line.startswith(("PASS", "FAIL")) for line in lines)


def structure(value: Any) -> object:
    """Return keys and types of JSON values, without their texts."""
    if isinstance(value, dict):
        return {key: structure(one) for key, one in value.items()}
    return [structure(one) for one in value] if isinstance(value, list) else type(value).__name__


def texts(value: Any) -> Iterator[str]:
    """Yield the texts among JSON values."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from texts(one)


def shape_of_json(data: bytes) -> object:
    """Return the structure of a JSON file."""
    return structure(json.loads(data.decode()))


def shape_of_sarif(data: bytes) -> object:
    """Return the structure of a log, which keeps to the schema."""
    log = json.loads(data.decode())
    assert [error.message for error in SARIF.iter_errors(log)] == []
    assert not any(map(obeyed, "".join(texts(log)).replace("\n", "")))
    return structure(log)


def shape_of_junit(data: bytes) -> object:
    """Return elements and attributes, which two readers find."""
    root = etree.fromstring(data)
    suites = list(junitparser.JUnitXml.fromstring(data))
    return [(part.tag, part.keys()) for part in root.iter()], [len(list(suite)) for suite in suites]


def shape_of_csv(data: bytes) -> object:
    """Return the number of cells in each row, none of which a spreadsheet takes for a formula."""
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), strict=True))
    cells = [cell for row in rows for cell in row]
    assert not any(cell.lstrip().startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠")) for cell in cells)
    assert not any(map(obeyed, "".join(cells)))
    return [len(row) for row in rows]


def shape_of_xlsx(data: bytes) -> object:
    """Return the types of all cells: texts, and no formulas or links, in parts of well-formed XML."""
    with zipfile.ZipFile(io.BytesIO(data)) as parts:
        for name in parts.namelist():
            etree.fromstring(parts.read(name))
    sheet = openpyxl.load_workbook(io.BytesIO(data)).worksheets[0]
    cells = [cell for row in sheet.iter_rows() for cell in row]
    assert all(cell.data_type != "f" and cell.hyperlink is None for cell in cells)
    return [(cell.coordinate, type(cell.value).__name__) for cell in cells]


def shape_of_markdown(data: bytes) -> object:
    """Return what a reader makes of it: headings, lists, cells, and the HTML for folding."""
    tokens = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"]).parse(data.decode())
    return [(token.type, token.tag, [child.type for child in token.children or []]) for token in tokens], [
        token.content for token in tokens if token.type == "html_block"
    ]


def shape_of_html(data: bytes) -> object:
    """Return the elements that run, load or link to something, and the number of such attributes."""
    root = lxml_html.document_fromstring(data)
    risky = ("script", "style", "img", "iframe", "object", "embed", "link", "form", "base", "meta", "a")
    acting = [name for part in root.iter() for name in part.keys() if name.startswith("on")]  # noqa: SIM118
    return {tag: len(root.findall(f".//{tag}")) for tag in risky}, acting


SARIF = Draft4Validator(json.loads(SCHEMA))
SHAPES: dict[str, Callable[[bytes], object]] = {
    "text": shape_of_text,
    "json": shape_of_json,
    "sarif": shape_of_sarif,
    "junit": shape_of_junit,
    "punch-csv": shape_of_csv,
    "punch-xlsx": shape_of_xlsx,
    "markdown": shape_of_markdown,
    "html": shape_of_html,
}


@cache
def ordinary(name: str) -> object:
    """Return the shape of an output with ordinary text."""
    return SHAPES[name](written(name, "x"))


@pytest.mark.parametrize("name", list(SHAPES))
@settings(max_examples=60)
@given(text=HOSTILE)
@example(text="\ud800")
@example(text="\x00\ufffe\uffff\x1b")
@example(text="]]></failure><script>alert(1)</script>")
@example(text="=cmd|' /C calc'!A0")
@example(text="| a | b |\n| --- | --- |\n```\n")
@example(text="x" * 300)
def test_hostile_text_changes_no_shape(name: str, text: str) -> None:
    """An output with hostile text is read, and has the shape of one with ordinary text."""
    assert SHAPES[name](written(name, text)) == ordinary(name)


@pytest.mark.parametrize("fragment", FRAGMENTS, ids=ascii)
def test_each_dangerous_fragment_is_harmless_everywhere(fragment: str) -> None:
    """Each fragment alone, in front of every text of a result, in every format."""
    for name, shape in SHAPES.items():
        assert shape(written(name, fragment)) == ordinary(name)


def test_every_format_is_tried() -> None:
    """A new format has to be added here as well."""
    assert set(SHAPES) == {form.name for form in FORMATS}, "say in SHAPES what has to stay the same in it"


@given(text=HOSTILE.filter(lambda text: not any("\ud800" <= c <= "\udfff" for c in text)))
def test_json_keeps_every_character(text: str) -> None:
    """The JSON result is for machines: what was read is in it unchanged."""
    assert json.loads(written("json", text))["site"]["name"] == text + BASE.site.name
