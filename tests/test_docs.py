"""Every command in the documents runs, and prints the lines of output that are shown."""

from __future__ import annotations

import json
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

from audit.grouping import grouped
from tests.entering.talks import Person
from tests.small_site import run

ROOT = Path(__file__).parent.parent
DOCUMENTS = ["README.md", "DEVELOPERS.md", "examples/README.md", "schemas/README.md"]
CODES = {"asfound why --all": 1, "asfound why": 0, "as-found": 1, "asfound summary": 1, "altered": 1}
"""Part of a command → its exit code; the first part that matches counts."""


def blocks(name: str, language: str) -> list[str]:
    """Return the texts of a document's blocks in one language, in order."""
    text = (ROOT / name).read_text(encoding="utf-8")
    return re.findall(rf"```{language}\n(.*?)```", text, re.DOTALL)


def consoles(name: str) -> list[tuple[str, list[str]]]:
    """Return the commands of a document's console blocks, each with the output lines shown below it."""
    found: list[tuple[str, list[str]]] = []
    for block in blocks(name, "console"):
        for line in block.splitlines():
            if line.startswith("$ "):
                found.append((line[2:], []))
            else:
                found[-1][1].append(line)
    return found


COMMANDS = [(name, command, shown) for name in DOCUMENTS for command, shown in consoles(name)]
SHOWN = grouped((command, shown) for _, command, shown in COMMANDS)
"""Command → the output shown below it, in each document that has it."""


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


