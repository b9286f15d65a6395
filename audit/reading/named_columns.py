"""Named columns: those that a mapping names by their headings, each of which has to be in the file once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from audit.errors import Problem, nearest
from audit.model.mapping import Mapping
from audit.reading.grid import Grid
from audit.reading.identifiers import bare
from audit.reading.mapped_names import key_for
from audit.reading.mappings import problem_in
from audit.reading.marks import Path
from audit.reading.quoting import quoted, to_name
from audit.reading.vocabulary import Vocabulary


def columns_of(heading: str, keys: Iterable[str], grid: Grid, mapping: Mapping) -> list[int]:
    """Return the positions of the columns that go by a heading, which is one of some keys of the mapping."""
    keys = tuple(keys)
    return [i for i, text in enumerate(grid.headings) if key_for(text, keys, mapping) == heading]


def not_there_once(
    heading: str, keys: Iterable[str], steps: Path, grid: Grid, mapping: Mapping, words: Vocabulary
) -> Iterator[Problem]:
    """Yield a problem at `steps` of the mapping if a file has no column of a heading, or several."""
    times = len(columns_of(heading, keys, grid, mapping))
    if times != 1:
        what = "label" if mapping.form == "across" else "column"
        its = f"{times} {what}s" if times else f"no {what}"
        there = to_name([*map(bare, grid.headings)], words.secrets)
        mend = "give each its own text" if times else nearest(heading, there)
        yield problem_in(mapping, steps, f"{grid.file} has {its} {quoted(heading, words.secrets)}", mend)


def not_shown(
    heading: str, keys: Iterable[str], steps: Path, grid: Grid, mapping: Mapping, words: Vocabulary
) -> list[Problem]:
    """Return a problem if a column whose texts reports may quote is not there once, or may have codes."""
    wrong = [*not_there_once(heading, keys, steps, grid, mapping, words)]
    if not wrong and words.headed(heading) in words.secrets:
        its = quoted(heading, words.secrets)
        message = f"the column {its} may have access codes, which are not shown"
        wrong.append(problem_in(mapping, steps, message, "name another column"))
    return wrong
