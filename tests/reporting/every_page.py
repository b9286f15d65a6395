"""One page of every kind that the commands write, made from the examples as a person would make it."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

from tests.small_site import run
from tests.the_examples import EXAMPLES

HEATING, TANKS, QUARRY, WATER = (EXAMPLES / n for n in ("ostervik", "pellmoor", "tarnbeck", "merrow-vale"))
YEARS = sorted((TANKS / "baselines").glob("*.json"))
LATER: list[str | Path] = ["check", HEATING / "plan.yaml", HEATING / "as-found", "--on", "2026-05-20"]
COMMANDS: dict[str, list[str | Path]] = {
    "report": ["check", WATER / "plan.yaml", WATER / "as-found", "--on", "2026-04-20"],
    "evidence": ["check", TANKS / "plan.yaml", TANKS / "as-found", "--on", "2026-06-10", "--gate", "annual"],
    "waivers": [*LATER, "--waivers", HEATING / "waivers.yaml", "--since", HEATING / "earlier.json"],
    "drift": ["drift", YEARS[-1], TANKS / "as-found", "--plan", TANKS / "plan.yaml",
              "--changes", TANKS / "changes.yaml", "--on", "2026-06-10"],
    "work list": ["worklist", QUARRY / "plan.yaml", QUARRY / "as-found", "--on", "2026-05-20"],
    "route sheet": ["sample", TANKS / "plan.yaml", "--lot", "site", "--confidence", "95", "--defective", "20",
                    "--seed", "2026-06"],
    "history": ["history", *YEARS],
    "cards": ["sheet", QUARRY / "plan.yaml"],
    "form": ["sheet", QUARRY / "plan.yaml", "--form"],
}  # fmt: skip
KINDS = [*COMMANDS, "summary"]


@cache
def page(kind: str) -> str:
    """Return the source of a page."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "page.html")
        if kind == "summary":
            later = Path(folder, "later.json")
            run(*LATER, "--out", later, "--quiet")
            command: list[str | Path] = ["summary", HEATING / "earlier.json", later]
        else:
            command = COMMANDS[kind]
        run(*command, *([file] if "--form" in command else ["--out", file]), "--quiet")
        return file.read_text(encoding="utf-8")
