"""not-factory-default: a setting is not at its factory default, unless that is planned."""

from __future__ import annotations

from audit.checks.context import Context, count_read, hit
from audit.model.asked_of_values import NotFactoryDefault
from audit.model.finding import Outcome
from audit.reading.values import default_value


def run(context: Context, args: NotFactoryDefault) -> Outcome:
    """Return a hit for each device that still has the factory default where another is planned."""
    looked_at, hits = 0, []
    for b, block, side, setting, column in context.chosen(args):
        of_factory = default_value(setting)
        if of_factory is None:
            continue
        looked_at += count_read(column)
        default = of_factory.content
        for i, value in enumerate(column):
            if value.read and value.content == default:
                planned = block.value("planned", setting.name, i).content
                if side == "found" and planned == default:
                    continue
                message = f"{setting.name} is {value.shown}, the factory default"
                hits.append(hit(block, b, i, [setting], message, side))
    return Outcome(looked_at, hits)
