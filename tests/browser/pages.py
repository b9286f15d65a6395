"""Pages to open: the demo site with positions, sites of several sizes, and hostile text."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

from audit.model.detail import DeviceDetail
from audit.model.result import Result, Waived
from audit.reporting.html_report import render
from audit.run import Order, run
from tests.reporting.detailed import detailed, with_text
from tests.the_examples import EXAMPLES

HOSTILE = (
    "<script>window.pwned=1</script>\"><img src=x onerror='window.pwned=1'>\u202e\x1b[31m{{7*7}}</style>"
)
WAIVED = Waived(
    waiver="W-7", reason="spare on order", compensating_measure=None, owner="A. Sample", approver="B. Other",
    expires="2026-09-30",
)  # fmt: skip


def demo() -> Result:
    """Return the demo site as found, its nodes at invented positions, its first finding waived."""
    folder = EXAMPLES / "merrow-vale"
    result = run(Order(folder / "plan.yaml", [folder / "as-found"], run_on="2026-04-20", detail=True))
    devices = [placed(device, n) for n, device in enumerate(result.devices or ())]
    first = result.findings[0].model_copy(update={"waived": WAIVED})
    return result.model_copy(update={"devices": devices, "findings": [first, *result.findings[1:]]})


def placed(device: DeviceDetail, number: int) -> DeviceDetail:
    """Return a node at an invented position round its gateway."""
    if device.gateway:
        return device
    turn, distance = 2.4 * number, 150 + 60 * (number % 17)
    return device.model_copy(
        update={
            "east_m": round(distance * math.sin(turn), 1),
            "north_m": round(distance * math.cos(turn), 1),
        }
    )


RESULTS: dict[str, Callable[[], Result]] = {
    "demo": demo,
    "6 nodes": lambda: detailed(6, faulty=0.4, unread=0.2),
    "60 nodes": lambda: detailed(60),
    "600 nodes": lambda: detailed(600, 10),
    "600 nodes of one gateway": lambda: detailed(600, positions=True),
    "hostile text": lambda: with_text(detailed(14, 2, faulty=0.4, unread=0.1), HOSTILE),
    "long text": lambda: with_text(detailed(14, 2, faulty=0.4, unread=0.1), "T" * 300),
}
NAMES = list(RESULTS)


@cache
def source(name: str) -> str:
    """Return the source of a page."""
    return render(RESULTS[name]())
