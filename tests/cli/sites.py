"""Sites with one finding of a known level, and the command in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.small_site import SmallSite, small_site

ROOT = Path(__file__).parents[2]
"""Where the code and the examples are."""


def with_a_finding(folder: Path) -> SmallSite:
    """Return a site with one error: a node on another channel than its gateway."""
    return small_site(folder, found={"N-2": {"channel": "8"}})


def with_a_warning(folder: Path) -> SmallSite:
    """Return a site with one warning: a sheet of another revision of the plan."""
    return small_site(folder, found={"N-2": {"plan_revision": "B"}})


def in_a_process(
    *arguments: str | Path, cwd: Path = ROOT, stdout: int = subprocess.PIPE, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run the command in a process of its own, in a folder and with additions to its environment."""
    return subprocess.run(
        [sys.executable, "-m", "audit", *map(str, arguments)],
        cwd=cwd, stdout=stdout, stderr=subprocess.PIPE, check=False, encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **environment},
    )  # fmt: skip
