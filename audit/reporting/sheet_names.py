"""Names of worksheets that spreadsheets allow."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from audit.phrases import clean

LONGEST = 31
"""Characters that a worksheet's name may have (from memory, not verified; the writer refuses longer ones)."""
_NOT_ALLOWED = re.compile(r"[\[\]:*?/\\]")


def sheet_names(wanted: Sequence[str]) -> list[str]:
    """Return a name for each text: allowed, short enough, and unlike all others in any case of letters."""
    names: dict[str, str] = {}
    numbers: Counter[str] = Counter()
    for text in wanted:
        base = _NOT_ALLOWED.sub("-", clean(text)).strip().strip("'")[:LONGEST].strip("'")
        if not base or base.casefold() == "history":
            base = f"{base or 'network'} 1"
        name, number = base, numbers[base] or 1
        while name.casefold() in names:
            number += 1
            name = f"{base[: LONGEST - len(str(number)) - 1]} {number}"
        numbers[base] = number
        names[name.casefold()] = name
    return [*names.values()]
