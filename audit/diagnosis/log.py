"""The log of calls: one line a call, only ever added to; its counts update the weights."""

from __future__ import annotations

import json
import os
import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from audit import __version__
from audit.disks import reason, synced
from audit.errors import Problem, nearest, stop, stop_if
from audit.model.call import Call
from audit.reading.documents import plain
from audit.reading.files import decode, read_bytes
from audit.reading.forms import USE_NEWER, newer_form
from audit.reading.inputs import Inputs
from audit.reading.quoting import cut, quoted

NOT_JSON = "it is not JSON"
BEGINNING = '{"asfound": "joining-call/1"'
"""How every line begins; one that begins so and is not JSON was cut off, for instance by a power failure."""
_MARK = re.compile(r'{"asfound": "(joining-call/[0-9]+)"')
MEND = (
    "give a file that `asfound why --record CAUSE --log FILE` wrote, use a newer asfound, or delete the line"
)


@dataclass(frozen=True, slots=True)
class Log:
    """The calls of a file."""

    file: str
    sha256: str
    calls: Sequence[Call]

    def counts(self, joined: str) -> Mapping[str, float]:
        """Return cause → calls of nodes that had joined (`was`) or had not (`never`); unknown counts half."""
        counts: dict[str, float] = defaultdict(float)
        for call in self.calls:
            counts[call.cause] += 0.5 if call.joined == "unknown" else float(call.joined == joined)
        return counts


def read_log(path: Path, causes: Sequence[str], inputs: Inputs) -> Log:
    """Return the calls of a log; a file that does not exist yet has none. Raises InputProblems."""
    if not path.exists():
        return Log(path.as_posix(), "", ())
    file = read_bytes(path)
    inputs.add(file, "log of calls")
    if not file.data.strip():
        return Log(file.name, file.sha256, ())
    text = decode(file)
    calls: list[Call] = []
    problems: list[Problem] = []
    torn: list[Problem] = []
    for number, line in enumerate(text.split("\n"), 1):
        head = _MARK.match(line)
        if head and (message := newer_form(head[1], "joining-call")):
            raise stop(message, USE_NEWER, file=file.name, line=number)
        found = _call(line) if line.strip() else None
        if isinstance(found, Call) and found.cause in causes:
            calls.append(found)
        elif isinstance(found, Call):
            message = f"names an unknown cause, {found.cause!r}"
            problems.append(Problem(message, nearest(found.cause, causes), file.name, "", number))
        elif found == NOT_JSON and (line.startswith(BEGINNING) or BEGINNING.startswith(line)):
            message = f"a call that was cut off while being written; left out: {quoted(line)}"
            torn.append(Problem(message, "delete the line", file.name, "", number))
        elif found:
            problems.append(Problem(f"is not a call: {found}", MEND, file.name, "", number))
    stop_if(problems)
    inputs.warn(torn)
    return Log(file.name, file.sha256, calls)


def _call(line: str) -> Call | str:
    """Return the call of a line, or what is wrong with it."""
    try:
        return Call.model_validate(plain(json.loads(line)))
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(map(str, first["loc"]))
        if first["type"] == "extra_forbidden":
            return cut(f"it has {where!r}, unknown to asfound {__version__}")
        return cut(f"{where}: {first['msg']}" if where else str(first["msg"]))
    except (ValueError, RecursionError):
        return NOT_JSON


def append(path: Path, call: Call) -> None:
    """Add a call to a log and see to it that it is on the disk. What is there already is never touched.

    Raises InputProblems. A line that was cut off before is ended first, so that it spoils only itself.
    """
    text = json.dumps(call.model_dump(mode="json"), ensure_ascii=False) + "\n"
    try:
        torn = path.exists() and path.stat().st_size > 0 and _last_byte(path) != b"\n"
        data = (("\n" if torn else "") + text).encode("utf-8", "backslashreplace")
        with path.open("ab", buffering=0) as stream:
            written = stream.write(data)  # in one piece, so that two writers do not mix up their lines
            if written < len(data):
                raise OSError(None, "the disk is full")
            synced(stream.fileno())
    except OSError as error:
        mend = "check the folder, its permissions and the disk space"
        raise stop(f"cannot be written: {reason(error)}", mend, file=path.as_posix()) from None


def _last_byte(path: Path) -> bytes:
    with path.open("rb") as stream:
        stream.seek(-1, os.SEEK_END)
        return stream.read(1)
