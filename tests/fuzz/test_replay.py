"""Every input of the corpus, seeds and what the fuzzer once found, is read, or refused with a message."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz import CORPUS
from tests.fuzz.readers import READERS, give, placed


@pytest.mark.parametrize("reader", READERS)
def test_no_input_makes_a_reader_fail(reader: str, tmp_path: Path) -> None:
    """A reader reads or refuses each input without a traceback; the corpus has at least one for each."""
    place = placed(tmp_path)
    inputs = sorted((CORPUS / reader).iterdir())

    for path in inputs:
        give(reader, place, path.read_bytes())

    assert inputs


def test_every_folder_of_the_corpus_has_its_reader() -> None:
    """No input is in a folder that no reader reads."""
    assert {path.name for path in CORPUS.iterdir()} == set(READERS)
