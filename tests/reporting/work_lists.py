"""Work lists that several tests of writers need."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from audit.model.worklist import WorkList
from audit.run import Order, audited
from audit.worklist.making import Choices, make
from audit.worklist.ticking import tick_off
from tests.the_examples import EXAMPLES

KEPT = {"schema_", "sha256", "status", "run_on"}


def quarry(spares: tuple[int, ...] = (), *, done: bool = False) -> WorkList:
    """Return the work list of the quarry, ticked off or not."""
    folder = EXAMPLES / "tarnbeck"
    made = make(audited(_order(folder / "as-found")), Choices(spares=spares))
    return tick_off(made, audited(_order(folder / "as-left"))) if done else made.list


def _order(readback: Any) -> Order:
    return Order(EXAMPLES / "tarnbeck/plan.yaml", [readback], run_on="2026-05-20")


HELD = quarry()
WHOLE = quarry((113,))
DONE = quarry((113,), done=True)


def with_text(part: Any, text: str) -> Any:
    """Return a copy of a work list in which every free text begins with a text."""
    if isinstance(part, BaseModel):
        parts = {name: value for name, value in part if name not in KEPT and value is not None}
        return part.model_copy(update={name: with_text(value, text) for name, value in parts.items()})
    if isinstance(part, list):
        return [with_text(one, text) for one in part]
    return text + part if isinstance(part, str) else part
