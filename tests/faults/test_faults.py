"""A round or two of each fault; `python -m tests.faults` runs hundreds on every command."""

from __future__ import annotations

import argparse
import random
from pathlib import Path

import pytest

from audit.cli.main import parser
from tests.faults.commands import COMMANDS
from tests.faults.rounds import FAULTS, OLD, Good, undisturbed

BY_NAME = {command.name: command for command in COMMANDS}
ROUNDS = [
    ("seal", ["killed", "killed"]),
    ("worklist", ["killed", "no room"]),
    ("check", ["no room", "nobody reads"]),
    ("drift", ["no folder"]),
    ("why", ["no room"]),
]


@pytest.mark.parametrize(("name", "faults"), ROUNDS, ids=[name for name, _ in ROUNDS])
def test_outputs_are_whole_or_absent(tmp_path: Path, name: str, faults: list[str]) -> None:
    """Whatever happens, a file is written in full or not at all, and exit code and message say so."""
    good = undisturbed(BY_NAME[name], tmp_path / "good")
    for n, fault in enumerate(faults):
        assert FAULTS[fault](BY_NAME[name], good, tmp_path / "round", random.Random(n)) == []


def test_a_torn_file_is_noticed(tmp_path: Path) -> None:
    """The rounds report a file that is not what it should be."""
    good = Good(0, 0.0, {"s.json": OLD})

    wrong = FAULTS["nobody reads"](BY_NAME["plan"], good, tmp_path / "r", random.Random(4))

    assert any("s.json is torn" in one for one in wrong)


def test_every_command_that_writes_has_its_rounds() -> None:
    """Every command has rounds, except two that write no file and `enter` (tests/entering/test_killed.py)."""
    (commands,) = [one for one in parser()._actions if isinstance(one, argparse._SubParsersAction)]
    tried = {command.words[0] for command in COMMANDS}

    assert set(commands.choices) - tried == {"enter", "rules", "schema"}
