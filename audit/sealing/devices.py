"""Devices as baselines hold them, to be sealed or to be compared with what was sealed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from audit.model.baseline import SealedDevice
from audit.model.site import Block
from audit.model.value import BLANK
from audit.texts import field_of, serial_of


def sealed_device(
    block: Block, i: int, found: Mapping[str, Sequence[str]], planned: Mapping[str, str]
) -> SealedDevice:
    """Return a device as a baseline holds it: what was read, when and by whom, and what is planned instead.

    `found` holds the texts of each setting over the block, `planned` the planned texts of those settings of
    the device that were not read as planned. Where no cell was filled in, nobody has read the device.
    """
    was_read = any(column[i] is not BLANK for column in block.found.values())
    return SealedDevice(
        type=block.type.name,
        serial=serial_of(block, i),
        location=block.locations[i],
        read_at=field_of(block, i, "read_at") if was_read else "",
        read_by=field_of(block, i, "read_by") if was_read else "",
        settings={name: texts[i] for name, texts in found.items() if texts[i]},
        planned=dict(planned),
    )
