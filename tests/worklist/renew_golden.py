"""Golden work lists: what each example site as found on 2026-04-17 has to have done, in text.

    python -m tests.worklist.renew_golden

writes them anew, where a change of them is meant. Look at the difference before you commit it.
"""

from __future__ import annotations

from contextlib import chdir
from pathlib import Path

from tests.small_site import run

ROOT = Path(__file__).parent.parent.parent
FOLDER = Path(__file__).parent / "golden"
SITES = ("merrow-vale", "ostervik", "pellmoor", "sallow-creek", "tarnbeck")


def made(site: str) -> str:
    """Return the work list of an example."""
    folder = f"examples/{site}"
    with chdir(ROOT):
        return run("worklist", f"{folder}/plan.yaml", f"{folder}/as-found", "--on", "2026-04-17").stdout


def main() -> None:
    """Write the golden files."""
    FOLDER.mkdir(exist_ok=True)
    for site in SITES:
        (FOLDER / f"{site}.txt").write_text(made(site), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
