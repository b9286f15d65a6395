"""Resolving: which field or setting each column of a grid holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from audit.errors import Problem, near, nearest
from audit.model.mapping import Mapping
from audit.phrases import listed
from audit.reading.grid import Grid
from audit.reading.headings import (
    IGNORED,
    devices_as_columns,
    heading_field,
    headings_in_two_rows,
    misread_headings,
    no_heading_row,
)
from audit.reading.identifiers import bare
from audit.reading.mapped_names import key_for
from audit.reading.mappings import problem_in
from audit.reading.quoting import quoted, to_name
from audit.reading.unknown_columns import (
    MANY_UNKNOWN,
    MOST_HEADINGS,
    OWN_HEADING,
    mapping_forgotten,
    unknown_column,
    with_known,
)
from audit.reading.vocabulary import Vocabulary

OTHER_FILE = "check whether `files`, `sheet`, `skip_rows`, `delimiter` and `encoding` are right"


def resolve(
    grid: Grid, mapping: Mapping, words: Vocabulary, also: Iterable[str] = ()
) -> tuple[list[str], list[Problem]]:
    """Return the field of each heading (IGNORED for none), and what is wrong with the headings.

    `also` are texts that the mapping may rename like headings: the settings of a long table.
    """
    names: list[str] = []
    problems: list[Problem] = []
    unknown: list[int] = []
    alike = Counter(map(bare, grid.headings))
    for i, (heading, column) in enumerate(zip(grid.headings, grid.columns, strict=True)):
        name = heading_field(heading, mapping, words)
        if name is None and not heading.strip() and not any(map(str.strip, column)):
            name = IGNORED  # as a delimiter at the end of every line makes
        if name is None:
            unknown.append(i)
            problems.append(unknown_column(grid, i, alike[bare(heading)], words))
        elif name and name in names:
            first = grid.headings[names.index(name)]
            message = f"the columns {quoted(first)} and {quoted(heading)} both mean {name!r}"
            mend = "ignore one of them in a mapping" if bare(first) != bare(heading) else OWN_HEADING
            problems.append(grid.problem(message, mend, grid.heading_row, grid.letters[i]))
        names.append(name or IGNORED)
    if turned := devices_as_columns(grid, names, mapping, words):
        return names, [turned]
    if problems and (misread := misread_headings(grid, mapping, words)):
        return names, [misread]
    if problems and (two := headings_in_two_rows(grid, mapping, words)):
        return names, [two]
    if len(problems) > 1 and not any(names) and not grid.line_of:  # records have no row of headings
        problems = [no_heading_row(grid, mapping, words)]
    elif (not mapping.columns or mapping.heading_rows > 1) and len(problems) == len(unknown) >= max(
        MANY_UNKNOWN, 2 * sum(map(bool, names))
    ):
        problems = [mapping_forgotten(grid, unknown, mapping, words)]
    problems = with_known(problems, words)
    problems += _slips_in_mapping(grid, mapping, words, also, headed=any(names))
    return names, problems


def _slips_in_mapping(
    grid: Grid, mapping: Mapping, words: Vocabulary, also: Iterable[str], *, headed: bool
) -> list[Problem]:
    """Return problems for what a mapping names but is not there: fields, settings and headings.

    If no heading is known (not `headed`), the row may contain readings, which are not shown.
    """
    named = [(("columns", key), f"column {quoted(key)} is mapped to", field)
             for key, field in mapping.columns.items()]  # fmt: skip
    for part in ("constants", "units", "values"):
        named += [((part, field), f"`{part}` names", field) for field in getattr(mapping, part)]
    problems = [
        problem_in(mapping, steps, f"{says} {quoted(field)}, which is neither a field nor a setting",
                   nearest(field, words.known()))
        for steps, says, field in named if words.field(field) is None
    ]  # fmt: skip
    there = {key_for(text, mapping.columns, mapping) for text in (*grid.headings, *also)}
    missing = [heading for heading in mapping.columns if heading not in there]
    known = to_name(grid.headings, words.secrets)
    if missing and len(missing) == len(mapping.columns) and not headed:
        first = listed([quoted(heading, words.secrets) for heading in missing], MOST_HEADINGS)
        of_many = f"none of the {len(missing)} columns that the mapping names: {first}"
        message = f"{grid.file} has {of_many if missing[1:] else f'no column {first}'}"
        mend = f"{nearest(missing[0], known)}; or {OTHER_FILE}" if near(missing[0], known) else OTHER_FILE
        return [*problems, problem_in(mapping, ("columns", missing[0]), message, mend)]
    for heading in missing:
        message = f"{grid.file} has no column {quoted(heading, words.secrets)}"
        problems.append(problem_in(mapping, ("columns", heading), message, nearest(heading, known)))
    return problems
