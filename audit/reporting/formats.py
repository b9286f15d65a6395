"""The formats of results, summaries and blank sheets: names, file endings, writers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the models take longer to import than --help may
    from audit.model.diagnosis import Diagnosis
    from audit.model.figure_list import FigureList
    from audit.model.history import History
    from audit.model.result import Result
    from audit.model.route_sheet import RouteSheet
    from audit.model.suggestion import Suggestion
    from audit.model.summary import Summary
    from audit.model.worklist import WorkList
    from audit.sheets.model import Book


@dataclass(frozen=True, slots=True)
class Format:
    """One way to write a result."""

    name: str
    endings: tuple[str, ...]
    writer: str
    """Module with a function `render(result)`, imported only where it is used."""
    what: str
    detail: bool = False
    """Whether it shows every device, so that the result has to list them."""
    patch: bool = False
    """Whether it shows the changes from the baseline to the readback, so that the result has to hold them."""


_HERE = "audit.reporting"
FORMATS = (
    Format("text", (".txt",), f"{_HERE}.text_report", "for a person at a terminal"),
    Format("json", (".json",), f"{_HERE}.json_report", "the whole result, for machines"),
    Format("sarif", (".sarif", ".sarif.json"), f"{_HERE}.sarif_report", "SARIF 2.1.0, for pipelines"),
    Format("junit", (".junit.xml", ".xml"), f"{_HERE}.junit_report", "JUnit XML, for pipelines", detail=True),
    Format("punch-csv", (".csv",), f"{_HERE}.punch_csv", "punch list as a table"),
    Format("punch-xlsx", (".xlsx",), f"{_HERE}.punch_xlsx", "punch list as a workbook"),
    Format("markdown", (".md",), f"{_HERE}.markdown_report", "summary for merge requests"),
    Format("html", (".html", ".htm"), f"{_HERE}.html_report", "page to look at and sign", detail=True),
)
DRIFT_FORMATS = (
    *FORMATS,
    Format("json-patch", (".patch.json", ".jsonpatch"), f"{_HERE}.patch_report", "RFC 6902", patch=True),
)
SUMMARY_FORMATS = (
    Format("text", (".txt",), f"{_HERE}.summary_text", "for a person at a terminal"),
    Format("json", (".json",), f"{_HERE}.json_report", "the whole summary, for machines"),
    Format("html", (".html", ".htm"), f"{_HERE}.summary_html", "page to look at"),
)
HISTORY_FORMATS = (
    Format("text", (".txt",), f"{_HERE}.history_text", "for a person at a terminal"),
    Format("csv", (".csv",), f"{_HERE}.history_csv", "table, one row per event"),
    Format("json", (".json",), f"{_HERE}.json_report", "the whole history, for machines"),
    Format("html", (".html", ".htm"), f"{_HERE}.history_html", "timeline to look at and print"),
)
PLAN_FORMATS = (
    Format("text", (".txt",), f"{_HERE}.suggestion_text", "for a person at a terminal"),
    Format("json", (".json",), f"{_HERE}.json_report", "the whole suggestion, for machines"),
    Format("diff", (".diff", ".patch"), "", "patch of the plan's files, to review and apply"),
)
WORK_FORMATS = (
    Format("text", (".txt",), f"{_HERE}.work_text", "for a person at a terminal"),
    Format("csv", (".csv",), f"{_HERE}.work_csv", "table, one row per step"),
    Format("xlsx", (".xlsx",), f"{_HERE}.work_xlsx", "workbook to print and fill in"),
    Format("html", (".html", ".htm"), f"{_HERE}.work_html", "page to print and sign"),
    Format("json", (".json",), f"{_HERE}.json_report", "the whole list, for machines"),
)
SHEET_FORMATS = (
    Format("xlsx", (".xlsx",), f"{_HERE}.sheet_xlsx", "workbook to fill in, one sheet per network"),
    Format("csv", (".csv",), f"{_HERE}.sheet_csv", "table to fill in"),
    Format("html", (".html", ".htm"), f"{_HERE}.sheet_html", "cards to print, one per device"),
)
SAMPLE_FORMATS = (
    Format("text", (".txt",), f"{_HERE}.sample_text", "route sheet for a person at a terminal"),
    Format("json", (".json",), f"{_HERE}.sample_json", "the recorded sample, for `check --sample`"),
    Format("csv", (".csv",), f"{_HERE}.sample_csv", "route sheet as a table"),
    Format("html", (".html", ".htm"), f"{_HERE}.sample_html", "route sheet to print and tick off"),
)
FIGURE_FORMATS = (
    Format("text", (".txt",), f"{_HERE}.figures_text", "for a person at a terminal"),
    Format("csv", (".csv",), f"{_HERE}.figures_csv", "table, one row per figure"),
    Format("json", (".json",), f"{_HERE}.json_report", "all figures, for machines"),
)
DIAGNOSIS_FORMATS = (
    Format("text", (".txt",), f"{_HERE}.diagnosis_text", "for a person on the way"),
    Format("json", (".json",), f"{_HERE}.json_report", "the whole diagnosis, for machines"),
)


def by_name(name: str, forms: Sequence[Format] = FORMATS) -> Format:
    """Return the format with a name, which has to be one of `forms`."""
    return next(form for form in forms if form.name == name)


def by_ending(path: str, forms: Sequence[Format] = FORMATS) -> Format | None:
    """Return the format for a file name by its ending, the longest that fits; None if none fits."""
    fits = [(len(end), form) for form in forms for end in form.endings if path.lower().endswith(end)]
    return max(fits, key=lambda fit: fit[0])[1] if fits else None


def render(result: Result, form: Format, *, detail: bool = False) -> str | bytes:
    """Return a result in a format. Only formats that show every device get the list of them."""
    if not (form.detail or detail):
        result = result.model_copy(update={"devices": None})
    if result.drift and not form.patch:
        result = result.model_copy(update={"drift": result.drift.model_copy(update={"patch": None})})
    written: str | bytes = import_module(form.writer).render(result)
    return written


def render_other(
    made: Diagnosis | FigureList | History | RouteSheet | Suggestion | Summary | WorkList, form: Format
) -> str | bytes:
    """Return anything made other than a result or blank sheets, in a format."""
    written: str | bytes = import_module(form.writer).render(made)
    return written


def render_sheets(book: Book, form: Format, delimiter: str) -> str | bytes:
    """Return blank sheets in a format; `delimiter` is that of CSV."""
    writer = import_module(form.writer)
    written: str | bytes = writer.render(book, delimiter) if form.name == "csv" else writer.render(book)
    return written
