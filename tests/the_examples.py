"""The examples, and a run on one of them."""

from __future__ import annotations

from pathlib import Path

from audit.model.result import Result
from audit.run import Order, run

EXAMPLES = Path(__file__).parent.parent / "examples"
LEFT_BY = {"sallow-creek": "plan-4.yaml"}
"""The plan that the site was left as, where the work amended the plan too."""


def audit(example: str, readback: str | None = None, gate: str = "handover") -> Result:
    """Run an example against one of its readbacks, or its plan alone."""
    folder = EXAMPLES / example
    read = [folder / readback] if readback else []
    plan = LEFT_BY.get(example, "plan.yaml") if readback == "as-left" else "plan.yaml"
    return run(Order(folder / plan, read, gate=gate, run_on="2026-07-31"))
