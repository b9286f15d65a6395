"""Drift: what became of each setting and device since a baseline was sealed, and what explains it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from audit.model.change import Change
from audit.model.device import Setting
from audit.model.finding import OF_NO_DEVICE
from audit.model.table import Place

Case = Literal["drift", "recorded", "without-record", "pending", "unmended", "put-right", "all-differ"]
"""What became of a setting or device, with B the baseline, R the readback and P the plan:

    drift           R≠B, and B is the plan's as far as there is one; no record explains it
    recorded        R≠B, and a change record explains it
    without-record  R=P≠B: the plan has followed, and no record says who allowed it
    pending         R=B≠P: the plan has changed, and the device has not
    unmended        R=B≠P, and P is what was planned when the baseline was sealed
    put-right       R≠B, and R is what was planned when the baseline was sealed, and still is
    all-differ      all three differ, and no record explains it
"""
DeviceEvent = Literal["exchanged", "swapped", "crossed", "retagged", "moved", "retyped", "came", "gone"]
RecordState = Literal[
    "borne out", "other before", "not borne out", "other value", "older evidence", "before the baseline",
    "not yet", "not read", "superseded",
]  # fmt: skip
"""What became of a change record at one device, or of all of it: the worst of them."""


@dataclass(frozen=True, slots=True)
class ReadChange:
    """A change record, the texts of its values, and where it stands."""

    change: Change
    before: str
    after: str
    place: Place
    network: str = ""
    """Network in the baseline of what it is about, as soon as drift is told; blank where it names none."""
    node: str = ""
    """Tag in the baseline, likewise."""

    def words(self) -> str:
        """Return who allowed it, for messages."""
        order = f", work order {self.change.work_order}" if self.change.work_order else ""
        return f"change {self.change.id} of {self.change.date}, approved by {self.change.approved_by}{order}"


@dataclass(frozen=True, slots=True)
class SettingDrift:
    """What became of one setting of one device."""

    b: int
    i: int
    setting: str
    case: Case
    planned: str = ""
    """What the plan says now, as it is shown; empty where there is no plan, or it says nothing."""
    plan_place: Place | None = None
    records: tuple[ReadChange, ...] = ()
    sealed_under: str = ""
    """Id of the waiver under which the baseline has a difference that is still there."""
    beside: str = ""
    """What a record says that names this very change and cannot be it, by its day; in words."""
    beside_place: Place | None = None


@dataclass(frozen=True, slots=True)
class NewSetting:
    """A setting that was read, of the type that the plan has in a device's place by now."""

    b: int
    i: int
    setting: Setting
    found: str
    planned: str
    """What the plan says, as it is shown; empty where it says nothing."""
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class DeviceDrift:
    """What became of one device as a whole."""

    what: DeviceEvent
    case: Case
    network: str
    tag: str
    order: tuple[int, int]
    message: str
    before: str = ""
    found: str = ""
    places: tuple[Place, ...] = ()
    others: tuple[str, ...] = ()
    records: tuple[ReadChange, ...] = ()


@dataclass(frozen=True, slots=True)
class RecordOutcome:
    """What became of a change record at the devices that it is about."""

    record: ReadChange
    state: RecordState
    tags: tuple[str, ...]
    network: str = ""
    message: str = ""
    order: tuple[int, int] = OF_NO_DEVICE


@dataclass(frozen=True, slots=True)
class Drifting:
    """All that there is to say of drift, and what it is told from."""

    settings: Sequence[SettingDrift]
    devices: Sequence[DeviceDrift]
    records: Sequence[RecordOutcome]
    with_plan: bool
    with_records: bool
    new_settings: Mapping[tuple[int, int], Sequence[str]]
    """Device → its settings that were read now, and not for the baseline."""
    of_other_type: Sequence[NewSetting]
    """Settings read that the baseline's type of device cannot have, and that are not as the plan says."""
    older: Sequence[tuple[int, int]]
    """Devices whose newest reading is older than their reading for the baseline."""
