"""Gateways that go to what another one still has: it leaves first, or it is told that they share it."""

from __future__ import annotations

from audit.worklist.drafts import Draft, Making, joined, step_mark
from audit.worklist.radio import OWN
from audit.worklist.visits import steps_behind


def keep_gateways_apart(making: Making) -> None:
    """Let a gateway wait for the one that leaves the channel or identity which it is to have.

    Where they wait for each other, as two do that were exchanged, one of them has to come too early.
    """
    gateways = {
        n: draft.device.tag for n, draft in enumerate(making.drafts)
        if draft.sets and draft.device and draft.device.found.gateway
    }  # fmt: skip
    for n in gateways:
        for other, tag in gateways.items():
            comes = making.drafts[n]
            shared = _left_to(comes, making.drafts[other])
            if shared and n in steps_behind(making)[other]:
                hold = f"{tag} has {shared} too until step {step_mark(other)}: outage of both networks agreed"
                comes.hold = joined([comes.hold, hold])
            elif shared:
                comes.needs.add(other)


def _left_to(comes: Draft, leaves: Draft) -> str:
    """Return what a gateway is set to that another one has as found and leaves, in words."""
    own = {(one.role, one.before) for one in leaves.sets if one.role in OWN}
    return " and ".join(
        f"{change.label} {change.after}"
        for change, one in zip(comes.changes, comes.sets, strict=True)
        if (one.role, one.after) in own
    )
