"""What device drift is told from, and how one is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from audit.columns import where
from audit.drifting.aligning import Aligned
from audit.drifting.records import Records
from audit.model.baseline import Content, SealedDevice
from audit.model.drift import Case, DeviceDrift, DeviceEvent, ReadChange
from audit.model.site import Block, Site, Target
from audit.model.table import Place
from audit.reading.identifiers import spelling
from audit.texts import field_of


@dataclass(frozen=True, slots=True)
class Sides:
    """What device drift is told from: readback and baseline, the plan beside them, change records."""

    site: Site
    aligned: Aligned | None
    content: Content
    records: Records

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
        last = {(read.change.what, read.change.node): read for read in explaining}  # of two units, each last
        message += ": " * bool(last) + ", and ".join(read.words() for read in last.values())
        return DeviceDrift(what, case, block.networks[i], block.tags[i], target, message, before, found,
                           tuple(places), tuple(others), tuple(explaining))  # fmt: skip

    def sealed(self, target: Target) -> SealedDevice:
        """Return a device as the baseline holds it."""
        return self.records.sealed(*target)

    def as_sealed(self, what: DeviceEvent, target: Target, message: str, found: str,
                  others: Sequence[str] = (), *, field: str = "serial") -> DeviceDrift:  # fmt: skip
        """Return that a device is not as planned, as it was when the baseline was sealed."""
        b, i = target
        block = self.site.blocks[b]
        return DeviceDrift(what, "unmended", block.networks[i], block.tags[i], target, message, found, found,
                           self.places(block, i, field), tuple(others))  # fmt: skip

    def exchanges(self, target: Target, serial: str) -> list[ReadChange]:
        """Return the records that a unit was exchanged, for that serial number where they name one.

        That the old one was removed and the new one added under its tag says so too.
        """
        block, i = self.site.blocks[target[0]], target[1]
        return [
            read for read in self.records.of_device("exchange", target)
            if not serial or not read.after or spelling(read.after) == spelling(serial)
        ] or self.records.anew(target, block.tags[i], serial, block.networks[i])  # fmt: skip

    def retags(self, target: Target, tag: str) -> list[ReadChange]:
        """Return the records that a device got a tag."""
        told = self.records.of_device("retag", target)
        return [read for read in told if spelling(read.after) == spelling(tag)]

    def unlike(self, field: str, unlike: Callable[[str, str], bool]) -> Iterator[tuple[Target, str]]:
        """Yield the devices of which the newest text of a field is not as in the baseline, with that text.

        `unlike` is given the text and the baseline's network, or type, once for each pair that there is.
        """
        for b, block in enumerate(self.site.blocks):
            if any(field in table.columns for table in block.tables):
                texts = [field_of(block, i, field) if rows else "" for i, rows in enumerate(block.rows)]
                before = block.networks if field == "network" else [block.type.name] * len(block)
                for i in where((texts, before), unlike):
                    yield (b, i), texts[i]

    def places(self, block: Block, i: int, field: str) -> tuple[Place, ...]:
        """Return where a field of a device stands in the readback, and in the baseline."""
        return block.found_place(i, field), block.planned_place(i, "type" if field == "type" else "tag")
