"""How much of the time, or at how many of such places, a link holds, against what the plan asks for.

The margin that is expected says nothing about a place's own hills and tanks, so it is judged by places. A
signal that was read has those in it and fades with time, so it is judged by time.
"""

from __future__ import annotations

from audit.engineering.availability import (
    log_normal_availability,
    log_normal_margin_db,
    rayleigh_availability,
    rayleigh_margin_db,
)
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.links import link_margin, margin_lacks
from audit.figures.surroundings import Device, Surroundings
from audit.model.site import Block

WANTED = "an availability in the plan"
SHADOWING = "the shadowing of the path in the plan"


def lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for comparing their availability with the one wanted."""
    radios = around.site.plan.radios()
    if all(radio.availability_percent is None for radio in radios):
        return WANTED
    if side == "planned" and not any(radio.path and radio.path.shadowing_db for radio in radios):
        return SHADOWING
    return margin_lacks(around, block, side)


def availability(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return the availability of a node's link in %: of places as planned, of the time by what was read."""
    radio = around.radio(device.network)
    wanted, sigma_db = radio.availability_percent, radio.path.shadowing_db if radio.path else None
    if wanted is None:
        return Lacking(WANTED)
    if device.side == "planned" and sigma_db is None:
        return Lacking(SHADOWING)
    margin = link_margin(around, device, assumed)
    if isinstance(margin, Lacking):
        return margin
    if device.side == "planned" and sigma_db is not None:
        share = log_normal_availability(margin.value, sigma_db)
        needed_db = log_normal_margin_db(wanted / 100, sigma_db)
        model = f"of places (log-normal, shadowing {sigma_db:g} dB)"
    else:
        share, needed_db = rayleigh_availability(margin.value), rayleigh_margin_db(wanted / 100)
        model = "of the time (Rayleigh fading, the signal as read taken as the mean)"
    words = (
        f"link margin {round(margin.value, 1):g} dB, where {wanted:g} % {model} needs {needed_db:.1f} dB; "
        f"margin = {margin.sum}"
    )
    return Calculated(value=100 * share, sum=words, roles=margin.roles, low=wanted, by="wanted by the plan")
