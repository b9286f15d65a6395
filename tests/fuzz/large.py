"""Files of a million bytes, given to every reader: the most seconds of computing and megabytes of memory.

    python -m tests.fuzz.large

Each is made from one file of the corpus, or from one short text, in a way that costs careless readers dearly.
"""

from __future__ import annotations

import multiprocessing as mp
import random
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from multiprocessing.connection import Connection
from pathlib import Path

from tabulate import tabulate

from tests.fuzz import CORPUS
from tests.fuzz.readers import READERS, give, placed

SIZE = 1_000_000
REPEATED = (
    "[",
    "{",
    '"',
    "a",
    "0",
    "- ",
    "- - ",
    "a: ",
    "? ",
    "&a ",
    "[a,",
    '{"a":',
    "\n",
    ",",
    "<a>",
    "\x1b[",
)
MOST_SECONDS, MOST_MEGABYTES = 2.0, 500


def inputs(reader: str) -> Iterator[tuple[str, bytes]]:
    """Yield inputs for a reader, each with a name."""
    for path in sorted((CORPUS / reader).iterdir()):
        data = path.read_bytes()
        first, _, rest = data.partition(b"\n")
        yield f"{path.name} again and again", (data * (SIZE // max(1, len(data)) + 1))[:SIZE]
        if rest:
            body = rest if rest.endswith(b"\n") else rest + b"\n"
            yield f"{path.name}, its last lines", first + b"\n" + body * (SIZE // len(body))
            last = body.splitlines(keepends=True)[-1]
            yield f"{path.name}, its last line", data + last * (SIZE // len(last))
        middle = len(data) // 2
        yield f"{path.name}, stretched", data[:middle] + data[middle : middle + 1] * SIZE + data[middle:]
    for text in REPEATED:
        yield f"{text!r} again and again", (text * (SIZE // len(text))).encode()
    yield "a list of scalars", b"[" + b"a," * (SIZE // 2) + b"a]"
    yield "random bytes", random.Random(1).randbytes(SIZE)
    yield "random text", "".join(random.Random(2).choices("[]{}:,\"'\n -#&*|>a1", k=SIZE)).encode()


def _measured(reader: str, data: bytes, end: Connection) -> None:
    with tempfile.TemporaryDirectory() as folder:
        place = placed(Path(folder))
        give(reader, place, b"a")
        before, start = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, time.process_time()
        give(reader, place, data)
        seconds = time.process_time() - start
        end.send((seconds, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024))


def measured(reader: str, data: bytes) -> tuple[float, float] | None:
    """Return seconds of computing and additional megabytes for one input; None if the reader failed."""
    here, there = mp.Pipe()
    child = mp.get_context("fork").Process(target=_measured, args=(reader, data, there))
    child.start()
    there.close()
    child.join()
    if child.exitcode:
        return None
    seconds, megabytes = here.recv()
    return seconds, megabytes


def main() -> int:
    """Measure every input, print the worst of each reader, and list those beyond the limits."""
    rows, beyond = [], []
    for reader in sys.argv[1:] or READERS:
        worst = {name: measured(reader, data) for name, data in inputs(reader)}
        beyond += [
            f"{reader}: {name}: {(found and f'{found[0]:.1f} s, {found[1]:.0f} MB') or 'failed'}"
            for name, found in worst.items()
            if found is None or found[0] > MOST_SECONDS or found[1] > MOST_MEGABYTES
        ]
        costs = [found for found in worst.values() if found]
        rows.append((reader, len(worst), max(one for one, _ in costs), max(most for _, most in costs)))
    print(tabulate(rows, ["reader", "inputs", "most s", "most MB"], floatfmt=".1f"), *beyond, sep="\n")  # noqa: T201
    return int(bool(beyond))


if __name__ == "__main__":
    sys.exit(main())
