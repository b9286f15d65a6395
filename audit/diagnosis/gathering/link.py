"""How strong its link is: by the signal that was read, and by what free space would leave of it."""

from __future__ import annotations

from audit.diagnosis.evidence import NotKnown, Told
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.courses import course
from audit.engineering.link_budget import fade_margin_db, missing_db
from audit.figures.answers import Lacking
from audit.figures.links import expected, sensitivity
from audit.figures.surroundings import Device, Surroundings


def margin(case: Case) -> Told | NotKnown | None:
    """Return whether the link is weak, or much weaker than free space would leave it.

    That free space would leave enough proves nothing: the ground is never free space.
    """
    around, node = Surroundings(case.site), Device(case.block, case.i, "found")
    free, least = expected(around, node, None), sensitivity(around, node)
    leaves = None if isinstance(free, Lacking) else free[0]
    read = course(case, "rssi", "dBm")
    limits = case.causes.limits
    if read and leaves is not None and missing_db(leaves, read[-1].number) > limits.missing_db:
        missing = missing_db(leaves, read[-1].number)
        words = (
            f"signal {read[-1].shown} on {read[-1].at.date()}; free space would leave "
            f"{leaves:.0f} dBm, so {missing:.0f} dB are missing"
        )
        return Told("path-loss-odd", words, (read[-1].place,))
    if read and least is not None:
        spare = fade_margin_db(read[-1].number, least)
        answer = "margin-weak" if spare < limits.margin_db else "margin-good"
        words = f"signal {read[-1].shown} on {read[-1].at.date()}, {spare:.0f} dB above the sensitivity"
        return Told(answer, words, (read[-1].place,))
    if leaves is not None and least is not None:
        spare = fade_margin_db(leaves, least)
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
