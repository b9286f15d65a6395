"""What was done to a device, and when."""

from __future__ import annotations

import datetime
from typing import NamedTuple

from audit.model.table import Place


class Done(NamedTuple):
    """Something that was done to a device."""

    at: datetime.datetime
    words: str
    places: tuple[Place, ...]
    answer: str = "recent-work"
    """Which answer to the question about work it gives, if it was done shortly before the node was lost."""
