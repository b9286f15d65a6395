"""Results that were read from files, to be summed up: under which name, and which was compared with which."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from audit.model.result import Result


@dataclass(frozen=True, slots=True)
class ReadResult:
    """A result with the file it was read from."""

    result: Result
    file: str
    sha256: str


def under_last_names(results: Collection[ReadResult]) -> list[ReadResult]:
    """Return results with each site under the last of its names, as far as the results tell them.

    Once a result has the new name, the old one is free: a later result under it is another site's.
    """
    renamed: dict[str, dict[str, str]] = {}
    for read in sorted(results, key=_named_on, reverse=True):  # of each new name, the first day stays
        site = read.result.site
        for old in {*site.formerly} - {site.name}:
            renamed.setdefault(old, {})[site.name] = _named_on(read)
    return [_under(read, _last_name(read, renamed)) for read in results]


def _named_on(read: ReadResult) -> str:
    """Return the day on which a site had the name in a result: without a plan, drift has the baseline's."""
    drift = read.result.drift
    return drift.baseline.sealed_on if drift and not drift.plan else read.result.run_on


def _last_name(read: ReadResult, renamed: Mapping[str, Mapping[str, str]]) -> str:
    """Return the last name of a site; `renamed` is old name → new name → the first day of that."""
    name, day, passed = read.result.site.name, _named_on(read), {*read.result.site.names}
    while later := [
        (then, new) for new, then in renamed.get(name, {}).items()
        if then > day or (then == day and new not in passed)
    ]:  # fmt: skip
        day, name = min(later)
        passed.add(name)
    return name


def _under(read: ReadResult, name: str) -> ReadResult:
    site = read.result.site.model_copy(update={"name": name})
    return replace(read, result=read.result.model_copy(update={"site": site}))


def was_compared_with(later: ReadResult, earlier: ReadResult) -> bool:
    """Tell whether a result names another as its earlier result, and so came later."""
    return later.result.since is not None and later.result.since.sha256 == earlier.sha256
