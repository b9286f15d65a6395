"""The work lists of the examples are, word for word, what was looked at and found good."""

from __future__ import annotations

import pytest

from tests.worklist.renew_golden import FOLDER, SITES, made


@pytest.mark.parametrize("site", SITES)
def test_a_work_list_is_as_it_was(site: str) -> None:
    """A change is meant: then `python -m tests.worklist.renew_golden` writes the golden files anew."""
    expected = (FOLDER / f"{site}.txt").read_text(encoding="utf-8")

    assert made(site) == expected


def test_the_files_are_those_of_the_sites() -> None:
    """No golden file is left over from a site that is no more."""
    assert sorted(path.stem for path in FOLDER.iterdir()) == sorted(SITES)
