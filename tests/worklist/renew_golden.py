"""Golden work lists: the work at each example site as found on 2026-04-17.

    python -m tests.worklist.renew_golden

renews them after an intended change. Look at the difference before you commit it.
"""

from __future__ import annotations

from contextlib import chdir
from pathlib import Path

from tests.small_site import run

ROOT = Path(__file__).parent.parent.parent
FOLDER = Path(__file__).parent / "golden"
LISTS: dict[str, tuple[str, ...]] = {
    "merrow-vale.txt": (),
    "ostervik.txt": (),
    "pellmoor.txt": (),
    "sallow-creek.txt": (),
    "tarnbeck.txt": (),
    "merrow-vale.json": ("--done", "examples/merrow-vale/as-left"),
    "ostervik.json": ("--done", "examples/ostervik/as-left"),
    "ostervik.csv": ("--start", "0,0"),
    "sallow-creek.json": ("--radio", "Alder Cut=plan"),
}
"""File → further arguments; its format is that of its ending."""


def made(file: str) -> str:
    """Return the work list of a file."""
    site, _, form = file.partition(".")
    folder = f"examples/{site}"
    with chdir(ROOT):
        return run("worklist", f"{folder}/plan.yaml", f"{folder}/as-found", "--on", "2026-07-31",
                   "--format", {"txt": "text"}.get(form, form), *LISTS[file]).stdout  # fmt: skip


def main() -> None:
    """Write the golden files."""
    FOLDER.mkdir(exist_ok=True)
    for file in LISTS:
        (FOLDER / file).write_text(made(file), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
