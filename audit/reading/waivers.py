"""Waivers from their files, with every rule and setting that they name checked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from audit.errors import InputProblems, Problem, nearest, stop_if
from audit.model.rule import Rule
from audit.model.table import Place
from audit.model.waiver import Waiver, WaiverFile
from audit.reading.documents import read_naming
from audit.reading.inputs import Inputs
from audit.reading.marks import Document
from audit.reading.quoting import quoted, quoted_id
from audit.reading.same_files import once
from audit.reading.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True)
class ReadWaiver:
    """A waiver, the text of the value that it excuses, and where it is written."""

    waiver: Waiver
    value: str
    """As written; blank if none is given."""
    place: Place


def read_waivers(
    paths: Iterable[Path], rules: Sequence[Rule], words: Vocabulary, inputs: Inputs
) -> list[ReadWaiver]:
    """Return the waivers of all files, in order. Raises InputProblems."""
    found: list[ReadWaiver] = []
    problems: list[Problem] = []
    ids: dict[str, str] = {}
    for path in once(paths):
        try:
            file, document, written, unknown = read_naming(
                path, WaiverFile, "waivers", partial(_unknown_names, rules=rules, words=words)
            )
        except InputProblems as error:
            problems.extend(error.problems)
            continue
        problems.extend(unknown)
        inputs.add(file, "waivers")
        for i, waiver in enumerate(written.waivers):
            place = document.place(("waivers", i), raw=waiver.id)
            problems.extend(_slips(document, i, waiver, rules, words))
            if waiver.id in ids:
                message = f"the waiver {quoted(waiver.id)} is already in {ids[waiver.id]}"
                problems.append(place.problem(message, "give each waiver an id of its own"))
            ids.setdefault(waiver.id, file.name)
            text = document.written(("waivers", i, "value"), waiver.value)
            found.append(ReadWaiver(waiver, text, place))
    stop_if(problems)
    return found


def _unknown_names(document: Document, rules: Sequence[Rule], words: Vocabulary) -> Iterator[Problem]:
    """Yield rules and settings that do not exist, from waivers that may be wrong in other ways as well."""
    entries = document.data.get("waivers") if isinstance(document.data, dict) else None
    known = {"rule": [rule.id for rule in rules], "setting": list(words.settings)}
    for i, entry in enumerate(entries if isinstance(entries, list) else ()):
        for key, names in known.items():
            name = entry.get(key) if isinstance(entry, dict) else None
            if isinstance(name, str) and name not in names:
                message = f"unknown {key} {quoted_id(name, names) if key == 'rule' else quoted(name)}"
                yield document.problem(("waivers", i, key), message, nearest(name, names))


def _slips(
    document: Document, i: int, waiver: Waiver, rules: Sequence[Rule], words: Vocabulary
) -> Iterator[Problem]:
    """Yield a problem for a value that a waiver must not give, or does not give but needs."""
    kinds = {rule.id: rule.check.kind for rule in rules}
    if waiver.setting in words.secrets:
        if waiver.value is not None:
            mend = "take the value out, and change the code"
            yield document.problem(("waivers", i, "value"), "a waiver must not hold an access code", mend)
    elif waiver.setting and waiver.value is None and kinds.get(waiver.rule) != "read-back":
        message = "the waiver does not say which value it excuses"
        mend = "give the exact value as found: `value: ...`"
        yield document.problem(("waivers", i, "setting"), message, mend)