@pytest.mark.parametrize("command", SHOWN)
def test_commands_in_documents(command: str, checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A command in a document exits as expected and prints the lines that are shown, in their order."""
    monkeypatch.chdir(checkout)

    code, stdout = _typed(command)

    assert code == next((code for part, code in CODES.items() if part in command), 0)
    for shown in SHOWN[command]:
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


def test_the_dialogue_in_the_examples(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """For the answers in the examples' README, `enter` shows what is shown there."""
    command, _, *shown = blocks("examples/README.md", "text")[0].removeprefix("$ ").splitlines()
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
    command = blocks("README.md", "sh")[1].strip()

    assert command in (ROOT / ".ci/run").read_text(encoding="utf-8")


def test_the_hooks_in_the_examples_readme_exist() -> None:
    """The hooks that are shown are those that the pre-commit framework finds."""
    hooks = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    shown = yaml.safe_load(blocks("examples/README.md", "yaml")[-1])["repos"][0]["hooks"]

    assert [hook["id"] for hook in shown] == [hook["id"] for hook in hooks]


def test_yaml_in_the_documents_is_valid() -> None:
    """The files shown fit their schemas; the plan stands in both documents, word for word."""
    from audit.model.schemas import FILES
    from audit.reading.documents import build
    from audit.reading.yaml_core import load

    kinds = []
    for block in blocks("schemas/README.md", "yaml"):
        document = load(block, "README.md")
        kinds.append(document.data["asfound"].split("/")[0])
        build(document, FILES[kinds[-1]], kinds[-1])

    assert kinds == ["plan", "mapping", "device-type", "device-type", "mapping", "mapping", "waivers",
                     "changes", "site-rules"]  # fmt: skip
    assert blocks("README.md", "yaml")[0] == blocks("schemas/README.md", "yaml")[0]


def test_the_table_of_files_names_their_schemas() -> None:
    """Whoever looks for the keys of a file finds the name to give to `asfound schema`."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    _, table = text.split("| `asfound schema` … |\n|---|---|---|---|\n")
    rows = [line.split("|") for line in table.partition("\n\n")[0].splitlines()]
    named = [name for cells in rows for name in re.findall(r"`([a-z-]+)`", cells[4])]

    assert [cells[1].strip() for cells in rows if not cells[4].strip()] == ["node table"]
    assert [run("schema", name, "--keys").code for name in named] == [0] * len(named)


@pytest.mark.parametrize("form", [0, 1], ids=["wide", "long"])
def test_the_site_in_the_document_of_files(form: int, tmp_path: Path) -> None:
    """The files shown make up a site: its plan passes, and its readbacks are read and compared."""
    plan, _, gateway, node, *_ = blocks("schemas/README.md", "yaml")
    nodes, _, *readbacks = blocks("schemas/README.md", "csv")
    texts = {"plan.yaml": plan, "gateway.yaml": gateway, "zone-pressure.yaml": node,
             "more-nodes.csv": nodes, "readback.csv": readbacks[form]}  # fmt: skip
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")

    alone = run("check", tmp_path / "plan.yaml")
    compared = run("check", tmp_path / "plan.yaml", tmp_path / "readback.csv")

    assert (alone.code, alone.stderr) == (0, "")
    assert (compared.code, compared.stderr) == (1, "")  # two nodes were not read
    assert f"{2 - form} of 4 planned devices read back" in compared.stdout
    assert "0 differ" in compared.stdout


def test_the_register_in_the_document_of_files(tmp_path: Path) -> None:
    """With the mapping shown, the index is a node table: two nodes, and neither its title nor the spare."""
    plan, _, gateway, node, _, mapping, *_ = blocks("schemas/README.md", "yaml")
    plan = plan.replace("file: more-nodes.csv", "{file: index.csv, mapping: mapping.yaml}")
    texts = {"plan.yaml": plan, "gateway.yaml": gateway, "zone-pressure.yaml": node, "mapping.yaml": mapping,
             "index.csv": blocks("schemas/README.md", "csv")[4]}  # fmt: skip
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")

    outcome = run("check", tmp_path / "plan.yaml", "--out", tmp_path / "result.json", "--detail")
    devices = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))["devices"]

    assert (outcome.code, outcome.stderr) == (0, "")
    ranges = {one["tag"]: [setting["planned"] for setting in one["settings"]
                           if setting["name"] in ("range_low", "range_high", "high_alarm")]
              for one in devices if one["tag"] in ("PT-34", "PT-35", "PT-36")}  # fmt: skip
    assert ranges == {"PT-34": ["0 bar", "10 bar = 1000 kPa", "7.8 bar = 780 kPa"],
                      "PT-35": ["0 kPa", "900 kPa"]}  # fmt: skip


def test_the_register_of_alarms_in_the_document_of_files(tmp_path: Path) -> None:
    """With its mapping, each row plans a setpoint; one is about a device that is not in the plan."""
    plan, mapping, gateway, node, *_ = blocks("schemas/README.md", "yaml")
    nodes, alarms, *_ = blocks("schemas/README.md", "csv")
    text = (ROOT / "schemas" / "README.md").read_text(encoding="utf-8")
    (named,) = re.findall(r"`(- \{file: alarms.*\})`", text)
    plan += f"further_tables:\n  {named}\n"
    texts = {"plan.yaml": plan, "gateway.yaml": gateway, "alarms.csv": alarms,
             "zone-pressure.yaml": node, "more-nodes.csv": nodes, "alarms.yaml": mapping}  # fmt: skip
    for name, content in texts.items():
        (tmp_path / name).write_text(content, encoding="utf-8")

    outcome = run("check", tmp_path / "plan.yaml", "--out", tmp_path / "result.json", "--detail")
    devices = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))["devices"]

    assert (outcome.code, outcome.stderr) == (0, "")
    alarms_of = {one["tag"]: setting["planned"] for one in devices for setting in one["settings"]
                 if setting["name"] == "high_alarm"}  # fmt: skip
    assert alarms_of == {"PT-32": "7.8 bar = 780 kPa", "PT-33": "1500 kPa"}


LISTED_WHOLE = ("figures", "sampling")
"""Packages whose docstring lists all of their files."""


@pytest.mark.parametrize(
    "package", sorted((ROOT / "audit").glob("*/__init__.py")), ids=lambda p: str(p.parent.name)
)
def test_what_a_package_lists_exists(package: Path) -> None:
    """The files and folders that a package's docstring lists are in the package."""
    named = re.findall(r"^ *(\w+)/? {2,}\w", package.read_text(encoding="utf-8"), re.MULTILINE)
    held = {path.stem for path in package.parent.iterdir()}

    assert set(named) <= held
    if package.parent.name in LISTED_WHOLE:
        assert held - {"__init__", "__pycache__"} <= set(named), "add it to the list in __init__.py"
