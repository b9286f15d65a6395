"""Probabilities and time spans, in words."""

from __future__ import annotations

import datetime

from audit.phrases import counted

MINUTE = 60
"""Seconds."""


def duration(seconds: float) -> str:
    """Return a time span in the two largest of its units: 45 s, 45 min, 8 h 45 min, 5 days 19 h."""
    if seconds < MINUTE:
        return f"{seconds:.0f} s"
    minutes = round(seconds / MINUTE)
    hours, days = minutes // 60, minutes // 1440
    if not hours:
        return f"{minutes} min"
    if not days:
        return f"{hours} h {minutes % 60} min" if minutes % 60 else f"{hours} h"
    left = f" {hours % 24} h" if hours % 24 else ""
    return f"{counted(days, 'day')}{left}"


def days_old(at: datetime.datetime | None, on: str) -> str:
    """Return how old a list is on the day of the run, in words to follow it; empty if it is of that day.

    Also empty without a date `on`. A list of a later day has a wrong date, and yet counts as the newest.
    """
    if not on:
        return ""
    if at is None:
        return " (no date)"
    days = (datetime.date.fromisoformat(on) - at.date()).days
    if days < 0:
        return " (after the day of this run)"
    return f" ({counted(days, 'day')} old)" if days else ""


def percent(chance: float) -> str:
    """Return a probability in per cent; never 0 and never 100, since nothing here is certain."""
    if chance < 0.01:
        return "below 1 %"
    if chance > 0.99:
        return "over 99 %"
    return f"{chance:.0%}".replace("%", " %")
