"""change-record: change records say what was found, and the readings are newer than the changes."""

from __future__ import annotations

from collections import defaultdict

from audit.checks import same_times
from audit.checks.context import Context
from audit.model.arguments import ChangeRecord
from audit.model.drift import Drifting, RecordOutcome
from audit.model.finding import Hit, Outcome

STATES = {
    "not-borne-out": ("not borne out", "not yet"),
    "other-value": ("other value",),
    "other-before": ("other before",),
    "older-evidence": ("older evidence",),
}
"""What a rule looks for → the states of a record that match."""


def run(context: Context, args: ChangeRecord) -> Outcome:
    """Return a hit for each record, or each network, to which the rule's case applies."""
    drifting = context.site.drift
    if drifting is None:
        return Outcome(0, [])
    if args.what == "older-than-baseline":
        return _older(context, drifting)
    if args.what == "same-times":
        return same_times.run(context, drifting)
    wanted = STATES[args.what]
    hits = [_hit(context, outcome) for outcome in drifting.records if outcome.state in wanted]
    return Outcome(len(drifting.records), hits)


def _hit(context: Context, outcome: RecordOutcome) -> Hit:
    """Return the hit for a record: on its device, or on the network if it is about several devices."""
    change = outcome.record.change
    tags = outcome.tags
    # Nodes that have not followed their gateway are not the device that the record names.
    named = change.node if not tags or outcome.record.node in tags else ""
    node = tags[0] if len(tags) == 1 else named
    b, i = outcome.order
    block = context.site.blocks[b] if b < len(context.site.blocks) else None
    settings = (change.setting,) if change.setting else ()
    planned = found = ""
    places = [outcome.record.place]
    if block and change.setting and node and block.type.setting(change.setting):
        planned = block.value("planned", change.setting, i).shown
        found = block.value("found", change.setting, i).shown
        places = [block.found_place(i, change.setting), *places]
    others = () if len(tags) == 1 else tags
    return Hit(outcome.network, node, settings, outcome.message, planned, found, tuple(places), others,
               order=outcome.order)  # fmt: skip


def _older(context: Context, drifting: Drifting) -> Outcome:
    """Find readings that are no newer than those in the baseline: one hit for each network."""
    of_network: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for b, i in drifting.older:
        of_network[context.site.blocks[b].networks[i]].append((b, i))
    hits = []
    for network, devices in of_network.items():
        b, i = devices[0]
        tags = tuple(map(context.site.planned_tag, devices))
        count = "1 device has" if len(tags) == 1 else f"{len(tags):,} devices have"
        message = f"{count} no reading newer than the baseline's"
        place = context.site.blocks[b].found_place(i, "read_at")
        hits.append(Hit(network, "", (), message, places=(place,), others=tags, order=(b, i)))
    return Outcome(sum(len(block) for block in context.site.blocks), hits)
