"""The work lists of the examples are, word for word, as they were reviewed."""

from __future__ import annotations

import pytest

from tests.worklist.renew_golden import FOLDER, LISTS, made


@pytest.mark.parametrize("file", LISTS)
def test_a_work_list_is_as_it_was(file: str) -> None:
    """After an intended change, `python -m tests.worklist.renew_golden` renews the golden files."""
    expected = (FOLDER / file).read_text(encoding="utf-8")

    assert made(file) == expected, "if this is meant: python -m tests.worklist.renew_golden"


def test_the_files_are_those_of_the_lists() -> None:
    """No golden file is left over from a list that no longer exists."""
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(LISTS)
