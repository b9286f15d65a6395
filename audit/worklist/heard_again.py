"""What later lists and readings show of what was heard: a node again, an unplanned device no more."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from audit.audited import Audited
from audit.checks.not_joined import networks_with_list
from audit.model.worklist import Status
from audit.reading.gateway_lists import is_list
from audit.worklist.devices import Order
from audit.worklist.drafts import Draft, Making

LISTED = frozenset({"joined_gateway", "last_heard"})
"""Roles of the settings by which a gateway's list shows whether it hears a node."""


def only_listed(making: Making) -> frozenset[str]:
    """Return the findings about devices that are not in the plan, but only in gateway lists."""
    site, items = making.audited.site, making.items
    settings = [setting for block in site.blocks for setting in block.type.settings]
    return frozenset(
        name for n, name in making.ids.items()
        if items[n].asks("identity", "unplanned")
        and all(is_list(table, settings) for table, _ in site.strangers[items[n].hit.order[1]].rows)
    )  # fmt: skip


def unheard(after: Audited, still: Mapping[str, int]) -> dict[str, str]:
    """Return the findings that a gateway does not hear its node: their ids, and each in words."""
    hits = {name: after.waiving.items[n].hit for name, n in still.items()}
    return {
        name: f"{hit.node}: {hit.message}" for name, hit in hits.items()
        if not LISTED.isdisjoint(roles_of(after, hit.order, hit.settings))
    }  # fmt: skip


def of_device(draft: Draft, after: Audited, silent: Mapping[str, str], still: Mapping[str, int]) -> list[str]:
    """Return the words of those findings from `unheard` that are about the device of a step."""
    order = draft.device.order if draft.device else None
    return [words for name, words in silent.items() if after.waiving.items[still[name]].hit.order == order]


def is_listed(draft: Draft, after: Audited) -> bool:
    """Return whether the list was read, if the step set a node so that its gateway hears it again."""
    assert draft.device is not None  # noqa: S101 -- it has settings
    b, i = draft.device.order
    names = asks_list(draft, after)
    return all(after.site.blocks[b].value("found", name, i).read for name in names)


def asks_list(draft: Draft, after: Audited) -> list[str]:
    """Return the settings of a step that only a gateway's list shows."""
    order = draft.device.order if draft.device else None
    return [name for name in draft.asks if order and not LISTED.isdisjoint(roles_of(after, order, (name,)))]


def roles_of(after: Audited, order: Order, names: Collection[str]) -> set[str]:
    """Return the roles of some settings of a device; none if it is not in the plan."""
    planned = order[0] < len(after.site.blocks)
    settings = after.site.blocks[order[0]].type.settings if planned else ()
    return {setting.role for setting in settings if setting.name in names}


def of_unplanned(draft: Draft, after: Audited, by_list: frozenset[str]) -> Status:
    """Return what a later readback shows of an unplanned device that it does not have.

    One that was only ever listed has gone if a later list is without it. Any other may still be there, though
    all others were read: sheets and people go by the plan, and pass by what is not in it.
    """
    if by_list.isdisjoint(draft.findings):
        return "by hand" if _whole(draft.network, after) else "not read again"
    lists = networks_with_list(after.site)
    listed = draft.network in lists if draft.network else after.site.gateways.keys() <= lists
    return "done" if listed else "not read again"


def _whole(network: str, after: Audited) -> bool:
    """Return whether every planned node of a network was read, or of all if it is not known which."""
    nodes = [block for block in after.site.blocks if not block.gateway]
    unread = {block.networks[i] for block in nodes for i in block.unread()}
    return network not in unread if network else not unread
