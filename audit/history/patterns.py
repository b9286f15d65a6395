"""Patterns in courses: settings that flip back and forth, and numbers that creep.

Each change may have had its reason; what they add up to over the years cannot be seen in one year alone.
What counts as creep is judgement: two moves running, both the same way. A correction to what was planned is
no move: what follows it begins anew.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from decimal import Decimal
from itertools import pairwise

from audit.history.courses import DeviceCourse, Known, SettingCourse, each_setting
from audit.model.history import Creep, Flip, Reading
from audit.model.roles import NETWORK_ROLES, OBSERVED_ROLES, concerns_alarms
from audit.reading.values import is_number

FEWEST_MOVES = 2
"""Moves the same way that count as creep, so at least three baselines. Judgement."""
NO_QUANTITIES = (*NETWORK_ROLES, "address", "host_register", "host_device", "frequency")
"""Roles of numbers that are names, not quantities: a larger one is not more."""


def flips(devices: Sequence[DeviceCourse], dates: Sequence[str]) -> list[Flip]:
    """Return the settings that returned to an earlier value, those with the most returns first."""
    found = [
        Flip(
            network=device.network,
            node=device.tag,
            setting=course.setting.name,
            unit=course.setting.unit or None,
            values=_readings(steps, dates),
            returns=returns,
        )
        for device, course in each_setting(devices)
        if course.setting.role not in OBSERVED_ROLES
        for steps in [course.steps()]
        for returns in [len(steps) - len({step.value for step in steps})]
        if returns
    ]
    return sorted(found, key=lambda flip: -flip.returns)


def creeps(devices: Sequence[DeviceCourse], dates: Sequence[str]) -> list[Creep]:
    """Return the numbers that moved the same way at least twice running: alarms first, then most moves."""
    found = [creep for one in each_setting(devices) if (creep := _creep(*one, dates))]
    return sorted(found, key=lambda creep: (not creep.alarm, -creep.moves, -(creep.percent_of_range or 0)))


def _creep(device: DeviceCourse, course: SettingCourse, dates: Sequence[str]) -> Creep | None:
    setting = course.setting
    role = setting.role or ""
    if not setting.numeric or role in NO_QUANTITIES or role in OBSERVED_ROLES:
        return None
    steps = course.steps()
    if not all(is_number(step.value) for step in steps):  # the setting was once of another kind
        return None
    run = _longest_one_way(steps, _corrected(course))
    if len(run) <= FEWEST_MOVES:
        return None
    total = Decimal(run[-1].value) - Decimal(run[0].value)
    span = _span(device, setting.input)
    return Creep(
        network=device.network,
        node=device.tag,
        setting=setting.name,
        alarm=concerns_alarms(role),
        unit=setting.unit or None,
        values=_readings(run, dates),
        moves=len(run) - 1,
        total=f"{total:+f}",
        percent_of_range=round(abs(float(total / span)) * 100, 1) if span else None,
        still=run[-1] == steps[-1],
    )


def _corrected(course: SettingCourse) -> set[int]:
    """Return the baselines that show a value put right: it was planned before, when another was found."""
    return {
        now.at
        for then, now in pairwise(course.known())
        if course.planned and now.value != then.value and now.value == course.planned[then.at]
    }


def _longest_one_way(steps: Sequence[Known], corrected: Container[int]) -> list[Known]:
    """Return the longest run of numbers that only go up, or only go down; of equally long ones the latest.

    A value that was `corrected` in its baseline begins a run, and ends the one before.
    """
    best: list[Known] = []
    run: list[Known] = []
    up: bool | None = None
    for step in steps:
        if not run or step.at in corrected:
            run, up = [step], None
            continue
        goes_up = Decimal(step.value) > Decimal(run[-1].value)
        run = [*run, step] if up in (None, goes_up) else [run[-1], step]
        up = goes_up
        best = run if len(run) >= len(best) else best
    return best


def _span(device: DeviceCourse, measuring: str) -> Decimal | None:
    """Return the width of an input's range as last read; None if it has none."""
    its = [course for course in device.settings if course.setting.input == measuring]
    last = {course.setting.role: course.known()[-1].value for course in its}
    low, high = last.get("range_low", ""), last.get("range_high", "")
    return abs(Decimal(high) - Decimal(low)) or None if is_number(low) and is_number(high) else None


def _readings(steps: Sequence[Known], dates: Sequence[str]) -> list[Reading]:
    return [Reading(sealed_on=dates[step.at], value=step.value) for step in steps]
