"""What drift of whole devices is worked out from, and how it is put together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from audit.columns import where
from audit.drifting.aligning import Aligned, NameField
from audit.drifting.records import Records
from audit.model.baseline import SealedDevice
from audit.model.drift import Case, DeviceDrift, DeviceEvent, ReadChange
from audit.model.site import Block, Site, Target
from audit.model.table import Place
from audit.pairing.crossed import Crossed
from audit.reading.identifiers import spelling
from audit.texts import field_of


@dataclass(frozen=True, slots=True)
class Sides:
    """What drift of whole devices is worked out from: readback and baseline, plan, change records."""

    crossed: Mapping[Target, Crossed]
    """Device → the pair of devices under each other's tag that it is in."""
    aligned: Aligned | None
    records: Records

    @property
    def site(self) -> Site:
        """The site, with the baseline's values on its planned side."""
        return self.records.site

    def drift(
        self,
        what: DeviceEvent,
        target: Target,
        message: str,
        *,
        before: str,
        places: Sequence[Place],
        explaining: Sequence[ReadChange],
        found: str = "",
        others: Sequence[str] = (),
        planned: bool = False,
    ) -> DeviceDrift:
        """Return the drift of a device of the baseline: recorded, as the plan now says, or neither."""
        b, i = target
        block = self.site.blocks[b]
        case: Case = "recorded" if explaining else "without-record" if planned else "drift"
        if case == "without-record":
            message += "; the plan says so too, and no change record says who allowed it"
        places = (*places, *(read.place for read in explaining))
        last = {(read.change.what, read.change.node): read for read in explaining}  # the last of each unit
        message += ": " * bool(last) + ", and ".join(read.words() for read in last.values())
        return DeviceDrift(what, case, block.networks[i], block.tags[i], target, message, before, found,
                           tuple(places), tuple(others), tuple(explaining))  # fmt: skip

    def sealed(self, target: Target) -> SealedDevice:
        """Return a device as the baseline holds it."""
        return self.records.baseline.device(*target)

    def name_planned(self, field: NameField, target: Target) -> str:
        """Return a name that the plan now gives to a device; empty without a plan, or if it has none."""
        return self.aligned.name(field, *target) if self.aligned else ""

    def as_sealed(self, what: DeviceEvent, target: Target, message: str, found: str,
                  others: Sequence[str] = (), *, field: str = "serial") -> DeviceDrift:  # fmt: skip
        """Return the drift that a device is still not as planned, just as when the baseline was sealed."""
        b, i = target
        block = self.site.blocks[b]
        return DeviceDrift(what, "unmended", block.networks[i], block.tags[i], target, message, found, found,
                           self.places(block, i, field), tuple(others))  # fmt: skip

    def exchanges(self, target: Target, serial: str) -> list[ReadChange]:
        """Return the records that a unit was exchanged, only for this serial number where they name one.

        Records that the old unit was removed and the new one added under its tag count as well.
        """
        block, i = self.site.blocks[target[0]], target[1]
        return [
            read for read in self.records.of_device("exchange", target)
            if not serial or not read.after or spelling(read.after) == spelling(serial)
        ] or self.records.anew(target, block.tags[i], serial, block.networks[i])  # fmt: skip

    def retags(self, target: Target, tag: str) -> list[ReadChange]:
        """Return the records that a device was given this tag."""
        records = self.records.of_device("retag", target)
        return [read for read in records if spelling(read.after) == spelling(tag)]

    def unlike(self, field: str, unlike: Callable[[str, str], bool]) -> Iterator[tuple[Target, str]]:
        """Yield the devices whose newest text in a field differs from the baseline, with that text.

        `unlike` is called with the text and the baseline's network or type, once for each different pair.
        """
        for b, block in enumerate(self.site.blocks):
            if any(field in table.columns for table in block.tables):
                texts = [field_of(block, i, field) if rows else "" for i, rows in enumerate(block.rows)]
                before = block.networks if field == "network" else [block.type.name] * len(block)
                for i in where((texts, before), unlike):
                    yield (b, i), texts[i]

    def places(self, block: Block, i: int, field: str) -> tuple[Place, ...]:
        """Return the places of a device's field in the readback and in the baseline."""
        return block.found_place(i, field), block.planned_place(i, "type" if field == "type" else "tag")
