"""Composed tags: a tag that a table has in several columns, put together as a mapping says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from audit.errors import InputProblems, Problem
from audit.model.mapping import TAG_PART, Mapping
from audit.reading.grid import Grid
from audit.reading.identifiers import bare
from audit.reading.mapped_names import tag_parts
from audit.reading.mappings import problem_in
from audit.reading.named_columns import columns_of, not_shown
from audit.reading.quoting import quoted
from audit.reading.vocabulary import Vocabulary


def slips_in_parts(grid: Grid, mapping: Mapping, words: Vocabulary) -> Iterator[Problem]:
    """Yield problems for columns under `tag_from` that are not there, or must not be shown."""
    parts = tag_parts(mapping)
    for heading in parts:
        yield from not_shown(heading, parts, ("tag_from",), grid, mapping, words)


def with_composed_tag(grid: Grid, names: Sequence[str], mapping: Mapping) -> tuple[Grid, list[str]]:
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
    at = [columns_of(heading, parts, grid, mapping)[0] for heading in parts]
    rows = zip(*([*map(bare, grid.filled(i))] for i in at), strict=True)
    tags = [_tag(mapping.tag_from, parts, texts) for texts in rows]
    grid = replace(
        grid,
        headings=[*grid.headings, ", ".join(bare(grid.headings[i]) for i in at)],
        letters=[*grid.letters, grid.letters[at[-1]]],
        columns=[*grid.columns, tags],
    )
    return grid, [*names, "tag"]


def _tag(pattern: str, parts: Sequence[str], texts: Sequence[str]) -> str:
    """Return a tag put together; blank if a part is that is not a suffix."""
    suffix = pattern.endswith(f"}}{{{parts[-1]}}}")
    if not all(texts[:-1] if suffix else texts):
        return ""
    given = dict(zip(parts, texts, strict=True))
    return TAG_PART.sub(lambda part: given[part[1]], pattern)
