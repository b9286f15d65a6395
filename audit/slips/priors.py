"""The slips as data, read once from rules/slips.yaml when the first value is looked at."""

from __future__ import annotations

from decimal import Decimal
from functools import cache

from audit.model.slips import SlipFile
from audit.model.used import Pack
from audit.reading.documents import read_model
from audit.reading.units import line, split
from audit.resources import folder

NAME = "slips.yaml"


def slip_file() -> SlipFile:
    """Return the slips with their priors."""
    return _read()[0]


def pack() -> Pack:
    """Return the file of slips in the form in which results list the packs used."""
    file, digest = _read()
    return Pack(pack="slips", version=file.version, sha256=digest, rules=len(file.slips))


@cache
def _read() -> tuple[SlipFile, str]:
    slips, _, file = read_model(folder("rules") / NAME, SlipFile, "slips", f"rules/{NAME}")
    return slips, file.sha256


@cache
def taken_for(unit: str) -> tuple[tuple[str, Decimal, Decimal], ...]:
    """Return the units that are often mistaken for a unit, each with the factor and shift into it.

    A number in the other unit is the number in this unit times the factor, plus the shift.
    """
    own, _ = split(unit)
    group = next((group for group in slip_file().units if own in (split(one)[0] for one in group)), ())
    lines = {other: line(unit, other) for other in group if split(other)[0] != own}
    return tuple((other, *found) for other, found in lines.items() if found)


def kpa_in(unit: str) -> Decimal | None:
    """Return how many of a unit one kilopascal is, None if it is not a unit of pressure."""
    found = line("kPa", unit)
    return found and found[0]
