"""A call as kept in the log."""

from __future__ import annotations

from audit.model.call import Call


def call(cause: str = "battery", joined: str = "was", tag: str = "PT-1") -> Call:
    """Return a call."""
    return Call.model_validate(
        {"asfound": "joining-call/1", "time": "2026-03-31T09:15:00+02:00", "site": "Little Site",
         "tag": tag, "joined": joined, "cause": cause, "evidence": ("lcd-blank",)}
    )  # fmt: skip
