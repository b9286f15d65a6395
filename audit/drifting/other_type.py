"""Settings that only one of two types has: the baseline's, and another that the plan now has in its place."""

from __future__ import annotations

from collections.abc import Iterator

from audit.comparing import same
from audit.drifting.aligning import Aligned
from audit.model.drift import NewSetting
from audit.model.roles import NO_DRIFT_ROLES
from audit.model.site import Site, Target
from audit.reading.values import parse


def new_settings_of(site: Site, aligned: Aligned) -> Iterator[NewSetting]:
    """Yield the settings that were read, that the device's type in the baseline lacks, and not as planned."""
    for (b, i), (p, k) in aligned.of.items():
        block, new = site.blocks[b], aligned.plan[p]
        if new.type == block.type or not block.rows[i]:
            continue
        for setting in new.type.settings:
            known = block.type.setting(setting.name) is not None
            if known or setting.kind == "secret" or setting.role in NO_DRIFT_ROLES:
                continue
            for table, entry in block.readings(i, setting.name)[:1]:
                column = table.columns[setting.name]
                found = parse(column.texts[entry], setting, column.style)
                planned = new.value("planned", setting.name, k)
                places = (table.place(entry, setting.name), new.planned_place(k, setting.name))
                if not (found.read and planned.read and same(found, planned, setting)):
                    yield NewSetting(b, i, setting, found.shown, planned.shown, places)


def old_settings_of(site: Site, aligned: Aligned) -> dict[Target, set[str]]:
    """Return device → the settings of its type in the baseline that its type in the plan does not have."""
    lost: dict[Target, set[str]] = {}
    for (b, i), (p, _) in aligned.of.items():
        old, new = site.blocks[b].type, aligned.plan[p].type
        if new != old:
            lost[b, i] = {setting.name for setting in old.settings if new.setting(setting.name) is None}
    return lost
