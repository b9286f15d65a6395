"""How a value was probably mis-keyed, in words that do not reveal what was planned."""

from __future__ import annotations

from audit.entering.devices import SERIAL, Device, Step
from audit.model.value import Value


def slip_words(device: Device, step: Step, found: Value, elevation_m: float | None) -> str:
    """Return the likely slip, or the possible ones, with their odds; empty where none fits.

    Only the kind of slip is named: reports say more, but whoever reads those may know the plan.
    """
    from audit.slips import rank
    from audit.slips.identity import NEIGHBOURS
    from audit.slips.ranking import percent
    from audit.slips.surroundings import around

    surroundings = around(device.block, device.index, step.setting, elevation_m)
    ranking = rank(step.setting, step.planned, found, surroundings)
    if step.setting is SERIAL and NEIGHBOURS in {slip.id for slip in ranking.slips}:
        return ""
    precise = ("one-step",) if step.setting.kind == "option" else ()  # an option has no digits
    kinds = "; ".join(
        f"{slip.words if slip.id in precise else slip.title} ({percent(slip.probability)})"
        for slip in ranking.worth_naming()
    )
    if not kinds:
        return ""
    return f"{'Likely' if ranking.likely else 'Possible'} slip: {kinds}."
