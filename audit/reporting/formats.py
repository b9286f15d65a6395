"""The formats of results, summaries and blank sheets: names, file endings, writers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # the models take longer to import than --help may
    from audit.model.result import Result
    from audit.sheets.model import Book


@dataclass(frozen=True, slots=True)
class Format:
    """One way to write a result."""

    name: str
    endings: tuple[str, ...]
    writer: str
    """Module of this folder with a function `render(result)`, imported only where it is used."""
    detail: bool = False
    """Whether it shows every device, so that the result has to list them."""
    patch: bool = False
    """Whether it shows the changes from the baseline to the readback, so that the result has to hold them."""

    def write(self, made: object, *more: object) -> Any:
        """Return what its writer makes of a result, or of anything else."""
        return import_module(f"audit.reporting.{self.writer}").render(made, *more)


FORMATS = (
    Format("text", (".txt",), "text_report"),
    Format("json", (".json",), "json_report"),
    Format("sarif", (".sarif", ".sarif.json"), "sarif_report"),
    Format("junit", (".junit.xml", ".xml"), "junit_report", detail=True),
    Format("punch-csv", (".csv",), "punch_csv"),
    Format("punch-xlsx", (".xlsx",), "punch_xlsx"),
    Format("markdown", (".md",), "markdown_report"),
    Format("html", (".html", ".htm"), "html_report", detail=True),
)
DRIFT_FORMATS = (
    *FORMATS,
    Format("json-patch", (".patch.json", ".jsonpatch"), "patch_report", patch=True),
)
SUMMARY_FORMATS = (
    Format("text", (".txt",), "summary_text"),
    Format("json", (".json",), "json_report"),
    Format("html", (".html", ".htm"), "summary_html"),
)
HISTORY_FORMATS = (
    Format("text", (".txt",), "history_text"),
    Format("csv", (".csv",), "history_csv"),
    Format("json", (".json",), "json_report"),
    Format("html", (".html", ".htm"), "history_html"),
)
PLAN_FORMATS = (
    Format("text", (".txt",), "suggestion_text"),
    Format("json", (".json",), "json_report"),
    Format("diff", (".diff", ".patch"), ""),
)
WORK_FORMATS = (
    Format("text", (".txt",), "work_text"),
    Format("csv", (".csv",), "work_csv"),
    Format("xlsx", (".xlsx",), "work_xlsx"),
    Format("html", (".html", ".htm"), "work_html"),
    Format("json", (".json",), "json_report"),
)
SHEET_FORMATS = (
    Format("xlsx", (".xlsx",), "sheet_xlsx"),
    Format("csv", (".csv",), "sheet_csv"),
    Format("html", (".html", ".htm"), "sheet_html"),
)
SAMPLE_FORMATS = (
    Format("text", (".txt",), "sample_text"),
    Format("json", (".json",), "sample_json"),
    Format("csv", (".csv",), "sample_csv"),
    Format("html", (".html", ".htm"), "sample_html"),
)
FIGURE_FORMATS = (
    Format("text", (".txt",), "figures_text"),
    Format("csv", (".csv",), "figures_csv"),
    Format("json", (".json",), "json_report"),
)
DIAGNOSIS_FORMATS = (
    Format("text", (".txt",), "diagnosis_text"),
    Format("json", (".json",), "json_report"),
)


def by_name(name: str, forms: Sequence[Format] = FORMATS) -> Format:
    """Return the format with a name, which has to be one of `forms`."""
    return next(form for form in forms if form.name == name)


def by_ending(path: str, forms: Sequence[Format]) -> Format | None:
    """Return the format for a file name by its ending, the longest that fits; None if none fits."""
    fits = [(len(end), form) for form in forms for end in form.endings if path.lower().endswith(end)]
    return max(fits, key=lambda fit: fit[0])[1] if fits else None


def render(result: Result, form: Format, *, detail: bool = False) -> str | bytes:
    """Return a result in a format. Only formats that show every device get the list of them."""
    if not (form.detail or detail):
        result = result.model_copy(update={"devices": None})
    if result.drift and not form.patch:
        result = result.model_copy(update={"drift": result.drift.model_copy(update={"patch": None})})
    written: str | bytes = form.write(result)
    return written


def render_other(made: object, form: Format) -> str | bytes:
    """Return anything made other than a result or blank sheets, in a format."""
    written: str | bytes = form.write(made)
    return written


def render_sheets(book: Book, form: Format, delimiter: str) -> str | bytes:
    """Return blank sheets in a format; `delimiter` is that of CSV."""
    written: str | bytes = form.write(book, *([delimiter] if form.name == "csv" else []))
    return written
