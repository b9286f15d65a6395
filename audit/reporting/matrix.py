"""Matrix: which rows and columns of nodes by settings are shown, and what each cell shows. Layout only."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import NamedTuple

from audit.model.detail import DeviceDetail, SettingDetail
from audit.phrases import clean, shortened

WHOLE = 150
"""Up to so many devices of a site, every row is shown; with more, only those with something to report."""
WIDEST = 600
"""Greatest width of the columns beside the row headings, in 1/96 inch as printed, to fit a page."""
NARROWEST, CHARACTER, PADDING = 17.5, 6.2, 8.0
"""Width of a column of signs, and of a character and the room around it in a wider column."""
LONGEST = 12
"""Most characters of a found value in a cell; the findings have the whole value."""
SIGNS = {"as planned": "·", "differs": "≠", "not read": "?", "unclear": "!", "not planned": "", "named": "×"}
"""The sign in a cell. `named`: as planned or not planned, but named by a finding."""
CLASSES = {"differs": "d", "not read": "u", "unclear": "x", "named": "n"}
NOTABLE = ("differs", "not read", "unclear", "named")
"""States of a cell that are worth reporting."""

Named = Set[tuple[str | None, str | None, str]]
"""Network, tag and setting that findings name."""


class Cell(NamedTuple):
    """The state of one setting of one device."""

    state: str
    text: str


NOTHING = Cell("not planned", "")


class Row(NamedTuple):
    """A device with its cells; without cells if nothing of it was read."""

    device: DeviceDetail
    cells: Sequence[Cell]


class _Line(NamedTuple):
    """A device with its cells by setting."""

    device: DeviceDetail
    cells: Mapping[str, Cell]


@dataclass(frozen=True, slots=True)
class Part:
    """As many columns of a matrix as fit side by side."""

    columns: Sequence[str]
    rows: Sequence[Row]


@dataclass(frozen=True, slots=True)
class Matrix:
    """The devices of a network by their settings."""

    parts: Sequence[Part]
    devices_left_out: int
    """Devices with nothing to report."""
    settings_left_out: int
    """Settings with nothing to report."""


def matrix(devices: Sequence[DeviceDetail], named: Named, *, whole: bool) -> Matrix:
    """Return the matrix of a network: all of it, or only rows and columns with something to report."""
    rows = [_Line(device, _cells(device, named)) for device in devices]
    shown = [row for row in rows if whole or _is_notable(row)]
    wanted = (*NOTABLE, "as planned") if whole else NOTABLE
    names = list(dict.fromkeys(name for row in rows for name in row.cells))
    read = [row.cells for row in shown if row.device.state != "not read"]
    columns = [name for name in names if any(name in row and row[name].state in wanted for row in read)]
    parts = list(_parts(columns, read)) if shown else []
    return Matrix(
        parts=[_part(part, shown, wanted, first=part is parts[0]) for part in parts],
        devices_left_out=len(rows) - len(shown),
        settings_left_out=0 if whole else len(names) - len(columns),
    )


def _cells(device: DeviceDetail, named: Named) -> dict[str, Cell]:
    return {
        setting.name: _cell(setting, named=(device.network, device.tag, setting.name) in named)
        for setting in device.settings
    }


def _cell(setting: SettingDetail, *, named: bool) -> Cell:
    state: str = setting.state
    if named and state in ("as planned", "not planned"):
        state = "named"
    text = SIGNS[state]
    if setting.found and state in ("differs", "unclear", "named") and setting.state != "as planned":
        text = f"{text} {shortened(clean(setting.found), LONGEST)}"
    return Cell(state, text)


def _is_notable(row: _Line) -> bool:
    return row.device.state != "as planned" or any(cell.state in NOTABLE for cell in row.cells.values())


def _parts(columns: Sequence[str], read: Sequence[Mapping[str, Cell]]) -> Iterator[list[str]]:
    """Yield the columns in parts that are narrow enough; without columns, one empty part."""
    part: list[str] = []
    taken = 0.0
    for name in columns:
        longest = max((len(row[name].text) for row in read if name in row), default=1)
        width = max(NARROWEST, PADDING + CHARACTER * longest)
        if part and taken + width > WIDEST:
            yield part
            part, taken = [], 0.0
        part.append(name)
        taken += width
    yield part


def _part(columns: Sequence[str], lines: Sequence[_Line], wanted: Sequence[str], *, first: bool) -> Part:
    """Return the rows of some columns. After the first part, only rows with something in these columns."""
    rows = []
    for device, cells in lines:
        if device.state == "not read":
            if first:
                rows.append(Row(device, ()))
        elif first or any(name in cells and cells[name].state in wanted for name in columns):
            rows.append(Row(device, [cells.get(name, NOTHING) for name in columns]))
    return Part(columns, rows)
