"""Completing: what a result holds besides its verdict, whichever kind of run made it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from audit.audited import Audited
from audit.errors import stop
from audit.judging.detailing import details
from audit.judging.since import compare
from audit.model.result import Result
from audit.model.rule import Rule
from audit.model.site import Site
from audit.phrases import as_argument, typed
from audit.reading.results import read_result
from audit.reading.site_names import check_site


def complete(
    result: Result, audited: Audited, words: Sequence[str], *, since: Path | None, detail: bool
) -> Result:
    """Return a result with what is new since an earlier one, its evidence and every device, where asked for.

    `words` begin the command that makes the result again. The date is added, and gate and level where they
    are not the defaults.
    """
    site, differences, gate, rules = audited.site, audited.differences, audited.gate, audited.book.rules
    level, usual = result.gate.fail_on, "drift" if result.drift else "handover"
    named = [] if gate.id == usual else ["--gate", gate.id]
    failing = [] if level == gate.fail_on else ["--fail-on", level]
    made_by = typed(*words, *named, *failing, "--on", result.run_on)
    result = result.model_copy(update={"command": made_by})
    if since:
        result = _since_earlier(result, since, site, rules)
    if gate.evidence:
        from audit.judging.evidence import with_evidence

        result = with_evidence(result, site, differences)
    if detail:
        result = result.model_copy(update={"devices": details(site, differences, result.findings)})
    return result


def command(verb: str, paths: Sequence[Path], options: Mapping[str, Sequence[Path | None]]) -> list[str]:
    """Return the words of a command with its files."""
    named = [
        word
        for name, files in options.items()
        for path in files if path
        for word in (name, as_argument(path.as_posix()))
    ]  # fmt: skip
    return ["asfound", verb, *(as_argument(path.as_posix()) for path in paths), *named]


def _since_earlier(result: Result, path: Path, site: Site, rules: Sequence[Rule]) -> Result:
    """Return a result with what is new and what is gone since an earlier result of the site."""
    earlier, file = read_result(path)
    check_site("result", earlier.site.name, result.site.names, file.name)
    if (earlier.drift is None) != (result.drift is None):
        is_of, asked = ("check", "drift") if result.drift else ("drift", "check")
        raise stop(f"is a result of {is_of}, but this run is {asked}", f"give an earlier result of {asked}",
                   file=file.name)  # fmt: skip
    if earlier.run_on > result.run_on:
        message = f"is dated {earlier.run_on}, after {result.run_on}, the date of this run"
        raise stop(message, "give an earlier result, or state the date with --on", file=file.name)
    compared = compare(result, earlier, file, site, rules)
    if compared.since and earlier.drift and result.drift:
        then, now = earlier.drift.baseline, result.drift.baseline
        if then.sha256 != now.sha256:
            note = (
                f"it was compared with {then.file}, sealed on {then.sealed_on}; this run with {now.file}, "
                f"sealed on {now.sealed_on}: what is gone may merely be part of the newer baseline"
            )
            return compared.model_copy(update={"since": compared.since.model_copy(update={"note": note})})
    return compared
