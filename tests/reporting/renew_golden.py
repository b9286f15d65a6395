"""Golden files: what each format of text makes of merrow-vale as found on 2026-04-20.

    python -m tests.reporting.renew_golden

writes them anew, where a change of them is meant. Look at the difference before you commit it.
"""

from __future__ import annotations

from contextlib import chdir
from pathlib import Path

from audit.cli.writing import as_bytes
from audit.model.result import Result
from audit.reporting.formats import by_name, render
from audit.run import Order, run

ROOT = Path(__file__).parent.parent.parent
FOLDER = Path(__file__).parent / "golden"
NAMES = {
    "text": "merrow-vale.txt",
    "json": "merrow-vale.json",
    "sarif": "merrow-vale.sarif",
    "junit": "merrow-vale.junit.xml",
    "punch-csv": "merrow-vale.csv",
    "markdown": "merrow-vale.md",
    "html": "merrow-vale.html",
}
"""Format → file."""


def found() -> Result:
    """Return the result of a run at the root of the project."""
    site = Path("examples/merrow-vale")
    with chdir(ROOT):
        return run(Order(site / "plan.yaml", [site / "as-found"], run_on="2026-04-20", detail=True))


def made() -> dict[str, bytes]:
    """Return the files by name."""
    result = found()
    return {file: as_bytes(render(result, by_name(name))) for name, file in NAMES.items()}


def main() -> None:
    """Write the golden files."""
    FOLDER.mkdir(exist_ok=True)
    for file, content in made().items():
        (FOLDER / file).write_bytes(content)


if __name__ == "__main__":
    main()
