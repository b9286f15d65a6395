"""Mapping files: which mapping applies to a file, and where in the mapping file a problem is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fnmatch import fnmatchcase
from pathlib import Path

from audit.errors import Problem, stop_if
from audit.model.base import Scalar
from audit.model.mapping import Mapping, MappingFile
from audit.model.table import Place
from audit.phrases import counted
from audit.reading.documents import read_model
from audit.reading.files import composed
from audit.reading.inputs import Inputs
from audit.reading.marks import Document
from audit.reading.marks import Path as Steps
from audit.reading.vocabulary import Vocabulary


def read_mappings(path: Path, inputs: Inputs) -> MappingFile:
    """Return the mappings in a file, each of which knows its place in it. Raises InputProblems."""
    maps, document, file = read_model(path, MappingFile, "mapping")
    inputs.add(file, "mapping")
    for i, mapping in enumerate(maps.mappings):
        mapping.stands_in(document, i)
    stop_if([*_never_used(maps.mappings)])
    return maps


def _never_used(mappings: Iterable[Mapping]) -> Iterator[Problem]:
    """Yield a problem for each mapping whose files earlier ones take: instead of its sheet theirs is read."""
    taken: set[str] = set()
    for mapping in mappings:
        if "*" in taken or taken.issuperset(mapping.files):
            message = "this mapping is never used: one above is for the same files, and the first one counts"
            mend = "name its files under `files`; sheets of one workbook need a mapping file each in the plan"
            yield problem_in(mapping, ("files",), message, mend)
        taken.update(mapping.files)


def mapping_for(path: Path, maps: MappingFile | None) -> Mapping:
    """Return the first mapping whose patterns match the file's name, or one that changes nothing."""
    mappings = maps.mappings if maps else ()
    return next((mapping for mapping in mappings if is_for(mapping, path.name)), Mapping())


def is_for(mapping: Mapping, name: str) -> bool:
    """Return whether one of a mapping's patterns matches a file name, the same on every system."""
    return any(fnmatchcase(composed(name), pattern) for pattern in mapping.files)


def any_is_for(maps: MappingFile, name: str) -> bool:
    """Return whether one of the mappings in a file is for files of this name."""
    return any(is_for(mapping, name) for mapping in maps.mappings)


def problem_in(mapping: Mapping, steps: Steps, message: str, mend: str) -> Problem:
    """Return a problem with a key of a mapping, at its place in the mapping file."""
    return place_in(mapping, steps, "").problem(message, mend)


def wrong_delimiter(mapping: Mapping, file: str, cells: int, better: str, more: int) -> Problem:
    """Return the problem of a delimiter that splits a heading row into fewer cells than another one."""
    message = f"the delimiter {mapping.delimiter!r} splits the heading row of {file} into "
    message += f"{counted(cells, 'cell')}, {better!r} into {more}"
    return problem_in(mapping, ("delimiter",), message, "correct it, or leave it out")


def written_in(mapping: Mapping, steps: Steps, value: Scalar) -> str:
    """Return a value of a mapping as it is written: 0050 is not 50."""
    document, index = mapping.origin()
    return (document or Document("mapping", None)).written(("mappings", index, *steps), value)


def place_in(mapping: Mapping, steps: Steps, raw: str) -> Place:
    """Return where a key of a mapping is."""
    document, index = mapping.origin()
    if not isinstance(document, Document):
        return Place("mapping", "", 0, "", str(steps[-1]), raw)
    return document.place(("mappings", index, *steps), str(steps[-1]), raw, of_key=True)


def whereabouts(mapping: Mapping) -> str:
    """Return the file and line at which a mapping begins; blank if it is not from a file."""
    document, index = mapping.origin()
    if not isinstance(document, Document):
        return ""
    return f"{document.file}:{document.mark(('mappings', index)).line}"


def withhold_codes(maps: MappingFile | None, words: Vocabulary, inputs: Inputs) -> None:
    """Withhold the digest of a mapping that gives access codes, and note that it does."""
    for mapping in maps.mappings if maps else ():
        named = [(part, name) for part in ("constants", "values") for name in getattr(mapping, part)]
        for steps in named:
            if words.field(steps[1]) in words.secrets:
                place = place_in(mapping, steps, "")
                inputs.withhold(place.file)
                if place not in inputs.codes:
                    inputs.codes.append(place)
