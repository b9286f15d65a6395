"""What all models of files that people write share."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Level = Literal["error", "warning", "note"]
LEVELS: tuple[Level, ...] = get_args(Level)
"""The levels of a finding, worst first: those of SARIF 2.1.0, section 3.58.6 'level property'."""

Name = Annotated[str, StringConstraints(min_length=1, max_length=300)]
Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", max_length=80)]
SettingName = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$", max_length=80)]
AnyText = Annotated[str, StringConstraints(min_length=1)]
"""A text of any length: a path, or a text made of many names, such as a finding's id."""
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
"""SHA-256 (FIPS 180-4), or an HMAC by it, in lower-case hexadecimal digits."""
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


def check_limits(low_name: str, low: float | None, high_name: str, high: float | None) -> None:
    """Raise ValueError if no value can lie between two limits."""
    if low is not None and high is not None and low > high:
        raise ValueError(f"{low_name} {low:g} is above {high_name} {high:g} -- swap them")


def repeated(names: Sequence[str]) -> str | None:
    """Return the first name that is given more than once; None if each is given once."""
    return next((name for name in names if names.count(name) > 1), None)


def level_rank(level: Level) -> int:
    """Return 0 for error, 1 for warning, 2 for note."""
    return LEVELS.index(level)
