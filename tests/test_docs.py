"""Every command in the documents runs, and prints the lines of output that are shown."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import pytest
import yaml

from tests.entering.talks import Person
from tests.small_site import run

ROOT = Path(__file__).parent.parent
DOCUMENTS = ["README.md", "DEVELOPERS.md", "examples/README.md"]
CODES = {"asfound why --all": 1, "asfound why": 0, "as-found": 1, "asfound summary": 1, "altered": 1}
"""Part of a command → its exit code; the first part that matches counts."""


def consoles(name: str) -> list[tuple[str, list[str]]]:
    """Return the commands of a document's console blocks, each with the output lines shown below it."""
    found: list[tuple[str, list[str]]] = []
    for block in re.findall(r"```console\n(.*?)```", (ROOT / name).read_text(encoding="utf-8"), re.DOTALL):
        for line in block.splitlines():
            if line.startswith("$ "):
                found.append((line[2:], []))
            else:
                found[-1][1].append(line)
    return found


COMMANDS = [(name, command, shown) for name in DOCUMENTS for command, shown in consoles(name)]


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """Copy the examples to a place where commands may write."""
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    return tmp_path


def _typed(command: str) -> tuple[int, str]:
    """Run a command as if it were typed, and return its exit code and what it prints."""
    program, *words = shlex.split(command)
    if program == "asfound":  # in this process, which is four times as fast
        outcome = run(*words)
        return outcome.code, outcome.stdout
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run([program, *words], capture_output=True, text=True, check=False,
                          encoding="utf-8", env=os.environ | {"PATH": path, "NO_COLOR": "1"})  # fmt: skip
    return done.returncode, done.stdout


@pytest.mark.parametrize(("name", "command", "shown"), COMMANDS, ids=[f"{n}: {c}" for n, c, _ in COMMANDS])
def test_commands_in_documents(
    name: str, command: str, shown: list[str], checkout: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A command in a document exits as expected and prints the lines that are shown, in their order."""
    monkeypatch.chdir(checkout)

    code, stdout = _typed(command)

    assert code == next((code for part, code in CODES.items() if part in command), 0)
    printed = iter(stdout.splitlines())
    for line in shown:
        assert line == "…" or line in printed, f"not printed, or not in this order: {line!r}"


TEXTS = "".join((ROOT / name).read_text(encoding="utf-8") for name in DOCUMENTS)
LISTS = sorted(set(re.findall(r"`asfound ((?:rules|schema)\b[^`>]*)", TEXTS)))
"""Commands within sentences of the documents that list or explain something."""


@pytest.mark.parametrize("words", LISTS)
def test_lists_named_in_sentences(words: str) -> None:
    """Every such command runs."""
    assert run(*words.split()).code == 0


class Typist(Person):
    """A person at a terminal, where each answer follows its prompt on the same line."""

    def read(self, prompt: str, choices: Iterable[str] = ()) -> str:
        """Return the next answer, and keep it with its prompt."""
        answer = super().read(prompt, choices)
        self.seen[-1] = prompt + answer
        return answer

    def end(self, number: int) -> None:
        """Change no signal handlers."""


def test_the_dialogue_in_the_readme(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """For the answers in the README, `enter` shows what the README shows."""
    block = re.findall(r"```text\n\$ (.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    command, _, *shown = block[0].splitlines()
    answers = [typed[1] for line in shown if (typed := re.fullmatch(r"[\w ]+> (.*)", line))]
    typist = Typist(["Lower", *answers])
    monkeypatch.chdir(checkout)
    monkeypatch.setattr("audit.cli.enter._console", lambda _: typist)

    assert run(*shlex.split(command)[1:]).code == 0
    assert typist.seen[-len(shown) :] == shown


def test_the_documents_show_commands() -> None:
    """The README and the examples' README are full of commands, and the pattern finds them."""
    assert len([1 for name, _, _ in COMMANDS if name == "README.md"]) >= 8
    assert len([1 for name, _, _ in COMMANDS if name == "examples/README.md"]) >= 6


def test_the_readmes_test_command_is_the_one_that_ci_runs() -> None:
    """CI runs the README's second command."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    command = re.findall(r"```sh\n(.*?)\n```", readme, re.DOTALL)[1]

    assert command in (ROOT / ".ci/run").read_text(encoding="utf-8")


def test_yaml_in_the_readme_is_valid(tmp_path: Path) -> None:
    """The README's plan, device type, mapping, waivers and site rules fit the schemas; its hooks exist."""
    from audit.model.schemas import FILES
    from audit.reading.documents import build
    from audit.reading.yaml_core import load

    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```yaml\n(.*?)```", readme, re.DOTALL)
    kinds = []
    for block in blocks:
        if block.startswith("repos:"):
            hooks = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
            shown = [hook["id"] for hook in yaml.safe_load(block)["repos"][0]["hooks"]]
            assert shown == [hook["id"] for hook in hooks]
            continue
        document = load(block, "README.md")
        kinds.append(document.data["asfound"].split("/")[0])
        build(document, FILES[kinds[-1]], kinds[-1])

    assert kinds == ["plan", "device-type", "mapping", "waivers", "site-rules"]


@pytest.mark.parametrize(
    "package", sorted((ROOT / "audit").glob("*/__init__.py")), ids=lambda p: str(p.parent.name)
)
def test_what_a_package_lists_exists(package: Path) -> None:
    """The files and folders that a package's docstring lists are in the package."""
    named = re.findall(r"^ *(\w+)/? {2,}\w", package.read_text(encoding="utf-8"), re.MULTILINE)
    held = {path.stem for path in package.parent.iterdir()}

    assert set(named) <= held
