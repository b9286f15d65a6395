"""Records: which change records explain what was found."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from audit.comparing import same
from audit.drifting.names_since import named_as_then
from audit.drifting.new_gateways import NewGateways
from audit.drifting.radios import Radios
from audit.drifting.sealed_site import SealedSite
from audit.grouping import grouped
from audit.model.change import What
from audit.model.device import Setting
from audit.model.drift import ReadChange
from audit.model.identified import Stranger
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Target
from audit.model.table import Style
from audit.model.value import Value
from audit.reading.identifiers import bare, spelling
from audit.reading.moments import day_of
from audit.reading.values import parse
from audit.texts import field_of

FIELDS = {"exchange": "serial", "move": "network", "retag": "tag"}
"""Kind of change to a device → the field that it changes."""


class Records:
    """The change records, looked up by what they are about."""

    def __init__(
        self,
        baseline: SealedSite,
        changes: Sequence[ReadChange],
        today: datetime.date,
        new_gateways: NewGateways,
    ) -> None:
        self.baseline, self.site, self.today = baseline, baseline.site, today
        self.radios = Radios(baseline, new_gateways)
        self.changes = named_as_then(self.site, sorted(changes, key=_by_date), baseline.content)
        self._of_node = grouped((read.node, read) for read in self.changes if read.node)
        self._of_network = grouped((read.network, read) for read in self.changes if not read.node)

    def explaining(self, b: int, i: int, setting: Setting, now: Value) -> tuple[ReadChange, ...]:
        """Return the records about a setting, oldest first, if the last one gives the value that was found.

        The record of a move also explains the radio settings of the new gateway.
        """
        if not self.changes or setting.kind == "secret":
            return ()
        read = day_of(field_of(self.site.blocks[b], i, "read_at"))
        records = [r for r in self.of_setting(b, i, setting) if read is None or r.change.date <= read]
        if records and means(records[-1].after, now, setting):
            return tuple(records)
        moves, to = self._moved(b, i) if setting.role in NETWORK_ROLES else ([], "")
        return tuple(moves) if moves and self.radios.has(to, setting, now) else ()

    def _moved(self, b: int, i: int) -> tuple[Sequence[ReadChange], str]:
        """Return the records that moved a device to another network, or added it there, and which that is."""
        if moves := self.of_device("move", (b, i)):
            return moves, moves[-1].after
        block, to = self.site.blocks[b], self.follows(b, i)
        if to == self.baseline.found_in(b, i):
            return [], ""
        return self.anew((b, i), field_of(block, i, "tag"), block.serials[i], to), to

    def beside(self, b: int, i: int, setting: Setting, now: Value) -> tuple[ReadChange, str] | None:
        """Return a record with the value found whose date rules it out, and a message that says why.

        The change may have been approved on that day and made on another. A record from before the baseline
        counts only if it is the last one.
        """
        about = self._about(b, i, setting) if self.changes else []
        sealed, read = self.baseline.sealed_on(b, i), day_of(field_of(self.site.blocks[b], i, "read_at"))
        before = [one for one in about if one.change.date <= sealed and not self.is_since(one, b, i, setting)]
        after = [one for one in about if read and read < one.change.date <= self.today][:1]
        had = self.site.blocks[b].value("planned", setting.name, i).shown
        may_be = [(one, f"the baseline still had {had} on {sealed}") for one in before[-1:]]
        may_be += [(one, f"this reading is of {read}") for one in after]
        for one, words in may_be:
            if setting.kind != "secret" and means(one.after, now, setting):
                return one, f"{one.words()}, says that {setting.name} is {one.after}, but {words}"
        return None

    def of_setting(self, b: int, i: int, setting: Setting) -> list[ReadChange]:
        """Return the records about a setting of a device since the baseline, oldest first."""
        return [read for read in self._about(b, i, setting) if self.is_since(read, b, i, setting)]

    def _about(self, b: int, i: int, setting: Setting) -> list[ReadChange]:
        """Return the records about a setting of a device, oldest first.

        Records about a gateway's radio settings also hold for the nodes that follow it.
        """
        networks = self.networks(b, i, setting)
        named = self._naming(b, i, networks, with_gateway=setting.role in NETWORK_ROLES)
        return [
            read for read in sorted(named, key=_by_date)
            if read.change.what == "setting" and self.concerns(read, b, i, setting)
            and self._is_about(read, setting)
        ]  # fmt: skip

    def follows(self, b: int, i: int) -> str:
        """Return the network whose radio a device has: in which it is now, as found or by the last move.

        Else, or if its radio shows that it was not moved, the one in which it was found for the baseline, or
        was planned then.
        """
        now, then = field_of(self.site.blocks[b], i, "network"), self.baseline.found_in(b, i)
        now = self.baseline.meant(now)
        if now not in self.site.gateways and (moves := self.of_device("move", (b, i))):
            now = self.baseline.meant(moves[-1].after)
            now = then if self.radios.show((b, i), then, rather_than=now) else now
        return now if now in self.site.gateways else then

    def has_changed_gateway(self, b: int, i: int, setting: Setting) -> bool:
        """Tell whether a radio setting is now that of another gateway than for the baseline."""
        return setting.role in NETWORK_ROLES and self.follows(b, i) != self.baseline.found_in(b, i)

    @cached_property
    def followers(self) -> Mapping[str, Sequence[Target]]:
        """Network → the nodes that follow its gateway."""
        every = (target for nodes in self.site.nodes().values() for target in nodes)
        return grouped((self.follows(*target), target) for target in every)

    def networks(self, b: int, i: int, setting: Setting) -> Sequence[str]:
        """Return the networks whose records hold for a setting of a device.

        One that was found in another network for the baseline, though planned here, belongs to both, but it
        has the radio settings of only one.
        """
        if setting.role in NETWORK_ROLES and not self.site.blocks[b].gateway:
            return [self.follows(b, i)]
        return self.baseline.names(b, i, "network")

    def concerns(self, read: ReadChange, b: int, i: int, setting: Setting) -> bool:
        """Tell whether a record is about the network of a device; one that names the device may give any."""
        of_device = [*self.baseline.names(b, i, "network"), self.follows(b, i)] if read.node else []
        return read.network in ("", *self.networks(b, i, setting), *of_device)

    def _naming(self, b: int, i: int, networks: Sequence[str], *, with_gateway: bool) -> list[ReadChange]:
        """Return the records that name a device or its networks, or their gateways where that counts too."""
        block = self.site.blocks[b]
        named = [*self._of_node.get(block.tags[i], ())]
        for network in networks:
            named += self._of_network.get(network, ())
            if with_gateway and not block.gateway and network in self.site.gateways:
                g, k = self.site.gateways[network]
                named += self._of_node.get(self.site.blocks[g].tags[k], ())
        return named

    def _is_about(self, read: ReadChange, setting: Setting) -> bool:
        """Tell whether a record names a setting, or one with the same role in another device type."""
        name = read.change.setting
        if name == setting.name:
            return True
        roles = {s.role for block in self.site.blocks for s in block.type.settings if s.name == name}
        return bool(setting.role) and setting.role in roles

    def is_since(self, read: ReadChange, b: int, i: int, setting: Setting) -> bool:
        """Tell whether a setting was changed after its device was read for the baseline, not after this run.

        A change made on that same day counts as in the baseline already if the baseline has its value.
        """
        sealed, date = self.baseline.sealed_on(b, i), read.change.date
        if date != sealed:
            return sealed < date <= self.today
        before = self.site.blocks[b].value("planned", setting.name, i)
        return date <= self.today and not (before.read and means(read.after, before, setting))

    def of_device(self, what: What, target: Target, since: datetime.date | None = None) -> list[ReadChange]:
        """Return the records of one kind about a device, or its whole network, that its reading can show.

        Oldest first; since the baseline, if no other day is given. The move of a gateway also holds for the
        nodes that follow it.
        """
        b, i = target
        block = self.site.blocks[b]
        named = self._naming(b, i, self.baseline.names(b, i, "network"), with_gateway=what == "move")
        if not named:
            return []
        until = day_of(field_of(block, i, "read_at")) or self.today
        named = [read for read in named if self.baseline.is_in(b, i, read.network)]
        records = self._between(what, named, "", since or self.baseline.sealed_on(b, i), until)
        return [read for read in records if not self.is_in_baseline(read, b, i)]

    def is_in_baseline(self, read: ReadChange, b: int, i: int) -> bool:
        """Tell whether a change to a device on the day of the baseline is in the baseline already."""
        field = FIELDS.get(read.change.what)
        return (
            field is not None and bool(read.after) and read.change.date == self.baseline.sealed_on(b, i)
            and spelling(read.after) in map(spelling, self.baseline.names(b, i, field))
        )  # fmt: skip

    def of_stranger(self, stranger: Stranger, since: datetime.date) -> list[ReadChange]:
        """Return the records since a day that a device not in the baseline was added, oldest first."""
        read_at = (table.texts("read_at")[entry] for table, entry in reversed(stranger.rows))
        until = day_of(next(filter(None, map(bare, read_at)), "")) or self.today
        named = self._of_node.get(stranger.tag, ())
        network = self.baseline.meant(stranger.network)
        return self._between("added", named, network, since, until)

    def anew(self, target: Target, tag: str, serial: str, network: str) -> list[ReadChange]:
        """Return the records that a device was removed, and one with these names added on that day or later.

        `network` is as it was read, perhaps its gateway's name; empty where the device stayed in its own.
        Both together say the same as an exchange, a new tag or a move; one of them alone says nothing.
        """
        b, i = target
        block = self.site.blocks[b]
        removed = self.of_device("removed", target)[-1:]
        if not removed or not block.rows[i]:
            return []
        until = day_of(field_of(block, i, "read_at")) or self.today
        named = self._of_node.get(tag, ())
        where = self.baseline.meant(network) or block.networks[i]
        added = [
            read for read in self._between("added", named, where, removed[0].change.date, until)
            if not read.after or spelling(read.after) == spelling(serial)
        ]  # fmt: skip
        return [*removed, added[-1]] if added else []

    def _between(
        self, what: What, named: Iterable[ReadChange], network: str, since: datetime.date,
        until: datetime.date,
    ) -> list[ReadChange]:  # fmt: skip
        """Return the records of one kind between two days, by date.

        Only those of the network, where it is known; a readback often names none.
        """
        return [
            read for read in sorted(named, key=_by_date)
            if read.change.what == what and since <= read.change.date <= min(until, self.today)
            and (not network or read.network in ("", network))
        ]  # fmt: skip


def _by_date(read: ReadChange) -> tuple[datetime.date, str, int]:
    return (read.change.date, read.place.file, read.place.row)


def means(text: str, value: Value, setting: Setting) -> bool:
    """Tell whether a value that was read is the one that a record gives."""
    meant = parse(text, setting, Style())
    return meant.read and value.read and same(meant, value, setting)
