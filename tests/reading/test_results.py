"""Earlier results: what is said of one that is no longer as it was written."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.errors import InputProblems
from audit.reading.results import read_result
from audit.reporting.json_report import render
from audit.run import Order, run
from tests.small_site import small_site


def test_a_number_of_a_result_that_nobody_can_count_to_is_told(tmp_path: Path) -> None:
    """Python refuses to read a whole number of 5,000 digits."""
    path = tmp_path / "x.json"
    path.write_text('{"schema": "asfound/result/1", "counts": {"errors": ' + "1" * 5000 + "}}")
    with pytest.raises(InputProblems, match="is damaged at"):
        read_result(path)


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("verdict", "pass", "its verdict is pass, with 1 finding that its gate fails on"),
        ("errors", 0, "it counts 0 errors, but lists 1"),
        ("waived", 1, "it counts 1 waived, but lists 0"),
    ],
)
def test_a_verdict_that_its_own_findings_contradict_is_refused(
    field: str, value: object, told: str, tmp_path: Path
) -> None:
    """Altering only the verdict or a number in a result does not pass a site."""
    site, path = small_site(tmp_path, found={"N-2": {"channel": "9"}}), tmp_path / "x.json"
    result = run(Order(site.plan, site.readbacks))
    of_node = [finding for finding in result.findings if finding.rule == "channel-differs"]
    counts = result.counts.model_copy(update={"errors": 1, "warnings": 0, "notes": 0})
    result = result.model_copy(update={"findings": of_node, "counts": counts})
    path.write_text(render(result), encoding="utf-8")
    assert read_result(path)[0].verdict == "fail"

    changed = {field: value} if field == "verdict" else {"counts": counts.model_copy(update={field: value})}
    path.write_text(render(result.model_copy(update=changed)), encoding="utf-8")

    with pytest.raises(InputProblems, match=f"contradicts itself: {told}"):
        read_result(path)
