"""Files as bytes and as text: links, and encodings that do not fit."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from audit.errors import InputProblems
from audit.reading.files import beside, decode
from tests.reading.made import file


@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
def test_a_link_to_itself_is_told(tmp_path: Path) -> None:
    """It leads nowhere."""
    (tmp_path / "x.yaml").symlink_to("x.yaml")
    with pytest.raises(InputProblems, match="leads back to itself"):
        beside(tmp_path / "plan.yaml", "x.yaml", "plan.yaml")


@pytest.mark.parametrize("encoding", ["idna", "punycode"])
def test_an_encoding_that_does_not_fit_is_told(encoding: str) -> None:
    """Some encodings do not say where they fail."""
    with pytest.raises(InputProblems, match=f"is not {encoding}"):
        decode(file("x.csv", b"xn--\n;a"), encoding)
