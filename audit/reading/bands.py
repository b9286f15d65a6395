"""The published limits of radio bands, read once from rules/bands.yaml when a plan names a band."""

from __future__ import annotations

from functools import cache

from audit.model.plan import PlanFile
from audit.model.radio import Band, BandsFile
from audit.model.used import Pack
from audit.reading.documents import read_model
from audit.resources import folder

NAME = "bands.yaml"


@cache
def _read() -> tuple[BandsFile, str]:
    bands, _, file = read_model(folder("rules") / NAME, BandsFile, "bands", f"rules/{NAME}")
    return bands, file.sha256


def bands_file() -> BandsFile:
    """Return all bands."""
    return _read()[0]


def band(name: str) -> Band | None:
    """Return a band by its id."""
    return next((one for one in bands_file().bands if one.id == name), None)


def named_in(plan: PlanFile) -> list[str]:
    """Return the bands that a plan names."""
    return [radio.band for radio in plan.radios() if radio.band]


def pack() -> Pack:
    """Return the file of bands in the form in which results list the packs that they used."""
    file, digest = _read()
    return Pack(pack="bands", version=file.version, sha256=digest, rules=len(file.bands))
