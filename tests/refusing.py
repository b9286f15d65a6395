"""What holds for every refusal: exit code 2, one clear message for each problem, and nothing written."""

from __future__ import annotations

import re
from pathlib import Path

from tests.small_site import Outcome, SmallSite

LONGEST_LINE = 300
"""The longest line that a person reads to its end at a terminal: a judgement."""


def assert_refused(site: SmallSite, *arguments: str | Path, at: str, says: str, mend: str) -> str:
    """Check a site that cannot be checked, and return the only problem that is reported.

    `at` is the place, such as `plan.yaml:10:24` (the message may be more precise than a mere `plan.yaml`);
    `says` and `mend` are parts of the message and of its remedy.
    """
    (problem,) = refusal(site, *arguments).problems
    message, _, its_mend = problem.partition("\n")
    place = (site.folder / at).as_posix()
    assert message.startswith(f"{place}:"), f"expected the place {place} in: {message}"
    assert says in message
    assert mend in its_mend
    return problem


def refusal(site: SmallSite, *arguments: str | Path) -> Outcome:
    """Check a site that cannot be checked, assert that it is refused properly, and return the outcome."""
    before = site.files()
    out = () if "--out" in arguments else ("--out", site.folder / "result.json")
    outcome = site.check(*out, *arguments)
    assert outcome.code == 2, outcome.written[:300]
    assert outcome.stdout == ""
    assert site.files() == before, "no file may be written, and no temporary one left"
    assert_clear(outcome.stderr)
    return outcome


def assert_clear(stderr: str) -> None:
    """Assert that every problem has a remedy, and is reported in printable lines that are not too long."""
    assert "Traceback" not in stderr
    assert "internal fault" not in stderr
    lines = stderr.splitlines()
    assert all(line.isprintable() for line in lines)
    assert max(map(len, lines)) <= LONGEST_LINE, stderr
    *problems, closing = lines
    assert closing.startswith("asfound: no verdict: ")
    alike = re.findall(r"^    the same in ([\d,]+) more (?:row|line)s?: \d", stderr, re.MULTILINE)
    problems = [line for line in problems if not line.startswith("    the same in ")]
    messages = problems[0::2]
    mends = problems[1::2]
    assert len(messages) == len(mends), f"a problem has no remedy:\n{stderr}"
    assert all(mend.startswith("    fix: ") for mend in mends), f"a problem has no remedy:\n{stderr}"
    in_all = len(messages) + sum(int(number.replace(",", "")) for number in alike)
    assert f": {in_all:,} problem" in closing
