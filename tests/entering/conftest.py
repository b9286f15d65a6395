"""What the tests of `enter` start from."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.entering.talks import Talk


@pytest.fixture
def talk(tmp_path: Path) -> Talk:
    """Return a talk with nothing typed yet."""
    return Talk(tmp_path)
