"""Settings since a baseline: what became of each, and which change records explain it."""

from __future__ import annotations

from collections.abc import Iterator

from audit.columns import where
from audit.comparing import Difference, same
from audit.drifting.aligning import Aligned, unlike
from audit.drifting.records import Records, means
from audit.model.baseline import Content
from audit.model.device import Setting
from audit.model.drift import Case, ReadChange, SettingDrift
from audit.model.roles import NO_DRIFT_ROLES
from audit.model.site import Block, Site, Target
from audit.model.value import BLANK, Value
from audit.pairing.stating import is_planned_number, selectors_of

UNRECORDED: tuple[Case, ...] = ("drift", "without-record", "all-differ")
"""Cases in which no record explains a change, and the finding says so."""


def setting_drifts(
    records: Records, aligned: Aligned | None, key: tuple[int, str], difference: Difference
) -> Iterator[SettingDrift]:
    """Yield what became of a setting, device by device, where it or the plan has changed."""
    b, name = key
    block, setting = records.site.blocks[b], difference.setting
    before, now = block.planned[name], block.values("found", name)
    plan = aligned.columns[key] if aligned else None
    off_plan = set(unlike(plan, before, setting)) if plan is not None else set()
    drifted = set(difference.differing)
    for i in sorted(drifted | off_plan):
        planned = plan[i] if plan is not None and plan[i].read else None
        then = records.baseline.device(b, i).planned.get(name, "")
        as_then = planned is not None and means(then, planned, setting)
        explaining = records.explaining(b, i, setting, now[i]) if i in drifted else ()
        if explaining:
            case: Case = "recorded"
        elif i in drifted:
            case = _changed(before[i], now[i], planned, then, setting)
            if case == "drift" and is_planned_number(block, setting, i):
                case, explaining = _as_its_unit(records, aligned, b, i, setting)
        elif now[i].read and block.rows[i]:
            case = "unmended" if as_then else "pending"
        else:
            continue
        shown = planned.shown if planned else ""
        place = aligned.place(b, i, name) if aligned and shown else None
        under = _waiver(records.baseline.content, block, i, name) if case == "unmended" else ""
        beside = records.beside(b, i, setting, now[i]) if case in UNRECORDED else None
        yield SettingDrift(b, i, name, case, shown, as_then, place, explaining, under,
                           beside[1] if beside else "", beside[0].place if beside else None)  # fmt: skip


def _changed(before: Value, now: Value, planned: Value | None, then: str, setting: Setting) -> Case:
    """Return the case of a value that differs from the baseline, and that no record explains.

    `planned` is what the plan says now, None if nothing; `then` is what was planned when the baseline was
    sealed, if something else was found.
    """
    as_planned = planned is None or same(planned, now, setting)
    if as_planned and means(then, now, setting):
        return "put-right"
    if planned is None or same(planned, before, setting):
        return "drift"
    return "without-record" if as_planned else "all-differ"


def _as_its_unit(
    records: Records, aligned: Aligned | None, b: int, i: int, setting: Setting
) -> tuple[Case, tuple[ReadChange, ...]]:
    """Return the case of a number that is the baseline's in the unit now selected, and the records of that.

    It is the case of the unit: whoever allowed that allowed its numbers, as far as they mean the same.
    """
    block = records.site.blocks[b]
    unit = selectors_of(block, setting)[0]
    before, now = (block.value(side, unit.name, i) for side in ("planned", "found"))
    planned = aligned.columns[b, unit.name][i] if aligned else BLANK
    explaining = records.explaining(b, i, unit, now)
    then = records.baseline.device(b, i).planned.get(unit.name, "")
    changed = _changed(before, now, planned if planned.read else None, then, unit)
    return ("recorded" if explaining else changed), explaining


def _waiver(content: Content, block: Block, i: int, name: str) -> str:
    """Return the waiver that excused a setting of a device when the baseline was sealed; empty if none."""
    where = (block.networks[i], block.tags[i])
    excused = (one for one in content.findings if (one.network, one.node) == where and name in one.settings)
    return next((one.waived for one in excused if one.waived), "")


def new_settings(site: Site) -> dict[Target, list[str]]:
    """Return device → its settings that were read now but have no value in the baseline."""
    found: dict[Target, list[str]] = {}
    for b, block in enumerate(site.blocks):
        for setting in block.type.settings:
            now = block.found.get(setting.name)
            if now is None or setting.kind == "secret" or setting.role in NO_DRIFT_ROLES:
                continue
            before = block.values("planned", setting.name)
            if all(value.read for value in before.among):
                continue
            for i in where((before, now), lambda one, other: not one.read and other.read):
                found.setdefault((b, i), []).append(setting.name)
    return found
