"""What the files say about a node: for each question an answer with its places, or why there is none."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from audit.diagnosis.evidence import Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.address import address
from audit.diagnosis.gathering.afterwards import somebody_was_there
from audit.diagnosis.gathering.courses import signal, volts
from audit.diagnosis.gathering.elsewhere import elsewhere, window
from audit.diagnosis.gathering.identity import identity, variant
from audit.diagnosis.gathering.link import margin
from audit.diagnosis.gathering.records import unless_moved
from audit.diagnosis.gathering.settings import off_plan, settings, slip
from audit.diagnosis.gathering.siblings import room, siblings
from audit.diagnosis.gathering.work import work

GATHERERS: Mapping[str, Callable[[Case], Answered | NotKnown | None]] = {
    "siblings": siblings,
    "settings": partial(unless_moved, settings, "whether its radio settings match its gateway's"),
    "off-plan": partial(unless_moved, off_plan, ""),
    "slip": partial(unless_moved, slip, ""),
    "address": partial(unless_moved, address, "which other device holds its address"),
    "elsewhere": elsewhere,
    "volts": volts,
    "signal": signal,
    "margin": margin,
    "window": window,
    "room": room,
    "variant": variant,
    "identity": identity,
    "work": work,
    "display": partial(somebody_was_there, answer="lcd-lives", words="its display works"),
    "place": partial(somebody_was_there, answer="node-there", words="it is where it should be"),
}
"""Question → what answers it from the files; it returns None if the question does not arise at this site."""
