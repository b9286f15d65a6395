"""Names of rules, check kinds, aspects and patterns in the code are those of the rule packs.

A misspelt one is found nowhere, so what was asked of that rule is silently never asked.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).parents[1]
A_NAME = re.compile(r"[a-z]+(-[a-z0-9]+)+")
FILES_OF_OURS = {
    "device-settings",
    "device-type",
    "joining-call",
    "joining-causes",
    "sampling-tables",
    "site-rules",
}
FORMATS_OF_OURS = {"json-patch", "punch-csv", "punch-xlsx"}
OTHER_WORDS_OF_OURS = {"expected-signal", "follow-on", "mil-std-105e", "off-line", "on-delay", "permit-limit"}
OF_OTHER_FORMATS = {
    "boolean-value", "date-value", "default-cell-style-name", "number-columns-repeated",
    "number-columns-spanned",
    "number-rows-repeated", "number-rows-spanned", "parent-style-name", "string-value", "style-name",
    "table-cell", "table-column", "table-row", "text-properties", "time-value", "value-type",  # OpenDocument
    "sha-256", "system-out",  # SARIF, JUnit
    "utf-16", "utf-16-be", "utf-16-le", "utf-8", "utf-8-sig",
}  # fmt: skip
NOT_OF_RULES = FILES_OF_OURS | FORMATS_OF_OURS | OTHER_WORDS_OF_OURS | OF_OTHER_FORMATS


def in_packs() -> set[str]:
    """Return all texts in the rule packs."""
    return {
        text for pack in (ROOT / "rules").glob("*.yaml")
        for text in texts(yaml.safe_load(pack.read_text(encoding="utf-8")))
    }  # fmt: skip


def texts(data: Any) -> Iterator[str]:
    """Yield the texts in some data, keys included."""
    if isinstance(data, dict):
        data = [*data, *data.values()]
    if isinstance(data, list):
        for item in data:
            yield from texts(item)
    elif isinstance(data, str):
        yield data


def in_code() -> Iterator[tuple[str, str]]:
    """Yield each text in the code that is written like the name of a rule, with its place."""
    for path in sorted((ROOT / "audit").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and A_NAME.fullmatch(node.value)
            ):
                yield node.value, f"{path.relative_to(ROOT).as_posix()}:{node.lineno}"


def test_every_name_in_the_code_is_one_of_the_rule_packs() -> None:
    """Or a word of another format, which is listed above."""
    known = in_packs() | NOT_OF_RULES
    strange = [f"{place}: {name!r}" for name, place in in_code() if name not in known]

    assert strange == []


def test_no_word_is_listed_in_vain() -> None:
    """A word that the code has no more would hide a misspelt name."""
    assert NOT_OF_RULES - {name for name, _ in in_code()} == set()
