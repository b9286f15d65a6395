"""Every input of the corpus, seeds and what the fuzzer once found, is read or refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz import CORPUS
from tests.fuzz.readers import READERS, give, placed


@pytest.mark.parametrize("reader", READERS)
def test_no_input_makes_a_reader_fail(reader: str, tmp_path: Path) -> None:
    """A traceback here is a fault of the reader; the corpus holds at least one file for each."""
    place = placed(tmp_path)
    inputs = sorted((CORPUS / reader).iterdir())

    for path in inputs:
        give(reader, place, path.read_bytes())

    assert inputs


def test_every_folder_of_the_corpus_has_its_reader() -> None:
    """No input lies where nothing reads it."""
    assert {path.name for path in CORPUS.iterdir()} == set(READERS)
