"""Bytes that nobody would write, given to every reader: `python -m tests.fuzz` looks for such."""
