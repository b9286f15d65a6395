"""How strong a node's link is: by the signal that was read, and by the signal expected in free space."""

from __future__ import annotations

from audit.diagnosis.evidence import Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.courses import course
from audit.engineering.link_budget import fade_margin_db, missing_db
from audit.figures.answers import Lacking
from audit.figures.links import expected, sensitivity
from audit.figures.surroundings import Device, Surroundings


def margin(case: Case) -> Answered | NotKnown | None:
    """Return whether the link is weak, or much weaker than expected in free space.

    Enough signal in free space proves nothing: a real path is never free space.
    """
    around, node = Surroundings(case.site), Device(case.block, case.i, "found")
    free, least = expected(around, node, None), sensitivity(around, node)
    in_free_space = None if isinstance(free, Lacking) else free[0]
    read = course(case, "rssi", "dBm")
    limits = case.causes.limits
    if read and in_free_space is not None and missing_db(in_free_space, read[-1].number) > limits.missing_db:
        missing = missing_db(in_free_space, read[-1].number)
        words = (
            f"signal {read[-1].shown} on {read[-1].at.date()}; in free space it would be "
            f"{in_free_space:.0f} dBm, so {missing:.0f} dB are missing"
        )
        return Answered("path-loss-odd", words, (read[-1].place,))
    if read and least is not None:
        spare = fade_margin_db(read[-1].number, least)
        answer = "margin-weak" if spare < limits.margin_db else "margin-good"
        words = f"signal {read[-1].shown} on {read[-1].at.date()}, {spare:.0f} dB above the sensitivity"
        return Answered(answer, words, (read[-1].place,))
    if in_free_space is not None and least is not None:
        spare = fade_margin_db(in_free_space, least)
        if spare < limits.margin_db:
            words = f"even in free space its signal would be only {spare:.0f} dB above the sensitivity"
            return Answered("margin-weak", words, (), planned=True)
        return NotKnown(
            f"its signal strength: not read (in free space it would be {spare:.0f} dB above the sensitivity, "
            "which proves little)"
        )
    if read:
        return NotKnown("how strong its link is: no sensitivity is stated for its air rate")
    return None
