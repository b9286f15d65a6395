"""Which files of a readback are read, and with which mapping: files, folders, what a shell makes of `*`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from audit.endings import (
    ARCHIVES,
    NOT_READ,
    PERHAPS_TABLES,
    RECORDS,
    TABLES,
    UNFINISHED,
    WORKBOOKS,
    holds_entries,
)
from audit.errors import InputProblems, Problem, nearest, stop
from audit.grouping import grouped
from audit.model.mapping import MappingFile
from audit.phrases import listed, typed
from audit.reading.csv_grid import read_csv
from audit.reading.files import inside, is_hidden, marked, read_bytes
from audit.reading.headings import is_readback
from audit.reading.inputs import Inputs
from audit.reading.mappings import any_is_for, is_for, mapping_for, place_in, problem_in, read_mappings
from audit.reading.quoting import quoted
from audit.reading.same_files import first_name
from audit.reading.vocabulary import Vocabulary

MAPPING = "mapping.yaml"
"""Name of the mapping file that is read with a folder."""

MOST_SHOWN = 3
"""How many names of a folder without readbacks are shown."""

MOST_ALIKE = 10
"""How many files of one kind that are not read are noted each by itself."""

TOLD_EACH = (*PERHAPS_TABLES, *NOT_READ, *ARCHIVES, *UNFINISHED)
"""Endings of files that are not read, but may contain readings."""

Mapped = tuple[Path, MappingFile | None]
"""A file to be read, and the mappings that apply to it."""


def files_of(
    paths: Sequence[Path],
    maps: MappingFile | None,
    words: Vocabulary,
    inputs: Inputs,
    problems: list[Problem],
) -> list[Mapped]:
    """Return every file once, including those in folders, each with the mappings that apply to it.

    `maps` are those that were named; they then apply to all files. Otherwise a `mapping.yaml` applies to the
    files of its folder if the folder is named, or if it is itself named together with files of the folder.
    """
    found: dict[Path, Mapped] = {}
    seen: dict[str, list[Path]] = {}
    named = [path for path in paths if path.name == MAPPING and path.is_file()]
    folders = {path.parent for path in paths if path not in named and not path.is_dir()}
    mappings = [path for path in named if path.parent in folders]
    known: dict[Path, MappingFile] = {}
    for path in (path for path in paths if path not in mappings):
        beside = path.parent / MAPPING
        try:
            if beside in mappings and not maps and beside not in known:
                known[beside] = read_mappings(beside, inputs)
            folder = path.is_dir()
            files = _folder(path, maps, paths, words, inputs) if folder else [(path, known.get(beside, maps))]
        except InputProblems as error:
            problems.extend(problem for problem in error.problems if problem not in problems)
            continue
        for file in files:
            first = first_name(file[0], seen)
            found.setdefault(first, file)
            if first != file[0]:
                inputs.passed_over(file[0].as_posix(), f"is {first.as_posix()} again")
    return list(found.values())


def _folder(
    folder: Path, maps: MappingFile | None, named: Sequence[Path], words: Vocabulary, inputs: Inputs
) -> list[Mapped]:
    """Return the files of a folder; a folder inside it that is also named is opened separately."""
    try:
        entries = list(dict.fromkeys(marked(entry) or entry for entry in inside(folder)))
    except OSError as error:
        message = f"the folder cannot be read: {error.strerror}"
        raise stop(message, "ask for permission", file=folder.as_posix()) from None
    mapping = folder / MAPPING
    if mapping in entries:
        if maps is None:
            maps = read_mappings(mapping, inputs)
        elif _unread_beside(mapping, maps):
            mend = f"if its mappings are needed too, add them to {_file_of(maps)}"
            inputs.warn([Problem("was not read, since --mapping is given", mend, mapping.as_posix())])
    files, others = [], []
    for entry in entries:
        if is_hidden(entry) or entry.name == MAPPING:
            continue
        if entry.is_dir():
            if entry not in named:
                _pass_over_folder(entry, inputs)
        elif _may_hold_a_readback(entry) or _is_text_of_readings(entry, maps, words):
            files.append((entry, maps))  # even if it leads nowhere: reading it says so
        elif entry not in named:
            others.append(entry)
    if not files:
        raise _no_readback(folder, [entry for entry in entries if not is_hidden(entry)])
    _pass_over_files(folder, others, inputs)
    return files


def _no_readback(folder: Path, entries: Sequence[Path]) -> InputProblems:
    """Return the problem with a folder without readbacks, with what it has instead."""
    names = [entry.name for entry in entries if entry.name != MAPPING]
    only = f", only {listed(names, MOST_SHOWN)}" if names else ""
    mend = "put CSV, XLSX, ODS, JSON, JSONL or YAML files into it"
    if any(entry.is_dir() for entry in entries):
        mend += "; if folders in it have readbacks, name these folders"
    if any(entry.suffix.lower() in PERHAPS_TABLES for entry in entries):
        mend += "; if a .txt is a readback, name it too, to see what is wrong with its headings or rows"
    return stop(f"the folder contains no readback{only}", mend, file=folder.as_posix())


def _may_hold_a_readback(path: Path) -> bool:
    return path.suffix.lower() in (*TABLES, *WORKBOOKS, *RECORDS) or holds_entries(path.name)


def _is_text_of_readings(path: Path, maps: MappingFile | None, words: Vocabulary) -> bool:
    """Return whether a file of text has the headings of a readback; a page of text has none."""
    if path.suffix.lower() not in PERHAPS_TABLES:
        return False
    try:
        file = read_bytes(path)
        mapping = mapping_for(path, maps)
        return is_readback(read_csv(file, mapping), mapping, words)
    except InputProblems:
        return False


def _pass_over_files(folder: Path, paths: Sequence[Path], inputs: Inputs) -> None:
    """Note the files of a folder that are not read: many of one kind, such as photos, together."""
    for ending, alike in grouped((path.suffix.lower(), path) for path in paths).items():
        if ending and ending not in TOLD_EACH and len(alike) > MOST_ALIKE:
            name = (folder / f"*{ending}").as_posix()
            inputs.passed_over(name, f"{len(alike):,} files, not of a kind that can be a readback")
        else:
            for path in alike:
                _pass_over_file(path, inputs)


def _pass_over_file(path: Path, inputs: Inputs) -> None:
    """Note a file that is not read, and warn if it may contain readings."""
    name, ending = path.as_posix(), path.suffix.lower()
    inputs.passed_over(name, "not a kind of file that can be a readback")
    if ending in PERHAPS_TABLES:
        mend = "if it is a readback, name it too, to see what is wrong with its headings or rows"
        inputs.warn([Problem("a text file without known headings was not read", mend, name)])
    elif ending in NOT_READ:
        mend = "if it is a readback, save it as .xlsx or .csv, and remove the old file"
        inputs.warn([Problem(f"was not read: {ending} files are not supported", mend, name)])
    elif ending in ARCHIVES:
        mend = "if there are readbacks in it, save them in this folder; otherwise keep it elsewhere"
        inputs.warn([Problem("an archive or a mail was not read", mend, name)])
    elif ending in UNFINISHED and _may_hold_a_readback(path.with_suffix("")):
        mend = f"copy {path.stem} again, and remove this file"
        inputs.warn([Problem("was not read: its transfer has not been finished", mend, name)])


def _pass_over_folder(folder: Path, inputs: Inputs) -> None:
    """Note a folder in a folder, and warn if it may contain readings, which would count as not read."""
    name = folder.as_posix()
    inputs.passed_over(name, "a folder in a folder")
    try:
        names = [path.name for path in inside(folder) if not is_hidden(path) and _may_hold_a_readback(path)]
    except OSError:
        return
    if names:
        more = f" and {len(names) - 1} more" if len(names) > 1 else ""
        message = f"a folder in a folder was not read; it contains {names[0]}{more}"
        inputs.warn([Problem(message, "if these are readbacks, name the folder too", name)])


def unused(files: Sequence[Mapped], others: Sequence[Path]) -> Iterator[Problem]:
    """Yield a problem for each mapping that applies to no file, nor to `others`, which are read separately.

    Reported if files cannot be read, or if one was read without any of the mappings.
    """
    elsewhere = [name for other in others for name in _names(other)]
    for maps in {id(maps): maps for _, maps in files if maps}.values():
        names = [path.name for path, its_maps in files if its_maps is maps]
        for mapping in maps.mappings:
            if not any(is_for(mapping, name) for name in (*names, *elsewhere)):
                patterns = " or ".join(map(quoted, mapping.files))
                mend = nearest(mapping.files[0], names)
                yield problem_in(mapping, ("files",), f"none of the files given matches {patterns}", mend)


def _names(path: Path) -> list[str]:
    """Return the name of a file, or the names of what is in a folder; none if that cannot be read."""
    try:
        return [entry.name for entry in inside(path)] if path.is_dir() else [path.name]
    except OSError:
        return []


def any_unmapped(files: Sequence[Mapped]) -> bool:
    """Return whether a table was read without any of the mappings, one of which may be meant for it."""
    return any(
        not any_is_for(maps, path.name)
        for path, maps in files if maps and not holds_entries(path.name)
    )  # fmt: skip


def unread_mapping(path: Path, problems: Sequence[Problem], maps: MappingFile | None) -> list[Problem]:
    """Return a problem if a file needs a mapping, and those that there are were not used for it."""
    if not any("mapping" in problem.mend for problem in problems):
        return []
    if maps:
        return _for_other_files(path, maps)
    beside = path.parent / MAPPING
    if path == beside or not beside.is_file():
        return []
    mend = f"give the folder instead of the file, or add {typed('--mapping', beside.as_posix())}"
    return [Problem(f"the {MAPPING} beside it was not read", mend, path.as_posix())]


def _for_other_files(path: Path, maps: MappingFile) -> list[Problem]:
    """Return a problem if none of the mappings is for a file; it may be a copy of one that has a mapping."""
    if any_is_for(maps, path.name):
        return []
    mend = "if it is a copy, take it away; otherwise name it under `files` there"
    if _unread_beside(path, maps):
        mend = f"the {MAPPING} beside it was not read, since --mapping is given: add its mappings there"
    return [Problem(f"none of the mappings in {_file_of(maps)} is for this file", mend, path.as_posix())]


def _unread_beside(path: Path, maps: MappingFile) -> bool:
    """Return whether a folder has a mapping file of its own, whose place others have taken."""
    beside, own = path.parent / MAPPING, Path(_file_of(maps))
    return beside.is_file() and own.is_file() and not beside.samefile(own)


def _file_of(maps: MappingFile) -> str:
    """Return the file from which mappings were read."""
    return place_in(maps.mappings[0], ("files",), "").file
