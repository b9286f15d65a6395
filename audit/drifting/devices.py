"""Devices since a baseline: exchanged, renamed, moved, come and gone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from audit.columns import where
from audit.drifting.aligning import Aligned
from audit.drifting.records import Records
from audit.model.baseline import Content
from audit.model.drift import Case, DeviceDrift, DeviceEvent, ReadChange
from audit.model.site import Block, Match, Site, Stranger, Target
from audit.model.table import Place
from audit.pairing.identifying import is_another, swapped
from audit.reading.identifiers import damaged, spelling
from audit.texts import field_of

COME = 10**9
"""Where devices stand that the baseline does not have: behind all others."""


def device_drifts(
    site: Site, aligned: Aligned | None, content: Content, records: Records
) -> list[DeviceDrift]:
    """Return what became of devices as a whole, in the order of the baseline."""
    look = _Devices(site, aligned, content, records)
    found = [*look.matched(), *look.moved(), *look.retyped(), *look.gone(), *look.came(), *look.pending()]
    return sorted(found, key=lambda drift: drift.order)


class _Devices:
    """What device drift is told from."""

    def __init__(self, site: Site, aligned: Aligned | None, content: Content, records: Records) -> None:
        self.site, self.aligned, self.content, self.records = site, aligned, content, records

    def drift(
        self,
        what: DeviceEvent,
        target: Target,
        message: str,
        *,
        before: str = "",
        found: str = "",
        places: Sequence[Place] = (),
        others: Sequence[str] = (),
        explaining: Sequence[ReadChange] = (),
        planned: bool = False,
    ) -> DeviceDrift:
        """Return a drift of a device of the baseline: explained, agreed with the plan, or neither."""
        b, i = target
        block = self.site.blocks[b]
        case: Case = "recorded" if explaining else "without-record" if planned else "drift"
        if case == "without-record":
            message += "; the plan says so too, and no change record says who allowed it"
        places = (*places, *(read.place for read in explaining))
        message += "".join(f": {read.words()}" for read in explaining[-1:])
        return DeviceDrift(what, case, block.networks[i], block.tags[i], target, message, before, found,
                           tuple(places), tuple(others), tuple(explaining))  # fmt: skip

    def matched(self) -> Iterator[DeviceDrift]:
        """Yield exchanged units, units that changed places, and devices under another tag."""
        pairs = swapped(self.site.blocks, self.site.matches)
        done: set[Target] = set()
        for match in self.site.matches:
            target = (match.block, match.index)
            if target in done or match.how in ("settings", "corrected"):
                continue
            block, i = self.site.blocks[match.block], match.index
            other_tag = is_another(match.found_tag, block.tags[i])
            lost = damaged(match.found_serial)
            other_serial = not lost and is_another(match.found_serial, block.serials[i])
            if target in pairs:
                _, other = pairs[target]
                partner = (other.block, other.index)
                done.update((target, partner))
                yield self._swapped(match, partner)
            elif other_serial:
                done.add(target)
                yield self._exchanged(match, other_tag=other_tag)
            elif other_tag:
                done.add(target)
                yield self._retagged(match)

    def _swapped(self, match: Match, partner: Target) -> DeviceDrift:
        block, other = self.site.blocks[match.block], self.site.blocks[partner[0]]
        tag, its = block.tags[match.index], other.tags[partner[1]]
        message = f"the units of {tag} and {its} have changed places: each stands under the other's tag"
        both = [self._exchanges(name, network, "") for name, network in (
            (tag, block.networks[match.index]), (its, other.networks[partner[1]])
        )]  # fmt: skip
        explaining = [read for records in both for read in records] if all(both) else []
        return self.drift("swapped", (match.block, match.index), message, before=f"{tag}, {its}",
                          found=f"{its}, {tag}", places=(match.place,), others=(its,),
                          explaining=explaining)  # fmt: skip

    def _exchanges(self, tag: str, network: str, serial: str) -> list[ReadChange]:
        """Return the records that a unit was exchanged, for that serial number where they name one."""
        return [
            read for read in self.records.of_device(("exchange",), tag, network)
            if not serial or not read.after or spelling(read.after) == spelling(serial)
        ]  # fmt: skip

    def _exchanged(self, match: Match, *, other_tag: bool) -> DeviceDrift:
        block, i = self.site.blocks[match.block], match.index
        tag, serial = block.tags[i], match.found_serial
        message = f"the unit was exchanged: serial {block.serials[i]} in the baseline, {serial} now"
        if other_tag:
            message += f", under the tag {match.found_tag}"
        its_plan = self.aligned.serial(match.block, i) if self.aligned else ""
        return self.drift("exchanged", (match.block, i), message, before=block.serials[i], found=serial,
                          places=(match.place, block.planned_place(i, "serial")),
                          explaining=self._exchanges(tag, block.networks[i], serial),
                          planned=bool(its_plan) and spelling(its_plan) == spelling(serial))  # fmt: skip

    def _retagged(self, match: Match) -> DeviceDrift:
        block, i = self.site.blocks[match.block], match.index
        tag, now = block.tags[i], match.found_tag
        known = bool(match.found_serial) and spelling(match.found_serial) == spelling(block.serials[i])
        what = f"serial {block.serials[i]}" if known else "the device at its network and address"
        explaining = [
            read for read in self.records.of_device(("retag",), tag, block.networks[i])
            if spelling(read.after) == spelling(now)
        ]  # fmt: skip
        target = self.aligned.of.get((match.block, i)) if self.aligned else None
        its_plan = self.aligned.plan[target[0]].tags[target[1]] if self.aligned and target else ""
        return self.drift("retagged", (match.block, i), f"{what} was {tag} in the baseline and is {now} now",
                          before=tag, found=now, places=(match.place, block.planned_place(i, "tag")),
                          explaining=explaining,
                          planned=bool(its_plan) and spelling(its_plan) == spelling(now))  # fmt: skip

    def moved(self) -> Iterator[DeviceDrift]:
        """Yield the devices whose rows name another network than the baseline's."""
        gateways = {n.name: n.gateway.tag for n in self.site.plan.networks}

        def elsewhere(text: str, network: str) -> bool:
            return bool(text) and spelling(text) not in (spelling(network), spelling(gateways[network]))

        for (b, i), text in self._unlike("network", elsewhere):
            block = self.site.blocks[b]
            network = block.networks[i]
            explaining = [
                read for read in self._moves(block, i) if spelling(read.after) == spelling(text)
            ]  # fmt: skip
            target = self.aligned.of.get((b, i)) if self.aligned else None
            its_plan = self.aligned.plan[target[0]].networks[target[1]] if self.aligned and target else ""
            message = f"was in the network {network} in the baseline, and is in {text} now"
            yield self.drift("moved", (b, i), message, before=network, found=text,
                             places=self._places(block, i, "network"), explaining=explaining,
                             planned=bool(its_plan) and spelling(its_plan) == spelling(text))  # fmt: skip

    def _moves(self, block: Block, i: int) -> list[ReadChange]:
        """Return the records that a device was moved; a gateway takes its nodes along."""
        network = block.networks[i]
        g, k = self.site.gateways[network]
        tags = (block.tags[i], self.site.blocks[g].tags[k])
        records = [read for tag in tags for read in self.records.of_device(("move",), tag, network)]
        return list({id(read): read for read in records}.values())  # one of the network is found for both

    def retyped(self) -> Iterator[DeviceDrift]:
        """Yield the devices that are given as another type than the baseline's."""
        known = {
            kind.name: (kind.name.casefold(), kind.title.casefold()) for kind in self.content.device_types
        }
        for (b, i), text in self._unlike(
            "type", lambda text, kind: bool(text) and text.casefold() not in known[kind]
        ):
            block = self.site.blocks[b]
            message = f"is a {text!r} now; in the baseline it is a {block.type.name!r}"
            yield self.drift("retyped", (b, i), message, before=block.type.name, found=text,
                             places=self._places(block, i, "type"),
                             explaining=self._exchanges(block.tags[i], block.networks[i], ""))  # fmt: skip

    def _unlike(self, field: str, unlike: Callable[[str, str], bool]) -> Iterator[tuple[Target, str]]:
        """Yield the devices of which the newest text of a field is not as in the baseline, with that text.

        `unlike` is given the text and the baseline's network, or type, once for each pair that there is.
        """
        for b, block in enumerate(self.site.blocks):
            if any(field in table.columns for table in block.tables):
                texts = [field_of(block, i, field) if rows else "" for i, rows in enumerate(block.rows)]
                before = block.networks if field == "network" else [block.type.name] * len(block)
                for i in where((texts, before), unlike):
                    yield (b, i), texts[i]

    def _places(self, block: Block, i: int, field: str) -> tuple[Place, ...]:
        return block.found_place(i, field), block.planned_place(i, "type" if field == "type" else "tag")

    def gone(self) -> Iterator[DeviceDrift]:
        """Yield the devices of the baseline that stand in no readback."""
        for b, block in enumerate(self.site.blocks):
            for i in block.unread():
                yield self._gone((b, i), block)

    def _gone(self, target: Target, block: Block) -> DeviceDrift:
        i = target[1]
        sealed = self.content.devices[block.networks[i]][block.tags[i]]
        message = "stands in the baseline and in no readback"
        if not sealed.settings:
            message = "was not read for the baseline, and stands in no readback now"
        places = [block.planned_place(i, "tag")]
        if target in self.site.blank:
            message = "stands in the readback with no setting filled in"
            places.append(self.site.blank[target])
        explaining = self.records.of_device(("removed",), block.tags[i], block.networks[i])
        off_plan = self.aligned is not None and target not in self.aligned.of
        drift = self.drift("gone", target, message, before=block.tags[i],
                           places=tuple(places), explaining=explaining)  # fmt: skip
        if off_plan and drift.case == "drift":
            words = f"{message}; the plan has it no more, and no change record says who allowed it"
            return DeviceDrift("gone", "without-record", drift.network, drift.tag, target, words,
                               drift.before, places=drift.places)  # fmt: skip
        return drift

    def came(self) -> Iterator[DeviceDrift]:
        """Yield the devices that were found and that the baseline does not have."""
        planned: set[str] = set()
        if self.aligned:
            blocks = self.aligned.plan
            names = [(blocks[p].tags[k], blocks[p].serials[k]) for p, k in self.aligned.new]
            planned = {spelling(name) for pair in names for name in pair if name}
        for s, stranger in enumerate(self.site.strangers):
            yield self._came(s, stranger, planned)

    def _came(self, s: int, stranger: Stranger, planned: set[str]) -> DeviceDrift:
        names = [(word, name) for word, name in (("tag", stranger.tag), ("serial", stranger.serial)) if name]
        name = " ".join(f"{word} {its}" for word, its in names) or "without tag and serial"
        message = f"a device was found that the baseline does not have: {name}"
        explaining = [
            read for read in self.records.of_device(("added",), stranger.tag, stranger.network)
            if not read.after or spelling(read.after) == spelling(stranger.serial)
        ]  # fmt: skip
        in_plan = any(spelling(its) in planned for _, its in names)
        case: Case = "recorded" if explaining else "without-record" if in_plan else "drift"
        if explaining:
            message += f": {explaining[-1].words()}"
        elif in_plan:
            message += "; the plan has it, and no change record says who allowed it"
        places = (stranger.place("tag" if stranger.tag else "serial"), *(read.place for read in explaining))
        tag = stranger.tag or stranger.serial
        return DeviceDrift("came", case, stranger.network, tag, (COME, s), message, found=name,
                           places=places, records=tuple(explaining))  # fmt: skip

    def pending(self) -> Iterator[DeviceDrift]:
        """Yield what the plan has changed about devices, and nobody has done yet."""
        if self.aligned is None:
            return
        for b, block in enumerate(self.site.blocks):
            for i, rows in enumerate(block.rows):
                if rows and (b, i) not in self.aligned.of:
                    message = "the plan has it no more; it is still there"
                    yield self._pending("gone", (b, i), message, block.tags[i])
        found = {spelling(name) for one in self.site.strangers for name in (one.tag, one.serial) if name}
        for p, k in self.aligned.new:
            new = self.aligned.plan[p]
            if not {spelling(name) for name in (new.tags[k], new.serials[k]) if name} & found:
                yield DeviceDrift("came", "pending", new.networks[k], new.tags[k], (COME, COME + k),
                                  "is planned, and stands neither in the baseline nor in a readback",
                                  places=(new.planned_place(k, "tag"),))  # fmt: skip

    def _pending(self, what: DeviceEvent, target: Target, message: str, before: str) -> DeviceDrift:
        b, i = target
        block = self.site.blocks[b]
        return DeviceDrift(what, "pending", block.networks[i], block.tags[i], target, message, before,
                           before, (block.found_place(i, "tag"),))  # fmt: skip
