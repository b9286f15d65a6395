"""Waivers from their files, with every rule and setting that they name checked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from audit.errors import InputProblems, Problem, nearest
from audit.model.rule import Rule
from audit.model.table import Place
from audit.model.waiver import Waiver, WaiverFile
from audit.reading.documents import read_model
from audit.reading.inputs import Inputs
from audit.reading.quoting import quoted
from audit.reading.vocabulary import Vocabulary
from audit.reading.yaml_core import Document


@dataclass(frozen=True, slots=True)
class ReadWaiver:
    """A waiver, the text of the value that it excuses, and where it stands."""

    waiver: Waiver
    value: str
    """As written; blank where none is given."""
    place: Place


def read_waivers(
    paths: Iterable[Path], rules: Sequence[Rule], words: Vocabulary, inputs: Inputs
) -> list[ReadWaiver]:
    """Return the waivers of all files, in order. Raises InputProblems."""
    found: list[ReadWaiver] = []
    problems: list[Problem] = []
    ids: dict[str, str] = {}
    for path in paths:
        try:
            waivers, document, file = read_model(path, WaiverFile, "waivers")
        except InputProblems as error:
            problems.extend(error.problems)
            continue
        inputs.add(file, "waivers")
        for i, waiver in enumerate(waivers.waivers):
            mark = document.mark(("waivers", i))
            place = Place(file.name, "", mark.line, str(mark.column), "", waiver.id)
            problems.extend(_slips(document, i, waiver, rules, words))
            if waiver.id in ids:
                message = f"the waiver {quoted(waiver.id)} is there already, in {ids[waiver.id]}"
                problems.append(place.problem(message, "give each waiver an id of its own"))
            ids.setdefault(waiver.id, file.name)
            raw = document.marks.get(("waivers", i, "value"))
            text = raw.raw if raw and waiver.value is not None else ""
            found.append(ReadWaiver(waiver, text, place))
    if problems:
        raise InputProblems(problems)
    return found


def _slips(
    document: Document, i: int, waiver: Waiver, rules: Sequence[Rule], words: Vocabulary
) -> Iterator[Problem]:
    """Yield what a waiver names that is not there, and a value that it needs or must not give."""
    by_id = {rule.id: rule for rule in rules}

    def at(key: str, message: str, mend: str) -> Problem:
        mark = document.mark(("waivers", i, key))
        return Problem(message, mend, document.file, "", mark.line, str(mark.column))

    if waiver.rule not in by_id:
        yield at("rule", f"unknown rule {quoted(waiver.rule)}", nearest(waiver.rule, by_id))
        return
    if waiver.setting is not None and waiver.setting not in words.settings:
        yield at(
            "setting", f"unknown setting {quoted(waiver.setting)}", nearest(waiver.setting, words.settings)
        )
        return
    is_code = waiver.setting in words.secrets
    if is_code and waiver.value is not None:
        yield at("value", "a waiver must not hold an access code", "take the value out, and change the code")
    elif (
        waiver.setting
        and waiver.value is None
        and not is_code
        and by_id[waiver.rule].check.kind != "read-back"
    ):
        mend = "give the exact value as found: `value: ...`"
        yield at("setting", "the waiver does not say which value it excuses", mend)
