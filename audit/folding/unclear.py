"""Readings of one file that are unclear in the same way: a decimal mark, a word in another language."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from audit.checking import Found
from audit.folding.about import setting_of, values_of
from audit.folding.findings import Cause, Findings, settings_named
from audit.folding.rows import shifted_runs
from audit.folding.unread import says_unclear
from audit.model.finding import Hit
from audit.model.site import Site
from audit.phrases import examples

NO_NUMBER = (" is not a number", " is not a whole number")
"""Complaints that are the same for all sorts of texts."""
MARKS = " .,'’\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}"
"""Marks between thousands, or before decimals."""


def unclear_alike(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find readings of a file with the same complaint, and put them under one finding.

    Where rows have slipped, a word that is an option of another device is not a word in another language.
    """
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    strange = {i for i, item in findings.free() if _is_no_option(findings.site, item)}
    for _, slipped, _ in shifted_runs(findings, at_least) if strange else ():
        strange.difference_update(slipped)
    for i, item in findings.free():
        if i in strange or says_unclear(item):
            groups[item.hit.places[0].file, _complaint(item)].append(i)
    for group in groups.values():
        if len(group) >= at_least:
            hits = findings.hits(group)
            tags = list(dict.fromkeys(hit.node for hit in hits))
            names = settings_named(hits)
            unclear = says_unclear(findings.items[group[0]])
            words = _words(hits, tags, names) if unclear else f"on {len(tags):,} devices: {hits[0].message}"
            yield findings.common_cause(group, words, names)


def _is_no_option(site: Site, item: Found) -> bool:
    """Tell whether a reading is a word that is not among the options of its setting."""
    check, setting = item.rule.check, setting_of(site, item)
    if item.hit.side != "found" or setting is None or not setting.options:
        return False
    if check.kind in ("equals-plan", "equals-gateway"):
        found, _ = values_of(site, item)
        return found.read and found.content not in setting.options
    return check.kind == "within-limits" and check.limits == "device"


def _words(hits: Sequence[Hit], tags: Sequence[str], names: Sequence[str]) -> str:
    """Return the message for all unclear readings: the first one in full, the texts of some others."""
    first = hits[0].message.partition(": ")[2]
    devices = f"{len(tags):,} devices" if len(tags) > 1 else tags[0]
    said = f"{len(hits):,} readings of {', '.join(names)} on {devices} are unclear in the same way: {first}"
    texts = list(dict.fromkeys(repr(hit.places[0].raw.strip()) for hit in hits))[1:]
    return f"{said}; also {examples(texts)}" if texts else said


def _complaint(item: Found) -> str:
    """Return the message about a reading without setting and text; all of it where the text is no option."""
    if not says_unclear(item):
        return item.hit.message
    text = item.hit.places[0].raw.strip()
    complaint = item.hit.message.partition(": ")[2].replace(repr(text), "", 1)
    return complaint + _beside_the_digits(text) if complaint.startswith(NO_NUMBER) else complaint


def _beside_the_digits(text: str) -> str:
    """Return what keeps a text from being a number, apart from marks: empty for `1 450.5`, `?` for `3.9?`.

    The complaint that a text is not a number is the same for all; only texts that also have this in common
    are written in one way.
    """
    return "".join(sign for sign in text.casefold() if not sign.isdigit() and sign not in MARKS)
