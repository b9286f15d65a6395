"""Look for bytes that make a reader fail, guided by the lines of code that they reach (needs atheris).

    pip install atheris
    python -m tests.fuzz                          # every reader, a million inputs each
    python -m tests.fuzz csv plan --runs 20000    # two of them, for a quick look

An input that fails is kept as crash-…, timeout-… or oom-… in the folder --found, where the corpus grows.
Correct the fault, then copy the input to tests/fuzz/corpus/READER, for test_replay.py to give to the reader.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests.fuzz import CORPUS

MEMORY = Path("/dev/shm")


def one(reader: str, arguments: list[str]) -> None:
    """Fuzz one reader in this process, which libFuzzer ends."""
    import atheris

    with atheris.instrument_imports(include=["audit"]):
        from tests.fuzz.readers import give, placed

    memory = MEMORY if MEMORY.is_dir() else None
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        place = placed(Path(folder))
        atheris.Setup([reader, *arguments], lambda data: give(reader, place, data))
        atheris.Fuzz()


def fuzzed(reader: str, runs: int, found: Path, seconds: int) -> tuple[str, int, str]:
    """Fuzz a reader in a process of its own; return what libFuzzer says at the end."""
    own = found / reader
    own.mkdir(parents=True, exist_ok=True)
    options = [f"-runs={runs}", f"-max_total_time={seconds}", "-timeout=2", "-rss_limit_mb=1500",
               "-malloc_limit_mb=500", "-max_len=4096", "-print_final_stats=1",
               f"-artifact_prefix={own}/"]  # fmt: skip
    command = [sys.executable, "-m", "tests.fuzz", "--one", reader, *options, str(own), str(CORPUS / reader)]
    done = subprocess.run(command, capture_output=True, text=True, errors="replace", check=False)
    (own.parent / f"{reader}.log").write_text(done.stdout + done.stderr)
    executed = [line.split()[-1] for line in done.stderr.splitlines() if "number_of_executed_units" in line]
    return reader, done.returncode, executed[0] if executed else "?"


def main() -> int:
    """Run what the command line asks for."""
    if sys.argv[1:2] == ["--one"]:
        one(sys.argv[2], sys.argv[3:])
        return 0
    readers = sorted(path.name for path in CORPUS.iterdir())
    parser = argparse.ArgumentParser(
        prog="python -m tests.fuzz",
        description=__doc__,
        epilog=f"readers: {', '.join(readers)}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("readers", nargs="*", choices=[*readers, []], metavar="READER",
                        help="all, if none is named")  # fmt: skip
    parser.add_argument("--runs", type=int, default=1_000_000)
    parser.add_argument("--seconds", type=int, default=0, help="at most, for each reader; 0: no limit")
    parser.add_argument("--found", type=Path, default=Path("fuzz-found"))
    asked = parser.parse_args()
    with ThreadPoolExecutor(2) as pool:
        done = pool.map(
            lambda reader: fuzzed(reader, asked.runs, asked.found, asked.seconds), asked.readers or readers
        )
        wrong = 0
        for reader, code, executed in done:
            wrong += code != 0
            print(f"{reader}: {executed} inputs, {'FAILED' if code else 'nothing found'}", flush=True)  # noqa: T201  run by hand
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
