"""Call: the cause found for a node that did not join; one line of the log of such calls."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from audit.model.base import Id, Name, Written


class Call(Written):
    """One call that was closed: its cause, and what was known on the way."""

    asfound: Literal["joining-call/1"]
    """Marks the line as a call, format 1."""
    time: Name
    """When it was recorded, ISO 8601 with its offset; only the day where that of the run is fixed."""
    site: Name
    tag: Name
    joined: Literal["never", "was", "unknown"]
    """Whether the node had joined before; `unknown` counts as half of each."""
    cause: Id
    evidence: Annotated[tuple[Id, ...], Field(max_length=100)] = ()
    """The answers that were known."""
