"""Battery voltage under a pulse of current, and the part of the charge above the device's cut-off.

Source of the arithmetic: common practice. The internal resistance is that of the battery at its temperature
and age; after long storage, the first pulse of a lithium battery sags more than any later one (passivation).
"""

from __future__ import annotations

from itertools import pairwise

from audit.engineering.curves import Curve, check_curve
from audit.engineering.domain import finite, not_negative, part, positive


def loaded_v(open_v: float, pulse_ma: float, resistance_ohm: float) -> float:
    """Return the voltage during a pulse; at 0 or below the battery cannot deliver it."""
    positive(open_v=open_v)
    not_negative(pulse_ma=pulse_ma, resistance_ohm=resistance_ohm)
    return open_v - pulse_ma / 1000 * resistance_ohm


def part_usable(curve: Curve, cut_off_v: float, sag_v: float = 0.0) -> float:
    """Return the part of the charge drawn before the voltage of a pulse falls below the cut-off, 0 to 1.

    `curve` is the discharge curve: part of the charge drawn → volts under the steady load, from 0 to 1 and
    never rising. `sag_v` is how much further a pulse lowers the voltage.
    Limits: 0 if it is below from the start, 1 if it never is.

    Raises ValueError for a curve that does not go from 0 to 1, or rises.
    """
    check_curve(curve)
    finite(cut_off_v=cut_off_v)
    not_negative(sag_v=sag_v)
    for drawn, _ in curve:
        part(drawn=drawn)
    if curve[0][0] != 0 or curve[-1][0] != 1:
        raise ValueError("the discharge curve does not go from 0 to 1 -- give volts for both ends")
    least_v = cut_off_v + sag_v
    if curve[0][1] < least_v:
        return 0.0
    for (drawn, volts), (next_drawn, next_volts) in pairwise(curve):
        if next_volts > volts:
            raise ValueError(
                f"the discharge curve rises from {volts:g} to {next_volts:g} V -- it can only fall"
            )
        if next_volts < least_v:
            return drawn + (next_drawn - drawn) * (volts - least_v) / (volts - next_volts)
    return 1.0
