"""Slips: the ways in which a value is mis-keyed, how often each is expected, and what to do about it."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.model.base import Id, Name, Written, repeated

Points = Annotated[float, Field(gt=0, le=100)]


class SlipClass(Written):
    """One way in which a value is mis-keyed."""

    id: Id
    """Kebab-case description, for instance `transposed`."""
    title: Name
    """What happened, in plain words that follow on from 'likely slip:'."""
    prior: Points
    """How many of a hundred mis-keyed values are expected to be of this kind, before any is looked at."""
    means: Name
    """Which values count as this slip."""
    advice: Name
    """What to look at to see whether this is what happened."""
    systematic: bool = False
    """Whether it tends to affect a whole column or device at once, as a wrong unit does."""


class SlipFile(Written):
    """All slips, their prior odds, and what is called likely."""

    asfound: Literal["slips/1"]
    """Marks the file as slips, format 1."""
    version: Name
    basis: Name
    """What the numbers are based on."""
    random: Points
    """The points for a value that is wrong for no reason listed here: all legal values are equally likely."""
    likely_from: Annotated[float, Field(gt=0, le=1)]
    """A slip is called likely from this probability upwards …"""
    likely_times: Annotated[float, Field(ge=1)]
    """… if it is also at least this many times as probable as the next explanation."""
    each_further: Annotated[float, Field(ge=1)]
    """How many times more likely a slip becomes with each further value that the same slip explains."""
    slips: Annotated[tuple[SlipClass, ...], Field(min_length=1)]
    units: tuple[Annotated[tuple[Name, ...], Field(min_length=2)], ...]
    """Units of one quantity that are mistaken for each other."""

    @model_validator(mode="after")
    def _ids_once(self) -> Self:
        if twice := repeated([slip.id for slip in self.slips]):
            raise ValueError(f"slip {twice!r} is given twice -- keep one of them")
        return self
