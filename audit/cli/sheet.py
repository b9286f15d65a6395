"""asfound sheet: make blank readback sheets from a plan."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from audit.cli import options
from audit.cli.form import check_form, form_page, form_summary
from audit.cli.writing import as_bytes, keep_apart, outputs, write_all, write_file
from audit.errors import EXIT_PASS, stop
from audit.reporting.formats import SHEET_FORMATS, by_name, render_sheets

if TYPE_CHECKING:
    from audit.sheets.model import Book

HELP = "make blank readback sheets, with settings in the order in which devices show them"
EXAMPLES = """examples:
  asfound sheet plan.yaml --out sheets.xlsx --out cards.html
  asfound sheet plan.yaml --network Upper --out upper.csv --delimiter ";"
  asfound sheet examples/merrow-vale/plan.yaml --format csv
  asfound sheet plan.yaml --form form.html

XLSX: a sheet for each network, with drop-downs and limits. CSV: all networks in one table. HTML: cards to
print. `asfound check` reads filled-in XLSX (also saved as ODS) and CSV as they are. The workbook is the
better choice: in a CSV, a spreadsheet turns 007 into 7 and 3-4 into a date. Sheets are blind: they show no
planned values, since a readback copied from the plan proves nothing.

--form makes one HTML file for a phone or tablet without a network: values are entered at the device, those
that differ from the plan are flagged with the likely slip, and `asfound check` reads what the form exports.
It contains the planned values but shows none of them, and contains no access code.

exit codes:
  0  the sheets were written
  2  nothing was written: the plan is unreadable or invalid, or a file is in the way
  130  interrupted
"""
DELIMITERS = {",": ",", ";": ";", "tab": "\t"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    options.add_plan(parser)
    options.add_out(parser, "the sheets to a file, in the format of its ending (.xlsx, .csv, .html)")
    parser.add_argument(
        "--form",
        metavar="FILE.html",
        type=options.file,
        help="write a form to enter values on a phone or tablet without a network",
    )
    options.add_format(parser, SHEET_FORMATS)
    parser.add_argument(
        "--network",
        metavar="NAME",
        action="append",
        default=[],
        help="only the devices of this network; may be repeated",
    )
    parser.add_argument(
        "--delimiter",
        metavar="CHAR",
        choices=DELIMITERS,
        default=",",
        help="what separates the cells of CSV: a comma (the default), ';' for spreadsheets with a decimal "
        "comma, or the word tab",
    )
    parser.add_argument(
        "--with-plan",
        action="store_true",
        help="show the planned values too; the sheet says that a readback copied from them proves nothing",
    )
    parser.add_argument("--replace", action="store_true", help="overwrite existing files, filled in or not")
    parser.add_argument("--quiet", action="store_true", help="print only problems and what --out - asks for")


def run(args: argparse.Namespace, stdout: TextIO, stderr: TextIO) -> int:
    """Make the sheets and write them."""
    from audit.reading.inputs import Inputs
    from audit.reading.plan import read_plan
    from audit.sheets.making import book_of

    to_stdout = "-" in args.out or not (args.out or args.form)
    if to_stdout and not args.format:
        what = "in which format they are printed" if args.out else "where the sheets go"
        raise stop(f"nothing says {what}", "give --out FILE.xlsx, --form FILE.html, or --format csv")
    files = outputs(args, SHEET_FORMATS)
    if args.form:
        check_form(args.form, [path for path, _ in files], with_plan=args.with_plan)
    inputs = Inputs()
    plan = read_plan(args.plan, inputs)
    book = book_of(plan, args.network, with_plan=args.with_plan)
    keep_apart([path for path, _ in files] + ([args.form] if args.form else []), inputs.files)
    delimiter = DELIMITERS[args.delimiter]
    made = [(path, as_bytes(render_sheets(book, form, delimiter))) for path, form in files]
    for path, content in made if not args.replace else ():
        _refuse_to_overwrite(path, content)
    if args.form:
        made.append((args.form, form_page(plan, args.network)))
    write_all(made)
    if to_stdout:
        write_file(stdout, render_sheets(book, by_name(args.format, SHEET_FORMATS), delimiter))
    elif not args.quiet:
        stdout.write(_summary(book, args.plan, [path for path, _ in files]))
        if args.form:
            stdout.write(form_summary(args.form, args.plan, book, len(made[-1][1])))
    return EXIT_PASS


def _refuse_to_overwrite(path: Path, content: bytes) -> None:
    """Raise InputProblems where a file is there that is not this very sheet: it may be filled in."""
    try:
        if not path.exists() or path.read_bytes() == content:
            return
    except OSError:
        pass  # what cannot be read is not overwritten either
    raise stop("exists already, and may be filled in", "give another name, or --replace to overwrite it",
               file=path.as_posix())  # fmt: skip


def _summary(book: Book, plan: Path, paths: list[Path]) -> str:
    """Return what was made, and what comes next."""
    from audit.phrases import as_argument, clean, counted, typed

    devices = counted(len(book.whole.devices), "device")
    networks = counted(len(book.sheets), "network")
    kind = "with planned values: a readback copied from them proves nothing" if book.with_plan else "blind"
    lines = [f"{path.as_posix()}: {devices} in {networks}, {kind}" for path in paths]
    fillable = [path for path in paths if path.suffix.lower() not in (".html", ".htm")]
    if fillable:
        files = (as_argument(path.as_posix()) for path in (plan, fillable[0]))
        lines.append(f"next, once filled in: {typed('asfound', 'check', *files)}")
    return "".join(f"{clean(line)}\n" for line in lines)
