"""Readings: values that should vary from node to node and from visit to visit, but do not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.checks.copied.visits import Sign, Visit, day_of_row
from audit.model.device import Setting
from audit.model.table import Place, tidied

VARYING = ("reading", "check_reading", "host_reading", "last_heard", "rssi", "battery_volts")
"""Roles of values that nobody sets: they are hardly ever the same on two nodes, or at two visits."""
FEWEST_VALUES = 3
"""Fewest different values among them: still water shows one level for years. Judgement."""


def alike(visits: Sequence[Visit], fewest: int) -> Sign | None:
    """Return the sign that a varying value is the same on all nodes. Zeros do not count."""
    texts: dict[str, list[tuple[str, Place]]] = {}
    varying = {visit.b: list(_varying(visit)) for visit in {visit.b: visit for visit in visits}.values()}
    for visit in visits if any(varying.values()) else ():
        for setting in varying[visit.b]:
            if reading := visit.reading(setting.name):
                texts.setdefault(setting.name, []).append((tidied(reading.raw), reading))
    several = [(name, those) for name, those in texts.items() if len(those) >= fewest]
    one_text = [(name, those) for name, those in several if len({text for text, _ in those}) == 1]
    same = [(name, those) for name, those in one_text if _says_something(those[0][0])]
    if not same:
        return None
    said = " and ".join(f"{name} is {those[0][0]} on all {len(those):,} nodes" for name, those in same)
    vary = "they vary" if len(same) > 1 else "it varies"
    words = f"{said}, though {vary} from node to node"
    return Sign(False, words, tuple(those[0][1] for _, those in same))


def again(visits: Sequence[Visit], fewest: int) -> Sign | None:
    """Return the sign that all varying values are exactly those of a visit on another day."""
    repeated: list[Visit] = []
    values: set[str] = set()
    day = ""
    for visit in [visit for visit in visits if len(visit.of_node) > len(visit.rows)]:
        earlier = list(_pairs_of_days(visit))
        if any(new != old for _, new, old, _ in earlier):
            return None
        if earlier:
            repeated.append(visit)
            values.update(new for _, new, _, _ in earlier)
            day = earlier[-1][3]
    if len(repeated) < fewest or len(values) < FEWEST_VALUES:
        return None
    name = next(_pairs_of_days(repeated[0]))[0]
    words = f"on {len(repeated):,} nodes every value that varies, such as {name}, is exactly that of {day}"
    return Sign(True, words, (repeated[0].place(name),))


def _varying(visit: Visit) -> Iterator[Setting]:
    return (setting for setting in visit.block.type.settings if setting.role in VARYING)


def _says_something(text: str) -> bool:
    return text.strip("0.,- ") != ""


def _pairs_of_days(visit: Visit) -> Iterator[tuple[str, str, str, str]]:
    """Yield setting, text now, text then and the other day, for settings that were read on two days."""
    today = visit.day
    others = [row for row in visit.of_node if day_of_row(*row) not in ("", today)]
    for setting in _varying(visit) if today else ():
        reading = visit.reading(setting.name)
        then = [(row, text) for row in others if (text := tidied(row[0].texts(setting.name)[row[1]]))]
        if reading and then and _says_something(reading.raw):
            row, text = then[-1]
            yield setting.name, tidied(reading.raw), text, day_of_row(*row)
