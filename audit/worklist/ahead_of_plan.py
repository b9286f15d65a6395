"""Settings that are as the list says, though the plan has not been amended yet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.audited import Audited
from audit.comparing import same
from audit.model.device import Setting
from audit.model.roles import NETWORK_ROLES
from audit.model.value import Value
from audit.worklist.devices import Named
from audit.worklist.drafts import Draft
from audit.worklist.holders import ADDRESS


def ahead_of_plan(drafts: Sequence[Draft], after: Audited) -> set[Named]:
    """Return the settings that are as the list says, though the plan has not been amended yet.

    For a radio setting, all those of the network, whether or not the list has a step for each device.
    """
    ahead: set[Named] = set()
    radios: dict[tuple[str, str, object], tuple[Setting, Value]] = {}
    for draft in drafts:
        ahead |= own_ahead(draft, after)
        for setting, wanted in _to_follow(draft, after):
            if draft.device and setting.role in NETWORK_ROLES:
                radios[draft.device.network, setting.role, wanted.content] = setting, wanted
    for (network, _, _), (setting, wanted) in radios.items():
        ahead |= _shown_in(network, setting, wanted, after)
    return ahead


def own_ahead(draft: Draft, after: Audited) -> set[Named]:
    """Return the settings of a step's own device that are as it says, though the plan is not amended yet."""
    if draft.device is None:
        return set()
    b, i = draft.device.order
    block = after.site.blocks[b]
    return {
        ((b, i), setting.name)
        for setting, wanted in _to_follow(draft, after)
        if (found := block.value("found", setting.name, i)).read and same(found, wanted, setting)
    }


def _to_follow(draft: Draft, after: Audited) -> Iterator[tuple[Setting, Value]]:
    """Yield the settings of a step that the plan still has differently, with what the step sets them to."""
    if draft.device is None or not draft.sets:
        return
    b, i = draft.device.order
    for setting, _, wanted in draft.to_be:
        planned = after.site.blocks[b].value("planned", setting.name, i)
        if setting.role != ADDRESS and planned.read and not same(planned, wanted, setting):
            yield setting, wanted


def _shown_in(network: str, setting: Setting, wanted: Value, after: Audited) -> set[Named]:
    """Return the settings of a role that show a value, on any device of a network."""
    return {
        ((b, i), own.name)
        for b, block in enumerate(after.site.blocks)
        for own in block.first_settings(setting.role)
        for i, its in enumerate(block.networks)
        if its == network and (found := block.value("found", own.name, i)).read and same(found, wanted, own)
    }
