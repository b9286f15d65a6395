"""A site as its baseline holds it: its devices, looked up by the names that they had then."""

from __future__ import annotations

import datetime
from functools import cached_property

from audit.grouping import grouped
from audit.model.baseline import Content, SealedDevice
from audit.model.site import Site, Target
from audit.reading.gateway_names import gateway_names, network_meant
from audit.reading.identifiers import spelling
from audit.reading.moments import day_of


class SealedSite:
    """A site with the baseline's values on its planned side, and what else was sealed of its devices."""

    def __init__(self, site: Site, content: Content) -> None:
        self.site, self.content = site, content

    @cached_property
    def _called(self) -> dict[str, str]:
        """Name that a gateway or its network may have in a readback → the network."""
        return gateway_names(self.site.plan.networks)

    def meant(self, network: str) -> str:
        """Return the network that a text means, which may name its gateway instead; else the text itself."""
        return network_meant(network, self._called)

    def are_one_network(self, one: str, other: str) -> bool:
        """Tell whether two texts mean the same network."""
        return spelling(self.meant(one)) == spelling(self.meant(other))

    @cached_property
    def devices(self) -> dict[str, list[Target]]:
        """Tag → the devices of the baseline that have it."""
        return grouped(
            (tag, (b, i)) for b, block in enumerate(self.site.blocks) for i, tag in enumerate(block.tags)
        )

    @cached_property
    def spelled(self) -> dict[str, list[Target]]:
        """Tag or serial number, normalised by `spelling` → the devices of the baseline that have it."""
        return grouped(
            (name, (b, i)) for b, block in enumerate(self.site.blocks)
            for i, names in enumerate(zip(block.tags, block.serials, strict=True))
            for name in filter(None, map(spelling, names))
        )  # fmt: skip

    def named(self, tag: str, network: str) -> list[Target]:
        """Return the devices of the baseline with a tag, only those of a network where one is given.

        One that is planned there comes before one that was only found there.
        """
        those = [target for target in self.devices.get(tag, ()) if self.is_in(*target, network)]
        return sorted(those, key=lambda of: self.site.blocks[of[0]].networks[of[1]] != network)

    def is_in(self, b: int, i: int, network: str) -> bool:
        """Tell whether a device is planned in a network or was found there for it; all are in ''."""
        return network in ("", *self.names(b, i, "network"))

    def found_in(self, b: int, i: int) -> str:
        """Return the network in which a device was found for the baseline; else that of its plan."""
        return self.meant(self.names(b, i, "network")[-1])

    def device(self, b: int, i: int) -> SealedDevice:
        """Return a device as the baseline holds it."""
        block = self.site.blocks[b]
        return self.content.devices[block.networks[i]][block.tags[i]]

    def sealed_on(self, b: int, i: int) -> datetime.date:
        """Return the day a device was read for the baseline; else of sealing, or `read_from` if unread."""
        device = self.device(b, i)
        return day_of(device.read_at) or (self.content.sealed_on if device.settings else self.read_from)

    def names(self, b: int, i: int, field: str) -> list[str]:
        """Return the baseline's text in a field of a device, and the text read for it if that differs."""
        block, its = self.site.blocks[b], self.device(b, i)
        read = {"network": its.read_network, "tag": its.read_tag}.get(field)
        own = {"serial": block.serials, "network": block.networks, "tag": block.tags}[field][i]
        return [own, read] if read else [own]

    @cached_property
    def read_from(self) -> datetime.date:
        """The first day on which the baseline was read: it may lack anything between then and the sealing."""
        every = (device for devices in self.content.devices.values() for device in devices.values())
        return min(filter(None, (day_of(device.read_at) for device in every)), default=self.content.sealed_on)
