"""The wheel carries all it needs: built and installed outside the checkout, it does the main job."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel from a copy of the checkout."""
    source = tmp_path_factory.mktemp("source") / "asfound"
    leave = shutil.ignore_patterns(".git", ".venv", "tests", "__pycache__", ".*_cache")
    shutil.copytree(ROOT, source, ignore=leave)
    out = tmp_path_factory.mktemp("wheel")
    build: list[str | Path] = [
        sys.executable,
        "-m",
        "build",
        "--wheel",
        "--no-isolation",
        "--outdir",
        out,
        source,
    ]
    subprocess.run(build, check=True, capture_output=True)
    return next(out.glob("*.whl"))


def test_the_wheel_holds_rules_schemas_and_the_type_marker(wheel: Path) -> None:
    """Rule packs, schemas and py.typed travel inside the package."""
    names = set(zipfile.ZipFile(wheel).namelist())

    for folder in ("rules", "schemas"):
        assert {f"audit/{folder}/{path.name}" for path in (ROOT / folder).iterdir()} <= names
    assert "audit/py.typed" in names


def test_the_installed_wheel_does_the_main_job(wheel: Path, tmp_path: Path) -> None:
    """In a new environment outside the checkout, the command checks an example and exits as it should."""
    environment = tmp_path / "venv"
    venv.create(environment, with_pip=False, system_site_packages=False)
    site_packages = next(environment.rglob("site-packages"))
    zipfile.ZipFile(wheel).extractall(site_packages)
    # The libraries are those of this environment; only asfound itself comes from the wheel.
    here = Path(next(p for p in sys.path if p.endswith("site-packages")))
    (site_packages / "libraries.pth").write_text(str(here))
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    python = next(p for p in (environment / "bin/python", environment / "Scripts/python.exe") if p.exists())

    def asfound(*arguments: str) -> subprocess.CompletedProcess[str]:
        command: list[str | Path] = [python, "-m", "audit", *arguments]
        return subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)

    example = "examples/merrow-vale"
    done = asfound(
        "check", f"{example}/plan.yaml", f"{example}/as-found", "--out", "result.json", "--out", "r.html"
    )
    where = subprocess.run([python, "-c", "import audit; print(audit.__file__)"], cwd=tmp_path,
                           capture_output=True, text=True, check=True)  # fmt: skip

    assert Path(where.stdout.strip()).is_relative_to(environment)
    assert done.returncode == 1, done.stderr
    assert json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))["verdict"] == "fail"
    assert asfound("summary", "result.json", "--out", "summary.html").returncode == 1
    assert asfound("rules", "channel-differs").returncode == 0
    assert asfound("schema", "plan").returncode == 0


def test_the_version_is_stated_once() -> None:
    """The command prints the version in pyproject.toml."""
    from audit import __version__

    pyproject = (ROOT / "pyproject.toml").read_text(encoding="utf-8")

    assert re.search(r'^version = "(.*)"$', pyproject, re.MULTILINE)[1] == __version__  # type: ignore[index]
