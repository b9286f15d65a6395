"""Files, words and tables that several tests of reading need."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from audit.model.device import DeviceType, Setting
from audit.model.mapping import Mapping
from audit.model.table import Table
from audit.reading.csv_grid import read_csv
from audit.reading.files import FileBytes
from audit.reading.tables import to_table
from audit.reading.vocabulary import vocabulary


def file(name: str, data: bytes | str) -> FileBytes:
    """Return a file that is not on disk."""
    content = data.encode() if isinstance(data, str) else data
    return FileBytes(name, Path(name), content, "")


TYPE = DeviceType(
    asfound="device-type/1",
    name="node",
    settings=(
        Setting(name="channel", kind="integer", label="CH", role="channel"),
        Setting(name="urv", kind="decimal", step=1, unit="kPa", role="range_high"),
        Setting(name="enc", kind="flag", role="encryption"),
        Setting(name="net", kind="text", role="network_id"),
        Setting(name="access_code", kind="secret", role="access_code"),
        Setting(name="permit_ends", kind="text", role="alarm_authorised_until"),
    ),
)
WORDS = vocabulary([TYPE])


def table(text: str, **mapping: Any) -> Table:
    """Return a CSV as a table of the node's settings."""
    options = Mapping(**mapping)
    return to_table(read_csv(file("x.csv", text), options), options, WORDS)


def texts(text: str, **mapping: Any) -> dict[str, list[str]]:
    """Return the raw texts of a CSV by field."""
    return {name: list(column.texts) for name, column in table(text, **mapping).columns.items()}
