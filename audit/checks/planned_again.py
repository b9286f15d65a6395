"""Devices that are in the plan more than once: one of the rows must go, or was meant for another device."""

from __future__ import annotations

from audit.checks.context import Context, hit
from audit.model.finding import Outcome
from audit.phrases import listed

MOST_NAMES = 4
"""Most fields named in a message."""


def planned_again(context: Context) -> Outcome:
    """Return a hit for each device that is in the plan again, with what differs there."""
    hits = []
    for b, block in context.blocks():
        codes = any(setting.kind == "secret" for setting in block.type.settings)
        for i, again in block.again.items():
            fields = list(dict.fromkeys(name for one in again for name in one.otherwise))
            alike = "with the same entries wherever both are filled in" + (
                "; access codes were not compared" if codes else ""
            )
            if fields:
                alike = f"with different entries for {listed(fields, MOST_NAMES)}; the first counts"
            serial = f", serial {block.serials[i]}," if block.serials[i] else ""
            times = "twice" if len(again) == 1 else f"{len(again) + 1} times"
            places = [block.planned_place(i, "tag"), *(one.place for one in again)]
            for name in fields[:MOST_NAMES]:
                others = [one.otherwise[name] for one in again if name in one.otherwise]
                places += [block.planned_place(i, name), *others]
            message = f"{block.tags[i]}{serial} is planned {times}, {alike}"
            hits.append(hit(block, b, i, [], message, "planned", (), places))
    return Outcome(sum(len(block) for _, block in context.blocks()), hits)
