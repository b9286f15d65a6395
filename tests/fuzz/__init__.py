"""Bytes that nobody would write, given to every reader: `python -m tests.fuzz` looks for those that fail."""

from __future__ import annotations

from pathlib import Path

CORPUS = Path(__file__).parent / "corpus"
"""One folder for each reader: seeds, and what was found."""
