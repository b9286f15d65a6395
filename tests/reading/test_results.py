"""Earlier results: what is said of one that no longer is what was written."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.errors import InputProblems
from audit.reading.results import read_result


def test_a_number_of_a_result_that_nobody_can_count_to_is_told(tmp_path: Path) -> None:
    """Python refuses to read a whole number of 5,000 digits."""
    path = tmp_path / "x.json"
    path.write_text('{"schema": "asfound/result/1", "counts": {"errors": ' + "1" * 5000 + "}}")
    with pytest.raises(InputProblems, match="is damaged at"):
        read_result(path)
