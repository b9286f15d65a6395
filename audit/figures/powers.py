"""What devices radiate, and on which frequency: against the licence and the limits of the band."""

from __future__ import annotations

from audit.engineering.link_budget import DIPOLE_DBI, eirp_dbm
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.links import TRANSMITTER, antenna_lacks, power_words, terms
from audit.figures.surroundings import Device, Surroundings, has_column, lacking
from audit.model.radio import BandLimit, Licence
from audit.model.site import Block
from audit.reading.bands import named_in

Limit = tuple[str, float, str]
"""What is limited (`e.i.r.p.`, `e.r.p.`, `power into the feeder`), its maximum in dBm, and by what."""

CHECK = "check with the authority"


def by_licence(licence: Licence) -> str:
    """Return words for messages that say a limit is the licence's."""
    return f"by the licence {licence.reference}".rstrip() + f"; {CHECK}"


def cited(limit: BandLimit, exception: str = "") -> str:
    """Return the clause of a published limit, with how it was checked if the clause was not read.

    `exception` says when the limit does not apply.
    """
    basis = "" if limit.basis == "read" else f" ({limit.basis})"
    unless = f", {exception}" if exception else ""
    return f"{limit.clause}{basis}{unless}; {CHECK}"


def band_limit(around: Surroundings, device: Device) -> BandLimit | None:
    """Return the published limit at a device's frequency, or the band's if it has only one."""
    band = around.band(device.network)
    if band is None:
        return None
    frequency = around.frequency_mhz(device)
    if frequency is None:
        return band.limits[0] if len(band.limits) == 1 else None
    return band.limit_at(frequency)


def power_lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all devices of a block lack for comparing their radiated power with a limit."""
    if not any(radio.band or radio.licence for radio in around.site.plan.radios()):
        return "a band or licence in the plan"
    return "" if has_column(block, side, *TRANSMITTER) else lacking("a radio power", side)


def radiated_power(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return the radiated power of a device, with the limit that it exceeds most or comes nearest to."""
    power, gain, loss = (device.number(role, unit) for role, unit in zip(TRANSMITTER, UNITS, strict=True))
    if power is None or not device.was_read(*TRANSMITTER):
        return Lacking(lacking("a radio power", device.side))
    if lacks := antenna_lacks(device):
        return Lacking(lacks)
    limits = _limits(around, device)
    if not limits:
        return Lacking("a power limit at its frequency")
    eirp = eirp_dbm(power, gain or 0.0, loss or 0.0)
    sums = {
        "e.i.r.p.": (eirp, terms(device)),
        "e.r.p.": (eirp - DIPOLE_DBI, f"{terms(device)} − {DIPOLE_DBI:g} dB for a dipole"),
        "power into the feeder": (power, power_words(power)),
    }
    what, most, by = max(limits, key=lambda limit: sums[limit[0]][0] - limit[1])
    value, words = sums[what]
    unknown = "" if gain is not None else "; antenna gain not given, counted as 0 dBi"
    sum_ = f"{what} = {words}{unknown}"
    return Calculated(value=value, sum=sum_, roles=TRANSMITTER, high=most, by=by)


UNITS = ("dBm", "dBi", "dB")


def _limits(around: Surroundings, device: Device) -> list[Limit]:
    """Return the limits of power: the site's own licence takes precedence over published ones."""
    licence, published = around.radio(device.network).licence, band_limit(around, device)
    found: list[Limit] = []
    if licence:
        found = _given(by_licence(licence), licence.eirp_dbm, licence.erp_dbm)
    if published and not found:
        by = f"by {cited(published)}"
        found = _given(by, published.eirp_dbm, published.erp_dbm, published.conducted_dbm)
    return found


def _given(by: str, eirp: float | None, erp: float | None, conducted: float | None = None) -> list[Limit]:
    limits = (("e.i.r.p.", eirp), ("e.r.p.", erp), ("power into the feeder", conducted))
    return [(what, most, by) for what, most in limits if most is not None]


def frequency_lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all devices of a block lack for telling whether they are inside their band."""
    if not named_in(around.site.plan):
        return "a band in the plan"
    given = has_column(block, side, "frequency", "channel")
    return "" if given else lacking("a frequency or channel", side)


def outside_band(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return how far a device's frequency is outside all ranges of its band, in MHz; 0: inside one."""
    band = around.band(device.network)
    if band is None:
        return Lacking("a band in the plan")
    if not device.was_read("frequency", "channel"):
        return Lacking(lacking("a frequency or channel", device.side))
    frequency = device.number("frequency", "MHz", read=True)
    channel = device.number("channel", "", read=True)
    sum_, steps = "frequency", ""
    if frequency is None and channel is not None:
        frequency = around.channel_mhz(device.network, int(channel))
        sum_, own = f"channel {channel:g} is", around.radio(device.network).channels
        if own:  # shown, since they may be the mistake
            steps = f" ({own.first_mhz:.10g} + {channel - own.first:g} × {own.step_mhz:.10g})"
        if own and frequency is None:
            last = f" to {own.last}" if own.last else " on"
            return Lacking(f"a channel among those of the plan ({own.first}{last})", names_devices=True)
    if frequency is None:
        return Lacking("the frequencies of channels (channels in the plan)")
    ways = [(max(r.low_mhz - frequency, frequency - r.high_mhz, 0.0), r) for r in band.limits]
    farther, nearest = min(ways, key=lambda way: way[0])
    ranges = ", ".join(f"{limit.low_mhz:g} to {limit.high_mhz:g}" for limit in band.limits)
    words = f"{sum_} {frequency:.10g} MHz{steps}; {band.id} has {ranges} MHz"
    by = f"see {cited(nearest)}"
    return Calculated(value=farther, sum=words, roles=("frequency", "channel"), high=0.0, by=by)
