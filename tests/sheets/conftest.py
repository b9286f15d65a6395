"""LibreOffice, started once, where it is installed."""

from __future__ import annotations

import shutil

import pytest

from tests.sheets.office import PROGRAM, Office


@pytest.fixture(scope="session")
def office(tmp_path_factory: pytest.TempPathFactory) -> Office:
    """Return LibreOffice with a profile of its own."""
    if shutil.which(PROGRAM) is None:
        pytest.skip(f"not installed: {PROGRAM} (Debian: libreoffice-calc)")
    made = Office(tmp_path_factory.mktemp("office") / "profile")
    made.start()
    return made
