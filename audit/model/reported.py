"""What every model of a result shares."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Reported(BaseModel):
    """A part of the result, as machines read it."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
