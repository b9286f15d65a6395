"""The causes as data, from rules/joining-causes.yaml or a site's own file of that form."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from audit.model.joining import CausesFile
from audit.reading.documents import read_model
from audit.reading.inputs import Inputs
from audit.resources import folder

NAME = "joining-causes.yaml"


@dataclass(frozen=True, slots=True)
class Causes:
    """The causes considered, and the file that they come from."""

    file: CausesFile
    name: str
    sha256: str


def read_causes(path: Path | None, inputs: Inputs) -> Causes:
    """Return our causes, or those of a site's own file. Raises InputProblems."""
    if path is None:
        return _our_causes()
    causes, _, file = read_model(path, CausesFile, "joining-causes")
    inputs.add(file, "causes")
    return Causes(causes, file.name, file.sha256)


@cache
def _our_causes() -> Causes:
    causes, _, file = read_model(folder("rules") / NAME, CausesFile, "joining-causes", f"rules/{NAME}")
    return Causes(causes, file.name, file.sha256)
