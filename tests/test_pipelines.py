"""The hooks and the pipeline examples do what they say, with the program as installed."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from audit.endings import ENTRIES, PERHAPS_TABLES, RECORDS, SHARED_ENTRIES, TABLES, WORKBOOKS

ROOT = Path(__file__).parent.parent
HOOKS = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
JOBS: dict[str, dict[str, Any]] = yaml.safe_load(
    (ROOT / "examples/pipeline/ci.yaml").read_text(encoding="utf-8")
)["jobs"]


def done(folder: Path, *command: str | Path) -> subprocess.CompletedProcess[str]:
    """Run a program in a folder, with this environment's programs first."""
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    ours = {"PATH": path, "PRE_COMMIT_HOME": str(folder.parent / "hooks"), "NO_COLOR": "1"}
    return subprocess.run([*map(str, command)], cwd=folder, env=os.environ | ours, capture_output=True,
                          check=False, encoding="utf-8")  # fmt: skip


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """Return a folder with the layout that the pipeline examples expect."""
    shutil.copytree(ROOT / "examples/ostervik", tmp_path / "work/site")
    (tmp_path / "work/site/as-left").rename(tmp_path / "work/site/readback")
    (tmp_path / "work/records").mkdir()
    shutil.copy(ROOT / "examples/ostervik/earlier.json", tmp_path / "work/records/handover.json")
    return tmp_path / "work"


@pytest.mark.parametrize("name", list(JOBS))
def test_the_jobs_of_the_pipeline(name: str, site: Path) -> None:
    """Each job reaches a verdict and leaves the files that it keeps and publishes."""
    job = JOBS[name]
    assert done(site, "sh", "-c", job["before"]).returncode == 0
    ran = done(site, *shlex.split(job["steps"][-1]["run"]))

    assert ran.returncode in (0, 1), ran.stderr
    published = {file for key, file in job.get("publish", {}).items() if key != "when"}
    for file in published | set(job["keep"]["files"]):
        assert (site / file).stat().st_size > 0


def test_without_a_verdict_no_older_result_is_left(site: Path) -> None:
    """An earlier page that passes is not published where the readback cannot be read.

    A page that somebody keeps under the same name, beside the site, stays.
    """
    gate = ROOT / "examples/pipeline/gate.sh"
    left = {"result.json", "result.sarif", "result.junit.xml", "report.html", "punch-list.csv"}
    (site / "report.html").write_text("signed")
    assert done(site, "sh", gate, "site/plan.yaml", "site/readback").returncode in (0, 1)
    assert {path.name for path in (site / "gate").iterdir()} == left

    ran = done(site, "sh", gate, "site/plan.yaml", "site/nowhere")

    assert (ran.returncode, ran.stdout) == (2, "gate: no verdict, correct the input first\n")
    assert not list((site / "gate").iterdir())
    assert (site / "report.html").read_text() == "signed"


def test_the_manifest_of_hooks_is_valid() -> None:
    """The pre-commit framework takes the definition."""
    assert done(ROOT, "pre-commit", "validate-manifest", ".pre-commit-hooks.yaml").returncode == 0


@pytest.mark.parametrize(
    ("hook", "arguments", "passes"),
    [
        ("asfound-plan", ["site/plan.yaml"], True),
        ("asfound-readback", ["site/plan.yaml", "site/readback"], True),
        ("asfound-readback", ["site/plan.yaml", "site/as-found"], False),
    ],
)
def test_hooks_pass_and_fail(hook: str, arguments: list[str], passes: bool, site: Path) -> None:
    """A commit passes if its plan and readback pass, and is stopped if they do not."""
    (definition,) = [one for one in HOOKS if one["id"] == hook]
    local = definition | {"language": "system", "args": arguments}
    config = {"repos": [{"repo": "local", "hooks": [local]}]}
    (site / ".pre-commit-config.yaml").write_text(yaml.safe_dump(config), encoding="utf-8")
    done(site, "git", "init", "--quiet")
    done(site, "git", "add", "--all")
    ran = done(site, "pre-commit", "run", "--all-files")

    assert (ran.returncode == 0) == passes, ran.stdout
    assert ("PASS" if passes else "FAIL") in ran.stdout.upper()


def test_a_hook_runs_where_a_table_changes() -> None:
    """A change to a possible node table or readback runs the hooks; a change to a picture does not."""
    for hook in HOOKS:
        pattern = re.compile(hook["files"])
        for ending in (*TABLES, *PERHAPS_TABLES, *WORKBOOKS, *RECORDS, ENTRIES, SHARED_ENTRIES):
            assert pattern.search(f"site/nodes/north{ending}"), ending
        assert not pattern.search("site/sketch.png")
