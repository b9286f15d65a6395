"""The forms in which a readback may arrive: the same rows in other files."""

from __future__ import annotations

import csv
import random
import re
from collections.abc import Callable
from pathlib import Path

from openpyxl import Workbook

Rows = list[list[str]]
_NUMBER = re.compile(r"-?\d+\.\d+(e[-+]\d+)?")


def comma(path: Path, rows: Rows) -> Path:
    """Leave the file as it is."""
    return path


def semicolon(path: Path, rows: Rows) -> Path:
    """Write the file as a spreadsheet does in a country with decimal commas."""
    with path.open("w", encoding="utf-8-sig", newline="") as stream:
        csv.writer(stream, delimiter=";").writerows([[_comma(text) for text in row] for row in rows])
    return path


def workbook(path: Path, rows: Rows) -> Path:
    """Write the file as a workbook of texts."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append([text or None for text in row])
    target = path.with_suffix(".xlsx")
    book.save(target)
    path.unlink()
    return target


def tabbed(path: Path, rows: Rows) -> Path:
    """Write the file with tabs and the line endings of another system, its columns reversed."""
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, delimiter="\t", lineterminator="\r\n")
        writer.writerows([row[::-1] for row in rows])
    return path


def in_two(path: Path, rows: Rows) -> list[Path]:
    """Write the rows into two files."""
    halves = [rows[: len(rows) // 2], [rows[0], *rows[len(rows) // 2 :]]]
    paths = [path.with_name(f"part-{n}.csv") for n in (1, 2)]
    for half, target in zip(halves, paths, strict=True):
        with target.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows(half)
    path.unlink()
    return paths


FORMS: dict[str, Callable[[Path, Rows], Path | list[Path]]] = {
    "comma": comma, "semicolon": semicolon, "workbook": workbook, "tabs": tabbed, "two files": in_two,
}  # fmt: skip


MAPPING = """asfound: mapping/1
mappings:
  - {delimiter: ";", decimal: ","}
"""
"""The decimal mark is declared, never guessed."""


def in_a_form(readback: list[Path], chance: random.Random) -> tuple[str, list[Path], Path | None]:
    """Draw a form; return its name, the readback in it, and the mapping that it needs."""
    name = chance.choice(list(FORMS))
    paths: list[Path] = []
    for path in readback:
        if path.name == "gateways.csv" and name == "two files":
            paths.append(path)
            continue
        with path.open(encoding="utf-8", newline="") as stream:
            made = FORMS[name](path, list(csv.reader(stream)))
        paths.extend(made if isinstance(made, list) else [made])
    mapping = readback[0].with_name("mapping.yaml") if name == "semicolon" else None
    if mapping:
        mapping.write_text(MAPPING, encoding="utf-8")
    return name, paths, mapping


def _comma(text: str) -> str:
    whole, dot, part = text.partition(".")
    versions = ("2.10", "2.11", "1.04")
    is_number = bool(_NUMBER.fullmatch(text)) and text not in versions
    return f"{whole},{part}" if is_number and dot else text
