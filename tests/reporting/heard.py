"""What a screen reader says of a part of a page."""

from __future__ import annotations

from copy import deepcopy
from typing import Any


def heard(element: Any) -> str:
    """Return the text of an element without what is hidden from screen readers, in one line."""
    spoken = deepcopy(element)
    spoken.tail = None
    for hidden in spoken.xpath(".//*[@aria-hidden='true' or self::script or self::style]"):
        hidden.drop_tree()
    return " ".join(spoken.text_content().split())
