"""Work lists of small sites written in one call, and devices for the replay."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from audit.model.worklist import Step, WorkList
from audit.run import Order, audited
from audit.worklist.holders import ADDRESS, Holder, Key, Set
from audit.worklist.making import Choices, Made, make
from audit.worklist.moves import Planned
from audit.worklist.replay import Turn
from tests.site_builder import SiteOf

DAY = "2026-05-01"
BLOCK = {"North": {"addresses": {"first": 11, "last": 20}}}
"""Ten addresses for a network called North."""


def made_of(folder: Path, choices: Choices | None = None, waivers: Sequence[Path] = (), **site: Any) -> Made:
    """Write a site and return its work list, with what it was made from."""
    order = SiteOf(**site).write(folder)
    return made_from(order, choices, waivers)


def made_from(order: Order, choices: Choices | None = None, waivers: Sequence[Path] = ()) -> Made:
    """Return the work list of an order."""
    return make(audited(replace(order, run_on=DAY, waivers=waivers)), choices or Choices())


def work_of(
    folder: Path, choices: Choices | None = None, waivers: Sequence[Path] = (), **site: Any
) -> WorkList:
    """Write a site and return its work list."""
    return made_of(folder, choices, waivers, **site).list


def told(steps: Sequence[Step]) -> list[str]:
    """Return which device is changed in each step and to what, or the beginning of what is done."""
    return [
        f"{step.tag}: {', '.join(f'{c.setting} {c.before} → {c.after}' for c in step.changes)}"
        if step.changes
        else f"{step.tag or step.place}: {step.do.split('.')[0]}"
        for step in steps
    ]


def field(work: WorkList) -> list[str]:
    """Return the changes of a list, without what is done at a desk or afterwards."""
    return told([step for step in work.steps if step.changes])


def nodes(addresses: Mapping[str, int], network: str = "N", channel: int = 7) -> dict[Key, Holder]:
    """Return devices at addresses, on one channel."""
    return {
        (network, tag, ""): Holder(network, radio={"channel": channel}, address=address)
        for tag, address in addresses.items()
    }


def to(state: Mapping[Key, Holder], wanted: Mapping[str, int]) -> dict[Key, list[Set]]:
    """Return the address that each device is to get, if it has another."""
    return {
        key: [Set(ADDRESS, holder.address, wanted[key[1]])]
        for key, holder in state.items()
        if key[1] in wanted and wanted[key[1]] != holder.address
    }


def turns(planned: Planned) -> list[Turn]:
    """Return moves in the form that the replay needs."""
    return [
        Turn(n, move.device, move.changes, 1.0, tuple(sorted(before + 1 for before in move.after)))
        for n, move in enumerate(planned.moves, 1)
    ]


def day() -> datetime.date:
    """Return the day of the lists."""
    return datetime.date.fromisoformat(DAY)


def node(address: int, **more: Any) -> dict[str, Any]:
    """Return a node whose factory code is refused, so that nothing else is found on it."""
    return {"address": address, "default_refused": "yes", "channel": 13, **more}


def site(planned: list[dict[str, Any]], found: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """Return a site of one network, its gateway as planned unless stated otherwise."""
    gateway = {"channel": 13, "default_refused": "yes"}
    serials = [{"serial": str(100 + n)} for n in range(max(len(planned), len(found)))]
    return {
        "planned": [serial | row for serial, row in zip(serials, planned, strict=False)],
        "found": [serial | row for serial, row in zip(serials, found, strict=False)],
        "gateway": gateway,
        "networks": BLOCK,
        **more,
    }
