"""What all models of files that people write share."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Level = Literal["error", "warning", "note"]
LEVELS: tuple[Level, ...] = get_args(Level)
"""The levels of a finding, worst first: those of SARIF 2.1.0, section 3.58.6 'level property'."""

Name = Annotated[str, StringConstraints(min_length=1, max_length=300)]
Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", max_length=80)]
SettingName = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$", max_length=80)]
Scalar = str | int | float | bool
"""A value as written. Settings are read from the raw text, so `016` and `1e3` stay as typed."""


class Written(BaseModel):
    """A part of a file that a person writes: unknown keys are errors, and no type is coerced."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False, defer_build=True)


class Position(Written):
    """Where a device is, on the site's own grid or by latitude and longitude."""

    x_m: float | None = None
    """Metres east of the site's origin."""
    y_m: float | None = None
    """Metres north of the site's origin."""
    latitude: Annotated[float, Field(ge=-90, le=90)] | None = None
    """Degrees, WGS 84."""
    longitude: Annotated[float, Field(ge=-180, le=180)] | None = None
    """Degrees, WGS 84."""
    height_m: float | None = None
    """Height of its antenna, in metres above a level that is the same for the whole site, for instance the
    sea: with it the clearance of paths over obstacles is calculated."""


def level_rank(level: Level) -> int:
    """Return 0 for error, 1 for warning, 2 for note."""
    return LEVELS.index(level)
