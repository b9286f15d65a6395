"""The files that are shipped with the code: rule packs and schemas."""

from __future__ import annotations

from pathlib import Path

_HERE = Path(__file__).parent

NO_PACKS = (
    "bands.yaml",
    "gates.yaml",
    "joining-causes.yaml",
    "sampling-tables.yaml",
    "slips.yaml",
    "work.yaml",
)
"""Files beside the rule packs that contain no rules."""


def folder(name: str) -> Path:
    """Return the folder `rules` or `schemas`: inside the package in a wheel, beside it in a checkout."""
    inside = _HERE / name
    return inside if inside.is_dir() else _HERE.parent / name


def schema_text(name: str) -> str:
    """Return the text of a schema, for instance `plan`."""
    return (folder("schemas") / f"{name}.schema.json").read_text(encoding="utf-8")


def schema_names() -> list[str]:
    """Return the names of all schemas."""
    return sorted(path.name.removesuffix(".schema.json") for path in folder("schemas").glob("*.json"))


def rule_files() -> list[Path]:
    """Return the rule packs in order of name."""
    return sorted(path for path in folder("rules").glob("*.yaml") if path.name not in NO_PACKS)
