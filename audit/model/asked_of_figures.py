"""The arguments of the check kind for engineering figures."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import model_validator

from audit.model.base import AnyText, Written, check_limits


class Suspect(Written):
    """The usual explanation for a figure of this size."""

    above: float
    """From this figure upwards, up to the next higher one of the list."""
    words: AnyText


class FigureLimits(Written):
    """An engineering figure, calculated from plan and readback, stays within its limits."""

    kind: Literal["figure"]
    figure: Literal[
        "link-margin",
        "availability",
        "path-clearance",
        "missing-signal",
        "radiated-power",
        "outside-band",
        "duty",
        "airtime",
        "battery-life",
        "battery-volts",
        "battery-volts-when-warm",
        "alarm-time",
        "reuse-distance",
    ]
    at_least: float | None = None
    """The lowest it may be where plan, licence and band set no limit, in the figure's unit."""
    at_most: float | None = None
    """The highest it may be, likewise."""
    in_any_case: bool = False
    """Whether they hold as well as those of plan, licence and band, as in site rules: the stricter counts."""
    assume: dict[str, float] = {}
    """Numbers that the figure needs and that are a matter of judgement."""
    suspects: tuple[Suspect, ...] = ()
    """What is said with a figure from a certain size upwards."""

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if self.figure == "link-margin" and self.at_least is None and self.at_most is None:
            raise ValueError("no plan or band gives link-margin a limit -- give at_least or at_most")
        check_limits("at_least", self.at_least, "at_most", self.at_most)
        return self
