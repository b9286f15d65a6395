"""Two people write into one file, from two processes at once."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from tests.cli.sites import ROOT

WRITER = """
import sys
from pathlib import Path
from tests.entering.talks import SIGNATURE, Talk
from audit.entering.state import Draft
talk = Talk(Path(sys.argv[1]) / sys.argv[2])
talk.__class__.path = property(lambda self: Path(sys.argv[1]) / "shared.jsonl")
file = talk.open()
file.read()
(device,) = talk.wanted.named(sys.argv[2])
print("ready", flush=True)
sys.stdin.readline()
for k in range(int(sys.argv[3])):
    file.append(Draft(device, "note", f"{sys.argv[2]} {k} " + "x" * (k % 40) * 20), SIGNATURE)
    file.append(Draft(device, "channel", str(k)), SIGNATURE)
"""


def at_once(processes: list[subprocess.Popen[str]]) -> None:
    """Start processes together, and wait until they have ended well."""
    for process in processes:
        assert process.stdout
        assert process.stdout.readline() == "ready\n"
        process.stdout.close()
    for process in processes:
        assert process.stdin
        process.stdin.write("go\n")
        process.stdin.close()
    assert [process.wait() for process in processes] == [0, 0]


def test_two_people_write_into_one_file(tmp_path: Path) -> None:
    """Two processes at once: every line is whole, each in its own order, numbered without gaps."""
    count = 60
    processes = [
        subprocess.Popen([sys.executable, "-c", WRITER, tmp_path, tag, str(count)], stdin=subprocess.PIPE,
                         stdout=subprocess.PIPE, cwd=ROOT, text=True)
        for tag in ("N-1", "N-2")
    ]  # fmt: skip
    at_once(processes)

    lines = [json.loads(line) for line in (tmp_path / "shared.jsonl").read_text("utf-8").splitlines()]
    assert len(lines) == 4 * count
    for tag in ("N-1", "N-2"):
        of_one = [line for line in lines if (line["tag"], line["setting"]) == (tag, "channel")]
        assert [line["value"] for line in of_one] == [str(k) for k in range(count)]
        assert [line["reading"] for line in of_one] == list(range(1, count + 1))


def test_two_people_at_one_device_are_numbered_together(tmp_path: Path) -> None:
    """Even if both read the same setting, no two readings have the same number."""
    processes = [
        subprocess.Popen([sys.executable, "-c", WRITER.replace("Talk(Path(sys.argv[1]) / sys.argv[2])",
                          f"Talk(Path(sys.argv[1]) / 'site-{n}')"), tmp_path, "N-1", "30"],
                         stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT, text=True)
        for n in (1, 2)
    ]  # fmt: skip
    at_once(processes)

    lines = [json.loads(line) for line in (tmp_path / "shared.jsonl").read_text("utf-8").splitlines()]
    numbers = [line["reading"] for line in lines if line["setting"] == "channel"]
    assert numbers == list(range(1, 61))
