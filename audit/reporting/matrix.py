"""Matrix: which rows and columns of nodes by settings are shown, and what stands in a cell. Layout only."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from audit.model.result import DeviceDetail, SettingDetail

WHOLE = 150
"""Devices of a site up to which every row is shown; beyond, only those with something to say."""
WIDEST = 62
"""Characters of a table beside its row headings: wider, and it would not fit a printed page."""
LONGEST = 12
"""Characters of a found value in a cell; the whole value is in the findings."""
SIGNS = {"as planned": "·", "differs": "≠", "not read": "?", "unclear": "!", "not planned": ""}
CLASSES = {"as planned": "", "differs": "d", "not read": "u", "unclear": "x", "not planned": ""}
TELLING = ("differs", "not read", "unclear")


class Cell(NamedTuple):
    """What became of one setting of one device."""

    kind: str
    text: str


class Row(NamedTuple):
    """A device; without cells where nothing of it was read."""

    device: DeviceDetail
    cells: Sequence[Cell]


@dataclass(frozen=True, slots=True)
class Part:
    """As many columns of a matrix as fit beside each other."""

    columns: Sequence[str]
    rows: Sequence[Row]


@dataclass(frozen=True, slots=True)
class Matrix:
    """The devices of a network by their settings."""

    parts: Sequence[Part]
    devices_left_out: int
    """Devices with nothing to say."""
    settings_left_out: int
    """Settings with nothing to say."""


def matrix(devices: Sequence[DeviceDetail], *, whole: bool) -> Matrix:
    """Return the matrix of a network: all of it, or only rows and columns with something to say."""
    rows = {id(device): {setting.name: setting for setting in device.settings} for device in devices}
    shown = [device for device in devices if whole or _tells(device)]
    names = list(dict.fromkeys(setting.name for device in devices for setting in device.settings))
    read = [rows[id(device)] for device in shown if device.state != "not read"]
    columns = [name for name in names if _column_tells(name, read, whole=whole)]
    return Matrix(
        parts=[_part(part, shown, rows) for part in _parts(columns, read)] if shown else [],
        devices_left_out=len(devices) - len(shown),
        settings_left_out=0 if whole else len(names) - len(columns),
    )


def _tells(device: DeviceDetail) -> bool:
    return device.state == "not read" or any(setting.state in TELLING for setting in device.settings)


def _column_tells(name: str, read: Sequence[Mapping[str, SettingDetail]], *, whole: bool) -> bool:
    wanted = (*TELLING, "as planned") if whole else TELLING
    return any(name in row and row[name].state in wanted for row in read)


def _parts(columns: Sequence[str], read: Sequence[Mapping[str, SettingDetail]]) -> Iterator[list[str]]:
    """Yield the columns in parts that are narrow enough; one part, if an empty one, in any case."""
    part: list[str] = []
    width = 0
    for name in columns:
        widest = max((len(_cell(row[name]).text) for row in read if name in row), default=1)
        if part and width + max(widest, 3) > WIDEST:
            yield part
            part, width = [], 0
        part.append(name)
        width += max(widest, 3)
    yield part


def _part(
    columns: Sequence[str], shown: Sequence[DeviceDetail], rows: Mapping[int, Mapping[str, SettingDetail]]
) -> Part:
    nothing = Cell("", "")
    return Part(
        columns,
        [
            Row(
                device,
                []
                if device.state == "not read"
                else [
                    _cell(rows[id(device)][name]) if name in rows[id(device)] else nothing for name in columns
                ],
            )
            for device in shown
        ],
    )


def _cell(setting: SettingDetail) -> Cell:
    sign = SIGNS[setting.state]
    if setting.state in ("differs", "unclear") and setting.found:
        found = setting.found if len(setting.found) <= LONGEST else setting.found[: LONGEST - 1] + "…"
        sign = f"{sign} {found}"
    return Cell(CLASSES[setting.state], sign)
