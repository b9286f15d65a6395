"""Where a person is in the work of reading, and what an answer leads to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from audit.entering.accepting import Accepted
from audit.entering.devices import Device, Step, ToRead
from audit.entering.progress import Progress


@dataclass(frozen=True, slots=True)
class Work:
    """What stays the same while a person reads."""

    wanted: ToRead
    decimal: str = "."
    """The decimal mark that numbers are typed with."""
    asks_again: bool = True
    """Whether a value that differs from the plan is asked for again: not where answers come from a pipe."""


@dataclass(frozen=True, slots=True)
class State:
    """Where the person is: choosing a network, choosing a device in it, or at a setting of the device."""

    network: str = ""
    device: Device | None = None
    step: int = 0
    rereading: bool = False
    """Whether a device that was finished is read again, from its first setting on."""
    again: bool = False
    """Whether the setting is asked for again, because what was typed differs from the plan."""
    refused: Accepted | None = None
    """What `/keep` would record."""

    def at(self) -> tuple[Device, Step]:
        """Return the device and the setting that is asked for. Raises LookupError where none is."""
        if self.device is None:
            raise LookupError("no device was chosen")
        return self.device, self.device.steps[self.step]


@dataclass(frozen=True, slots=True)
class Draft:
    """A line for the file, still without its time, reader and number."""

    device: Device
    name: str
    value: str
    unit: str = ""
    how: str = ""
    skipped: str | None = None


@dataclass(frozen=True, slots=True)
class Reply:
    """What an answer leads to."""

    state: State
    say: tuple[str, ...] = ()
    draft: Draft | None = None
    """What has to be saved before the rest of the reply takes effect."""
    refused: bool = False
    """Whether the answer was refused, so that the same question is asked again."""
    onward: bool = False
    """Whether the setting is done with once the draft is saved: `answering.onward` says what comes next."""
    over: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked."""

    head: tuple[str, ...]
    prompt: str
    choices: tuple[str, ...] = ()
    """Words that complete what is typed."""


class Here(NamedTuple):
    """The work, what has been read of it, and where the person is."""

    work: Work
    progress: Progress
    state: State
