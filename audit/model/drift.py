"""Drift: what happened to each setting and device since a baseline was sealed, and what explains it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from audit.model.change import Change
from audit.model.device import Setting
from audit.model.finding import OF_NO_DEVICE
from audit.model.table import Place

if TYPE_CHECKING:
    from audit.sampling.by_chance import Unit

Case = Literal["drift", "recorded", "without-record", "pending", "unmended", "put-right", "all-differ"]
"""What happened to a setting or device; B is the baseline, R the readback and P the plan:

    drift           R≠B, and B=P where a plan says anything; no record explains it
    recorded        R≠B, and a change record explains it
    without-record  R=P≠B: the plan was changed too, but no record says who allowed it
    pending         R=B≠P: the plan has changed, but the device has not
    unmended        R=B≠P, and P is what was planned when the baseline was sealed
    put-right       R≠B, and R is what was planned when the baseline was sealed, and still is
    all-differ      all three differ, and no record explains it
"""
DeviceEvent = Literal["exchanged", "swapped", "crossed", "retagged", "moved", "retyped", "came", "gone"]
RecordState = Literal[
    "borne out", "other before", "not borne out", "other value", "older evidence", "before the baseline",
    "not yet", "not read", "superseded",
]  # fmt: skip
"""The outcome of a change record at one device; for the whole record, the worst of these."""


@dataclass(frozen=True, slots=True)
class ReadChange:
    """A change record, the texts of its values, and where it is written."""

    change: Change
    before: str
    after: str
    place: Place
    network: str = ""
    """Network in the baseline that it is about, once drift has been worked out; blank if it names none."""
    node: str = ""
    """Tag in the baseline, likewise."""

    def words(self) -> str:
        """Return who allowed it, for messages."""
        order = f", work order {self.change.work_order}" if self.change.work_order else ""
        return f"change {self.change.id} of {self.change.date}, approved by {self.change.approved_by}{order}"


@dataclass(frozen=True, slots=True)
class SettingDrift:
    """What happened to one setting of one device."""

    b: int
    i: int
    setting: str
    case: Case
    planned: str = ""
    """What the plan says now, as it is shown; empty if there is no plan or it says nothing."""
    planned_then: bool = False
    """Whether the plan said so when the baseline was sealed, though something else was found."""
    plan_place: Place | None = None
    records: tuple[ReadChange, ...] = ()
    sealed_under: str = ""
    """Id of the waiver that excuses, in the baseline, a difference that is still there."""
    beside: str = ""
    """In words, a record that names exactly this change but cannot explain it because of its date."""
    beside_place: Place | None = None


@dataclass(frozen=True, slots=True)
class NewSetting:
    """A setting that was read, of the device type that the plan now has in a device's place."""

    b: int
    i: int
    setting: Setting
    found: str
    planned: str
    """What the plan says, as it is shown; empty if it says nothing."""
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class DeviceDrift:
    """What happened to one device as a whole."""

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
    """The outcome of a change record at the devices that it is about."""

    record: ReadChange
    state: RecordState
    tags: tuple[str, ...]
    network: str = ""
    message: str = ""
    order: tuple[int, int] = OF_NO_DEVICE


@dataclass(frozen=True, slots=True)
class Drifting:
    """Everything known about drift, and what it was worked out from."""

    settings: Sequence[SettingDrift]
    devices: Sequence[DeviceDrift]
    records: Sequence[RecordOutcome]
    with_plan: bool
    with_records: bool
    new_settings: Mapping[tuple[int, int], Sequence[str]]
    """Device → its settings that were read now, but not for the baseline."""
    of_other_type: Sequence[NewSetting]
    """Settings read that the device type in the baseline does not have, and that are off plan."""
    not_of_new_type: Mapping[tuple[int, int], Collection[str]]
    """Device → its settings in the baseline that the device type in the plan does not have."""
    read_then: Mapping[tuple[int, int], str]
    """Device that was read now → when it was read for the baseline, as written; blank if not known."""
    older: Sequence[tuple[int, int]]
    """Devices whose newest reading is older than their reading for the baseline."""
    not_sampled: Set[Unit] = frozenset()
    """Nodes outside a sample that nobody has visited either, by their names in the baseline."""
    new_not_sampled: Set[Unit] = frozenset()
    """The same of nodes that are new in the plan, by their names there."""
