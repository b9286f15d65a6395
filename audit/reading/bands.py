"""The published limits of radio bands, read once from rules/bands.yaml when a plan names a band."""

from __future__ import annotations

from functools import cache

from audit.errors import Problem, nearest
from audit.model.plan import PlanFile
from audit.model.radio import Band, BandsFile, Radio
from audit.model.used import Pack
from audit.reading.documents import read_model
from audit.reading.marks import Document, Path
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


def unknown_bands(plan: PlanFile, document: Document) -> list[Problem]:
    """Return a problem for each band that a plan names and that has no limits here."""
    named: list[tuple[Path, Radio | None]] = [(("radio", "band"), plan.radio)]
    named += [(("networks", n, "radio", "band"), one.radio) for n, one in enumerate(plan.networks)]
    problems = []
    for steps, radio in named:
        if radio and radio.band and not band(radio.band):
            mend = nearest(radio.band, [one.id for one in bands_file().bands])
            problems.append(document.problem(steps, f"unknown band {radio.band!r}", mend))
    return problems


def pack() -> Pack:
    """Return the file of bands in the form in which results list the packs that they used."""
    file, digest = _read()
    return Pack(pack="bands", version=file.version, sha256=digest, rules=len(file.bands))
