"""Random small sites for property tests: two networks, up to eight nodes, slips of every kind."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import Phase, settings
from hypothesis import strategies as st

from audit.model.result import Result
from tests.site_builder import result_of

QUICK = settings(max_examples=30, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
"""The same thirty sites every time, so that a test does not fail on one day and pass on the next.

A failing site is small already; making it smaller would take a minute.
"""
BLANKS = ["", "n/a", "-"]
PLANNED = st.fixed_dictionaries(
    {
        "network": st.sampled_from(["North", "South"]),
        "serial": st.sampled_from(["", "S1", "S2", "S3", "S4"]),
        "address": st.sampled_from([1, 2, 3, 4, 5, 99, ""]),
        "range_low": st.sampled_from([0, 10, ""]),
        "range_high": st.sampled_from([30, 100, 1600, ""]),
        "alarm_low": st.sampled_from([20, 90, ""]),
        "alarm_high": st.sampled_from([80, 10, ""]),
        "deadband": st.sampled_from([1, 0, 60, ""]),
        "report_interval": st.sampled_from([30, 60, ""]),
        "local_lock": st.sampled_from(["on", "off", ""]),
        "seal": st.sampled_from(["S-1", ""]),
    }
)
FOUND = st.fixed_dictionaries(
    {
        "channel": st.sampled_from(["7", "08", "9", "10", "x", *BLANKS]),
        "address": st.sampled_from(["1", "02", "3", "247", "999", *BLANKS]),
        "range_low": st.sampled_from(["0", "0.05", "10", *BLANKS]),
        "range_high": st.sampled_from(["30", "1 bar", "1600", "2000", "?", *BLANKS]),
        "alarm_low": st.sampled_from(["20", "90.0", "5 bar", *BLANKS]),
        "alarm_high": st.sampled_from(["80", "10", *BLANKS]),
        "deadband": st.sampled_from(["1", "0", "60", *BLANKS]),
        "report_interval": st.sampled_from(["30", "1 min", "5", *BLANKS]),
        "local_lock": st.sampled_from(["on", "off", "maybe", *BLANKS]),
        "default_refused": st.sampled_from(["yes", "no", "not tried", *BLANKS]),
        "access_code": st.sampled_from(["8205", "7777", "5093", *BLANKS]),
        "seal": st.sampled_from(["S-1", "S-2", *BLANKS]),
        "read_by": st.sampled_from(["A. Sample", "B. Other", ""]),
        "configured_by": st.sampled_from(["A. Sample", ""]),
    }
)


@st.composite
def sites(draw: st.DrawFn) -> dict[str, Any]:
    """Return the keywords of a site: its plan, and a readback or none."""
    planned = [
        {"tag": f"N{n}", **{k: v for k, v in row.items() if v != ""}}
        for n, row in enumerate(draw(st.lists(PLANNED, min_size=1, max_size=8)))
    ]
    found = None
    if draw(st.integers(0, 9)):
        names = [*range(len(planned)), "stranger"]
        found = [
            {"tag": f"N{name}", "serial": draw(st.sampled_from(["", "S1", "S2", "S9"])), **draw(FOUND)}
            for name in [0, *draw(st.lists(st.sampled_from(names), max_size=8))]
        ]
    gateway = {"channel": 7, "local_lock": "on"}
    gateway_found = draw(
        st.sampled_from([None, gateway, {"channel": 9, "local_lock": "off"}, {"channel": "x"}])
    )
    networks = {
        "North": {"addresses": {"first": 1, "last": 5}, "capacity": {"nodes": 3, "reports_per_hour": 240}},
        "South": {"defaults": {"report_interval": 60}},
    }
    return {"planned": planned, "found": found, "gateway": gateway, "gateway_found": gateway_found,
            "networks": networks}  # fmt: skip


def result(site: dict[str, Any], **how: Any) -> Result:
    """Return the result of a random site, in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        return result_of(Path(folder), **site, **how)
