"""Composed tags: a tag that a table has in several columns, put together as a mapping says."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from audit.errors import InputProblems, Problem, nearest
from audit.model.mapping import Mapping
from audit.reading.grid import Grid
from audit.reading.identifiers import bare
from audit.reading.mapped_names import key_for, tag_parts
from audit.reading.mappings import problem_in
from audit.reading.quoting import quoted, to_name
from audit.reading.vocabulary import Vocabulary

_PART = re.compile(r"\{([^{}]+)\}")


def slips_in_parts(grid: Grid, mapping: Mapping, words: Vocabulary) -> Iterator[Problem]:
    """Yield problems for columns under `tag_from` that are not there, or must not be shown."""
    for heading in tag_parts(mapping):
        times, its = len(_columns_of(heading, grid, mapping)), quoted(heading, words.secrets)
        if times != 1:
            message = f"{grid.file} has {f'{times} columns' if times else 'no column'} {its}"
            mend = nearest(heading, to_name([*map(bare, grid.headings)], words.secrets))
            yield problem_in(mapping, ("tag_from",), message, "give each its own heading" if times else mend)
        elif words.headed(heading) in words.secrets:
            message = f"the column {its} may have access codes, which are not shown"
            yield problem_in(mapping, ("tag_from",), message, "name another column")


def with_composed_tag(
    grid: Grid, names: Sequence[str], mapping: Mapping, words: Vocabulary
) -> tuple[Grid, list[str]]:
    """Return a grid with the tag that the mapping puts together as a further column, and the fields of all.

    Raises InputProblems if another column has the tag.
    """
    parts = tag_parts(mapping)
    if not parts:
        return grid, list(names)
    if "tag" in names:
        message = f"the column {quoted(bare(grid.headings[names.index('tag')]))} has the tag already"
        mend = "leave `tag_from` out, or name that column under `ignore`"
        raise InputProblems([problem_in(mapping, ("tag_from",), message, mend)])
    at = [_columns_of(heading, grid, mapping)[0] for heading in parts]
    rows = zip(*([*map(bare, grid.filled(i))] for i in at), strict=True)
    tags = [_tag(mapping.tag_from, parts, texts) for texts in rows]
    grid = replace(
        grid,
        headings=[*grid.headings, ", ".join(bare(grid.headings[i]) for i in at)],
        letters=[*grid.letters, grid.letters[at[-1]]],
        columns=[*grid.columns, tags],
    )
    return grid, [*names, "tag"]


def _columns_of(heading: str, grid: Grid, mapping: Mapping) -> list[int]:
    return [
        i for i, text in enumerate(grid.headings) if key_for(text, tag_parts(mapping), mapping) == heading
    ]


def _tag(pattern: str, parts: Sequence[str], texts: Sequence[str]) -> str:
    """Return a tag put together; blank if a part is that is not a suffix."""
    suffix = pattern.endswith(f"}}{{{parts[-1]}}}")
    if not all(texts[:-1] if suffix else texts):
        return ""
    given = dict(zip(parts, texts, strict=True))
    return _PART.sub(lambda part: given[part[1]], pattern)
