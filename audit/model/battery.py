"""The battery of a node, and what it has to supply."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Self

from pydantic import Field, model_validator

from audit.engineering.discharge import loaded_v
from audit.model.base import Written
from audit.model.radio import NotNegative, Percent, Positive

AT_C = 20.0
"""Temperature that a battery's `low_v` refers to, in °C."""

PercentDrawn = Annotated[float, Field(ge=0, le=100)]


class Battery(Written):
    """The battery of a node of this type, and what it has to supply."""

    capacity_ah: Positive
    """Rated capacity, in ampere hours."""
    usable_percent: Percent = 100.0
    """The part of it that is usable at the lowest temperature, at the currents drawn, above the cut-off.

    With `discharge`, what the cold leaves of it; cut-off and currents are then worked out.
    """
    discharge: Annotated[tuple[tuple[PercentDrawn, Positive], ...], Field(min_length=2)] | None = None
    """The discharge curve of the data sheet, for the lowest current that it gives.

    Points of percent drawn and volts, from 0 to 100 %: [[0, 3.6], [90, 3.4], [100, 2.0]]. Needs `cutoff_v`.
    """
    resistance_ohm: NotNegative = 0.0
    """Its internal resistance, in ohms: how much the largest current lowers the volts of `discharge`."""
    self_discharge_percent: Annotated[float, Field(ge=0, lt=100)] = 0.0
    """The part that it loses in a year through self-discharge."""
    sleep_ua: NotNegative
    """Current asleep, in microamperes."""
    transmit_ma: NotNegative
    """Current while sending, in milliamperes."""
    receive_ma: NotNegative = 0.0
    """Current while listening after each report, repeats included, in milliamperes."""
    receive_s: NotNegative = 0.0
    """How long it listens after each report, in seconds."""
    sense_ma: NotNegative = 0.0
    """Current while measuring, in milliamperes."""
    sense_s: NotNegative = 0.0
    """How long one measurement takes, in seconds."""
    low_v: Positive | None = None
    """Volts under load, at 20 °C, below which it is to be changed; left out: only `cutoff_v` is checked."""
    cutoff_v: Positive | None = None
    """Volts below which the device switches off, at any temperature."""
    volts_per_kelvin: NotNegative = 0.0
    """How much its volts fall for each kelvin colder; used where the temperature is read as well."""

    @property
    def largest_ma(self) -> float:
        """The largest current that it has to supply, in milliamperes."""
        return max(self.sleep_ua / 1000, self.transmit_ma, self.receive_ma, self.sense_ma)

    @model_validator(mode="after")
    def _low_before_off(self) -> Self:
        if self.low_v is not None and self.cutoff_v is not None and self.low_v < self.cutoff_v:
            raise ValueError("the battery's low_v is below its cutoff_v -- give a low_v of cutoff_v or above")
        return self

    @model_validator(mode="after")
    def _falls_to_its_cutoff(self) -> Self:
        if self.discharge is None:
            if self.resistance_ohm:
                raise ValueError(
                    "the battery's resistance_ohm counts only with discharge -- "
                    "give its discharge curve, or leave out resistance_ohm"
                )
            return self
        _check_points(self.discharge)
        if self.cutoff_v is None:
            raise ValueError(
                "the battery has discharge but no cutoff_v -- "
                "give the volts below which the device switches off"
            )
        full = self.discharge[0][1]
        under_load = loaded_v(full, self.largest_ma, self.resistance_ohm)
        if under_load <= self.cutoff_v:
            raise ValueError(
                f"the full battery gives {full:g} V − {self.largest_ma:g} mA × {self.resistance_ohm:g} ohm = "
                f"{under_load:.3g} V, not above its cutoff_v of {self.cutoff_v:g} V -- "
                "correct discharge, resistance_ohm, a current or cutoff_v"
            )
        return self


def _check_points(points: tuple[tuple[float, float], ...]) -> None:
    """Raise ValueError unless a discharge curve goes from 0 to 100 % drawn, and its volts never rise."""
    first, last = points[0][0], points[-1][0]
    if (first, last) != (0, 100):
        raise ValueError(
            f"the battery's discharge goes from {first:g} to {last:g} % drawn -- "
            "give its volts from 0 to 100 %"
        )
    for (drawn, volts), (more_drawn, then_volts) in pairwise(points):
        if more_drawn <= drawn:
            raise ValueError(
                f"the battery's discharge has {more_drawn:g} % drawn after {drawn:g} % -- "
                "give its points in rising order of percent drawn, each once"
            )
        if then_volts > volts:
            raise ValueError(
                f"the battery's discharge rises from {volts:g} V at {drawn:g} % drawn to {then_volts:g} V at "
                f"{more_drawn:g} % -- correct its points: the volts can only fall"
            )
