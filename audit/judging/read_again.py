"""What was read as planned only when it was read again: a second look, a correction, or a lucky guess."""

from __future__ import annotations

from audit.checks.disagreeing import off_plan_before, read_differently, readings_of
from audit.model.site import Site
from audit.model.used import ReadAgain
from audit.reading.meanings import Meanings
from audit.reading.moments import day_of


def read_again(site: Site) -> list[ReadAgain]:
    """Return where the newest reading of a setting is as planned, but an earlier one of the same day is not.

    On other days a device may have been set anew; on the same day nothing else tells of the first reading.
    """
    meanings = Meanings()
    names: dict[tuple[int, int], list[str]] = {}
    for b, block in enumerate(site.blocks):
        for i, setting in read_differently(block, meanings)[1]:
            *others, counting = readings_of(block.rows[i], setting, meanings)
            that_day = [one for one in others if day_of(one.time) == day_of(counting.time) is not None]
            if off_plan_before(that_day, counting, block.value("planned", setting.name, i), setting):
                names.setdefault((b, i), []).append(setting.name)
    return [
        ReadAgain(network=site.blocks[b].networks[i], node=site.blocks[b].tags[i], settings=settings)
        for (b, i), settings in sorted(names.items())
    ]
