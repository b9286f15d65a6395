"""The slips as data, read once from rules/slips.yaml when the first value is looked at."""

from __future__ import annotations

from decimal import Decimal
from functools import cache

from audit.model.result import Pack
from audit.model.slips import SlipFile, Units
from audit.reading.documents import read_model
from audit.reading.units import split
from audit.resources import folder

NAME = "slips.yaml"


@cache
def slip_file() -> SlipFile:
    """Return the slips with their priors."""
    return _read()[0]


def pack() -> Pack:
    """Return the file of slips as results list the packs that they rest on."""
    file, digest = _read()
    return Pack(pack="slips", version=file.version, sha256=digest, rules=len(file.slips))


@cache
def _read() -> tuple[SlipFile, str]:
    slips, _, file = read_model(folder("rules") / NAME, SlipFile, "slips", f"rules/{NAME}")
    return slips, file.sha256


@cache
def taken_for(unit: str) -> tuple[tuple[str, Decimal, Decimal], ...]:
    """Return the units that are taken for a unit, each with factor and shift of this unit into it.

    Their numbers are those of the unit times the factor, plus the shift.
    """
    expression, _ = split(unit)
    for quantity in slip_file().units:
        known = {split(name)[0]: name for name in quantity.units}
        if expression in known:
            own = known[expression]
            return tuple((other, *_into(quantity, own, other)) for other in quantity.units if other != own)
    return ()


def _into(quantity: Units, own: str, other: str) -> tuple[Decimal, Decimal]:
    """Return factor and shift from one unit into another: both are linear in the first unit."""
    scale = {name: Decimal(str(number)) for name, number in quantity.units.items()}
    zero = {name: Decimal(str(quantity.zeros.get(name, 0))) for name in quantity.units}
    factor = scale[own] / scale[other]
    return factor, zero[other] - zero[own] * factor


def kpa_in(unit: str) -> Decimal | None:
    """Return how many of a unit one kilopascal is, None for what is no pressure."""
    if split(unit)[0] == split("kPa")[0]:
        return Decimal(1)
    return next((1 / factor for other, factor, _ in taken_for(unit) if other == "kPa"), None)
