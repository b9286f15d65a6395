"""What all models of results share."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Reported(BaseModel):
    """A part of the result, as machines read it."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Document(Reported):
    """A whole file that machines read; its `schema_` is written as `schema`, a name reserved by pydantic."""

    model_config = ConfigDict(alias_generator=lambda name: name.rstrip("_"), populate_by_name=True)
