"""Options that several commands share, in the same words."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from audit.reporting.formats import Format

LEVELS = ("error", "warning", "note")
"""Not taken from the models: --help must not wait for their import."""


def whole(text: str) -> int:
    """Return a whole number, for argparse."""
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number") from None


def file(text: str) -> Path:
    """Return the path of a file or folder, for argparse. An empty one would be the working folder."""
    if not text:
        raise argparse.ArgumentTypeError("a file name is empty; is a variable not set?")
    return Path(text)


def words(text: str) -> str:
    """Return a text that goes into files, for argparse; these are UTF-8, which arguments need not be."""
    try:
        text.encode()
    except UnicodeEncodeError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is not in UTF-8, as files are; set the terminal to UTF-8, or leave accents out"
        ) from None
    return text


def number(text: str) -> float:
    """Return a number with a decimal point, for argparse."""
    try:
        return float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number; write it as 2 or 2.5") from None


def add_plan(parser: argparse.ArgumentParser) -> None:
    """Declare PLAN."""
    parser.add_argument("plan", metavar="PLAN", type=file, help="the plan (YAML or JSON)")


def add_readback(parser: argparse.ArgumentParser, what: str) -> None:
    """Declare READBACK, any number of files; `what` is its help text."""
    parser.add_argument("readback", metavar="READBACK", type=file, nargs="*", default=[], help=what)


def add_mapping(parser: argparse.ArgumentParser) -> None:
    """Declare --mapping."""
    parser.add_argument(
        "--mapping", metavar="FILE", type=file, help="how to read files that were not made for asfound"
    )


def add_files(parser: argparse.ArgumentParser, name: str, what: str) -> None:
    """Declare an option that names a file and may be repeated; `what` says what the files hold."""
    parser.add_argument(
        name, metavar="FILE", type=file, action="append", default=[], help=f"{what}; may be repeated"
    )


def add_out(parser: argparse.ArgumentParser, what: str) -> None:
    """Declare --out; `what` says what is written, and in which formats."""
    parser.add_argument(
        "--out",
        metavar="FILE",
        action="append",
        default=[],
        help=f"write {what}; - is stdout; may be repeated",
    )


def add_format(parser: argparse.ArgumentParser, forms: Sequence[Format]) -> None:
    """Declare --format."""
    names = [form.name for form in forms]
    parser.add_argument(
        "--format",
        metavar="FORMAT",
        choices=names,
        help=f"format of stdout, and of files whose ending is not known: {', '.join(names)}",
    )


def add_since(parser: argparse.ArgumentParser) -> None:
    """Declare --since."""
    parser.add_argument("--since", metavar="FILE", type=file, help="an earlier result (JSON) to compare with")


def add_sample(parser: argparse.ArgumentParser, more: str = "") -> None:
    """Declare --sample; `more` says what else it does in the command."""
    what = f"only the nodes of this sample had to be read{more}"
    parser.add_argument("--sample", metavar="FILE", type=file, help=what)


def add_fail_on(parser: argparse.ArgumentParser) -> None:
    """Declare --fail-on."""
    parser.add_argument("--fail-on", choices=LEVELS, help="lowest level that fails the run")


def add_on(parser: argparse.ArgumentParser, what: str = "the run's date") -> None:
    """Declare --on: the date of what the command makes."""
    parser.add_argument(
        "--on",
        metavar="DATE",
        help=f"{what}, for instance 2026-03-31 (default: SOURCE_DATE_EPOCH, else today)",
    )


def add_detail(parser: argparse.ArgumentParser) -> None:
    """Declare --detail."""
    parser.add_argument("--detail", action="store_true", help="list every device in a JSON result")


def add_all(parser: argparse.ArgumentParser) -> None:
    """Declare --all, of commands that print causes."""
    parser.add_argument(
        "--all",
        action="store_true",
        help="print every cause, not only the first 100, and every rule that was not checked",
    )


def add_start(parser: argparse.ArgumentParser) -> None:
    """Declare --start."""
    parser.add_argument(
        "--start",
        metavar="X,Y",
        type=_point,
        help="where the route begins: metres on the site's grid, or latitude,longitude where the plan uses "
        "those; with a minus in front, write --start=-33.9,18.4",
    )


def _point(text: str) -> tuple[float, float]:
    """Return two coordinates, for argparse."""
    parts = text.split(",")
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not two numbers separated by a comma") from None
    if not all(abs(number) < 1e9 for number in (x, y)):  # false for NaN, too
        raise argparse.ArgumentTypeError(f"{text!r} is not on any map")
    return x, y
