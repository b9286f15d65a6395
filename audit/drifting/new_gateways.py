"""Gateways since a baseline: the radio settings of those that are in the plan, but not in the baseline."""

from __future__ import annotations

from collections.abc import Mapping

from audit.drifting.aligning import Aligned
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Site
from audit.model.value import Value
from audit.reading.identifiers import spelling

NewGateways = Mapping[tuple[str, str], Value]
"""Name of a new gateway or of its network, normalised by `spelling`, and role → the value that it has."""


def new_gateways(site: Site, aligned: Aligned | None) -> NewGateways:
    """Return the radio settings of the gateways that the plan adds, as read now or else as planned."""
    if aligned is None:
        return {}
    read = {spelling(name): its.found for its in site.strangers for name in (its.tag, its.serial) if name}
    found: dict[tuple[str, str], Value] = {}
    for p, k in aligned.new:
        block = aligned.plan[p]
        texts = (block.serials[k], block.tags[k], block.networks[k]) if block.gateway else ()
        names = [spelling(text) for text in texts if text]
        now = next((read[name] for name in names if name in read), {})
        for setting in block.type.settings if names else ():
            if setting.role in NETWORK_ROLES:
                value = now.get(setting.name) or block.value("planned", setting.name, k)
                found |= {(name, setting.role): value for name in names}
    return found
