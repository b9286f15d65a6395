"""Battery life: average current, usable capacity, years.

The average of currents over a duty cycle is known to be inaccurate: measured nodes lasted less long than it
predicted (L. Barboni, M. Valle, Wireless Sensor Network 6 (2014) 212-220). Use it to compare and to warn, not
to promise. Replacing a battery in a hazardous area needs a permit, the certified type and a competent person.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import fsum, log1p

from audit.engineering.domain import finite, not_negative, positive

HOURS_A_YEAR = 8766
"""Hours in a year of 365.25 days."""


@dataclass(frozen=True, slots=True)
class Draw:
    """A current that flows for some time in each interval: to sense, to transmit, to listen."""

    current_ma: float
    duration_s: float
    interval_s: float

    @property
    def share(self) -> float:
        """The share of the time that it flows."""
        not_negative(duration_s=self.duration_s)
        positive(interval_s=self.interval_s)
        return self.duration_s / self.interval_s


def transmitting(current_ma: float, frame_s: float, interval_s: float, tries: float = 1.0) -> Draw:
    """Return the draw of a report per interval, sent `tries` times on average (`aloha.tries_on_average`)."""
    positive(frame_s=frame_s, tries=tries)
    return Draw(current_ma, frame_s * tries, interval_s)


def average_current_ma(sleep_ma: float, draws: Iterable[Draw]) -> float:
    """Return the average current of a node, in mA: each draw for its share of the time, sleep for the rest.

    Raises ValueError if the draws together take more time than there is.

    Source: Σ I t ÷ Σ t, common practice.
    """
    not_negative(sleep_ma=sleep_ma)
    flowing = list(draws)
    for draw in flowing:
        not_negative(current_ma=draw.current_ma)
    busy = fsum(draw.share for draw in flowing)
    if busy > 1:
        raise ValueError(
            f"the node is busy {busy:.0%} of the time -- lengthen an interval, or shorten what it does"
        )
    return sleep_ma * (1 - busy) + fsum(draw.current_ma * draw.share for draw in flowing)


def usable_capacity_ah(
    rated_ah: float, *, temperature: float = 1.0, current: float = 1.0, cut_off: float = 1.0
) -> float:
    """Return the usable capacity, in Ah: the rated capacity times the shares that are left of it.

    `temperature` is the share at the lowest temperature that counts, `current` the share at the current
    drawn, pulses included (capacity falls at currents above *and* below the rated one), both from the
    battery's data by `curves.at`; `cut_off` is `discharge.part_usable`. Each is above 0 and at most 1.
    """
    positive(rated_ah=rated_ah, temperature=temperature, current=current, cut_off=cut_off)
    for name, share in (("temperature", temperature), ("current", current), ("cut_off", cut_off)):
        if share > 1:
            raise ValueError(f"{name} is {share:g} -- it is a share of the rated capacity, at most 1")
    return rated_ah * temperature * current * cut_off


NO_LOSS = 1e-300
"""Below this, a share lost has too few digits for a quotient and counts as none."""


def life_h(capacity_ah: float, average_ma: float, self_discharge_per_year: float = 0.0) -> float:
    """Return how long a battery lasts, in hours.

    `self_discharge_per_year` is the share of the remaining charge that an unused battery loses in a year:
    0.01 for 1 %. It adds to the load: life = log (1 + s C ÷ I) ÷ s, which is C ÷ I without it.

    Raises ValueError for an average current of 0 and for a self-discharge of 1.
    """
    positive(capacity_ah=capacity_ah, average_ma=average_ma)
    full_h = capacity_ah * 1000 / average_ma
    lost = _lost_per_h(self_discharge_per_year) * full_h
    return full_h * log1p(lost) / lost if lost > NO_LOSS else full_h


def life_years(capacity_ah: float, average_ma: float, self_discharge_per_year: float = 0.0) -> float:
    """Return how long a battery lasts, in years of 8766 hours; see `life_h`."""
    return life_h(capacity_ah, average_ma, self_discharge_per_year) / HOURS_A_YEAR


def _lost_per_h(self_discharge_per_year: float) -> float:
    """Return the share of the charge lost in an hour, compounding to the share lost in a year."""
    finite(self_discharge_per_year=self_discharge_per_year)
    if not 0 <= self_discharge_per_year < 1:
        raise ValueError(
            f"self_discharge_per_year is {self_discharge_per_year:g} -- "
            "it is a share of the charge, from 0 to below 1: 0.01 for 1 %"
        )
    return -log1p(-self_discharge_per_year) / HOURS_A_YEAR
