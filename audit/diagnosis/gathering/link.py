"""How strong its link is: by the signal that was read, and by what free space would leave of it."""

from __future__ import annotations

from audit.diagnosis.evidence import NotKnown, Told
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.courses import course
from audit.engineering.link_budget import (
    eirp_dbm,
    expected_rssi_dbm,
    fade_margin_db,
    missing_db,
    sensitivity_dbm,
)
from audit.engineering.path_loss import free_space_db
from audit.engineering.positions import between_m
from audit.model.site import Block

NEAREST_M = 1.0
"""Positions nearer than this are one place written twice."""


def margin(case: Case) -> Told | NotKnown | None:
    """Return whether the link is weak, or much weaker than free space would leave it.

    That free space would leave enough proves nothing: the ground is never free space.
    """
    expected, least = expected_dbm(case), sensitivity(case)
    read = course(case, "rssi", "dBm")
    limits = case.causes.limits
    if read and expected is not None and missing_db(expected, read[-1].number) > limits.missing_db:
        missing = missing_db(expected, read[-1].number)
        words = (
            f"signal {read[-1].shown} on {read[-1].at.date()}; free space would leave "
            f"{expected:.0f} dBm, so {missing:.0f} dB are missing"
        )
        return Told("path-loss-odd", words, (read[-1].place,))
    if read and least is not None:
        spare = fade_margin_db(read[-1].number, least)
        answer = "margin-weak" if spare < limits.margin_db else "margin-good"
        words = f"signal {read[-1].shown} on {read[-1].at.date()}, {spare:.0f} dB above the sensitivity"
        return Told(answer, words, (read[-1].place,))
    if expected is not None and least is not None:
        spare = fade_margin_db(expected, least)
        if spare < limits.margin_db:
            words = f"even free space would leave its signal only {spare:.0f} dB above the sensitivity"
            return Told("margin-weak", words, (), planned=True)
        return NotKnown(
            f"its signal strength: not read (free space would leave {spare:.0f} dB above the sensitivity, "
            "which proves little)"
        )
    if read:
        return NotKnown("how strong its link is: no sensitivity is given for its air rate")
    return None


def expected_dbm(case: Case) -> float | None:
    """Return the signal that free space would leave of the node's at its gateway; None if not known.

    Gains and losses that are not given count as 0 dB.
    """
    block, i = case.gateway
    here, there = case.position, block.positions[i]
    power, frequency = _number(case.block, case.i, "radio_power"), _number(case.block, case.i, "frequency")
    frequency = frequency or _number(block, i, "frequency")
    if here is None or there is None or power is None or not frequency:
        return None
    try:
        distance = between_m(here, there)
    except ValueError:  # one on the site's grid, the other on the earth
        return None
    if distance < NEAREST_M:
        return None
    own, its = (
        (_number(b, n, "antenna_gain") or 0.0, _number(b, n, "feeder_loss") or 0.0)
        for b, n in ((case.block, case.i), (block, i))
    )
    try:
        return expected_rssi_dbm(eirp_dbm(power, *own), free_space_db(distance, frequency), *its)
    except ValueError:  # a loss below zero, for instance, which other rules tell
        return None


def sensitivity(case: Case) -> float | None:
    """Return the weakest signal that the gateway receives at the node's air rate, in dBm.

    Where its type does not say, that of the node's type; None where neither does.
    """
    block, _ = case.gateway
    for setting in case.block.settings("air_rate")[:1]:
        for side in ("found", "planned"):
            value = case.block.value(side, setting.name, case.i)
            for kind in (block.type, case.block.type) if value.read else ():
                try:
                    return sensitivity_dbm(kind.sensitivity_dbm, str(value.content))
                except ValueError:
                    continue
    return None


def _number(block: Block, i: int, role: str) -> float | None:
    """Return a number as found, or else as planned."""
    for setting in block.settings(role)[:1]:
        for side in ("found", "planned"):
            number = block.value(side, setting.name, i).number
            if number is not None:
                return float(number)
    return None
