"""The offline form of `asfound sheet --form`: whether it can be written, its bytes, and what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from audit.cli.writing import as_bytes, check_target
from audit.errors import stop
from audit.reading.same_files import folded

if TYPE_CHECKING:
    from audit.reading.loaded_plan import LoadedPlan
    from audit.sheets.model import Book

ENDINGS = (".html", ".htm")


def check_form(target: Path, others: Sequence[Path], *, with_plan: bool) -> None:
    """Raise InputProblems where the form cannot be written, or is not blind."""
    if target.suffix.lower() not in ENDINGS:
        raise stop(
            f"--form {target.name}: does not end in .html",
            "give it this ending; a phone needs it to open the form",
        )
    alike = [path.name for path in others if folded(path) == folded(target)]
    if alike:
        why = "the same name" if target.name in alike else f"{alike[0]}, the same where capitals are ignored"
        raise stop(f"--form {target.name}: --out has {why}", "give one of them another name")
    if with_plan:
        raise stop("--form does not go with --with-plan", "leave --with-plan out; the form is always blind")
    check_target(target)


def form_page(plan: LoadedPlan, networks: Sequence[str]) -> bytes:
    """Return the form for a plan, or for some of its networks. Raises InputProblems."""
    from audit.asking import asked_devices
    from audit.foretelling import tables_of_slips
    from audit.reporting.form_html import render

    site = plan.file.site
    return as_bytes(render(site, asked_devices(plan, networks), tables_of_slips(site.elevation_m)))


def form_summary(target: Path, plan: Path, book: Book, size: int) -> str:
    """Return what was made, of which devices, and what comes next; `size` is in bytes."""
    from audit.phrases import as_argument, clean, counted, typed

    devices = f"{counted(len(book.whole.devices), 'device')} in {counted(len(book.sheets), 'network')}"
    lines = [
        f"{target.as_posix()}: a form for {devices}, blind, {-(-size // 1000):,} kB",
        "next: copy it to a phone or tablet, open it in a browser there, enter the readings, export them",
        f"then: {typed('asfound', 'check', as_argument(plan.as_posix()), 'EXPORTED.jsonl')}",
    ]
    return "".join(f"{clean(line)}\n" for line in lines)
