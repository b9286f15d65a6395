"""The endings of the files that are read, and what follows from them. Capital letters make no difference."""

from __future__ import annotations

TABLES = (".csv", ".tsv")
PERHAPS_TABLES = (".txt",)
"""Read from a folder only if their headings are those of a readback: most are pages of text."""
WORKBOOKS = (".xlsx", ".ods", ".xlsm")
RECORDS = (".json", ".yaml", ".yml")
ENTRIES = ".jsonl"
SHARED_ENTRIES = ".jsonl.txt"
"""The ending of files shared from phones: some do not pass on an ending that they do not know."""
NOT_READ = (".xls", ".xlsb", ".numbers")
"""Kinds of table files that are not read."""

ARCHIVES = (".zip", ".7z", ".rar", ".gz", ".eml", ".msg")
"""Archives and mails, which may contain readbacks but are not opened."""
UNFINISHED = (".part", ".partial", ".filepart", ".crdownload", ".download")
"""What programs add to the name of a file while they transfer it."""


def holds_entries(name: str) -> bool:
    """Return whether a file is JSON Lines, as entries are, judging by its name."""
    return name.lower().endswith((ENTRIES, SHARED_ENTRIES))


def is_binary(name: str) -> bool:
    """Return whether a file is a workbook, in which no position is a line."""
    return name.lower().endswith((*WORKBOOKS, *NOT_READ))


def has_keys(name: str) -> bool:
    """Return whether a file has lines and keys (YAML, JSON); others have rows and columns."""
    return name.lower().endswith(RECORDS) or holds_entries(name)
