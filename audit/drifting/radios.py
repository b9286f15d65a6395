"""Radios: whose radio settings a node has."""

from __future__ import annotations

from dataclasses import dataclass

from audit.comparing import same
from audit.drifting.new_gateways import NewGateways
from audit.drifting.sealed_site import SealedSite
from audit.model.device import Setting
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Target
from audit.model.value import Value
from audit.reading.identifiers import spelling


@dataclass(frozen=True)
class Radios:
    """The radio settings of the gateways in a baseline, and of those that are new since."""

    baseline: SealedSite
    new_gateways: NewGateways

    def has(self, network: str, setting: Setting, value: Value) -> bool:
        """Tell whether the gateway of a network has a value too, as read now or else in the baseline.

        Of a network that the baseline does not have, the plan names the gateway.
        """
        site = self.baseline.site
        gateway = site.gateways.get(self.baseline.meant(network))
        if gateway is None:
            new = self.new_gateways.get((spelling(network), setting.role or ""))
            return new is not None and same(value, new, setting)
        g, k = gateway
        block = site.blocks[g]
        its = [
            next((v for side in ("found", "planned") if (v := block.value(side, one.name, k)).read), None)
            for one in block.settings(setting.role or "")
        ]
        return any(one is not None and same(value, one, setting) for one in its)

    def show(self, target: Target, network: str, rather_than: str) -> bool:
        """Tell whether what was read of a node is what the gateway of a network has, and another has not.

        An air rate that all gateways share shows nothing.
        """
        block, i = self.baseline.site.blocks[target[0]], target[1]
        read = [(setting, now) for role in NETWORK_ROLES for setting in block.settings(role)
                if (now := block.value("found", setting.name, i)).read]  # fmt: skip
        return all(self.has(network, *one) for one in read) and not all(
            self.has(rather_than, *one) for one in read
        )
