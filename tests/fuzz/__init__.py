"""Bytes that nobody would write, given to every reader: `python -m tests.fuzz` looks for such."""

from __future__ import annotations

from pathlib import Path

CORPUS = Path(__file__).parent / "corpus"
"""A folder a reader: seeds, and what was found."""
