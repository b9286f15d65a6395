"""device-drift: the devices are those of the baseline, or the message says why not."""

from __future__ import annotations

from audit.checks.context import Context
from audit.model.arguments import DeviceDrift
from audit.model.finding import Hit, Outcome


def run(context: Context, args: DeviceDrift) -> Outcome:
    """Return a hit for each device to which the rule's case applies."""
    drifting = context.site.drift
    needs_plan = args.case in ("pending", "without-record")
    if drifting is None or (needs_plan and not drifting.with_plan):
        return Outcome(0, [])
    if args.case == "recorded" and not drifting.with_records:
        return Outcome(0, [])
    hits = [
        Hit(drift.network, drift.tag, (), drift.message, drift.before, drift.found, drift.places,
            drift.others, order=drift.order, event=drift.what)
        for drift in drifting.devices
        if drift.case == args.case and (not args.what or drift.what in args.what)
    ]  # fmt: skip
    return Outcome(sum(len(block) for block in context.site.blocks) + len(hits), hits)
