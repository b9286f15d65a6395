"""Telling: the baselines of a site become its history."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from audit.errors import of_each, stop
from audit.grouping import grouped
from audit.history.courses import DeviceCourse, courses
from audit.history.happenings import changes, events, unplanned_serials
from audit.history.patterns import creeps, flips
from audit.history.standing import standing, under_last_names
from audit.judging.cautions import CAUTION
from audit.model.baseline import Content
from audit.model.history import (
    BaselineLine,
    Cell,
    DeviceEvent,
    DeviceLine,
    History,
    NetworkLine,
    SettingChange,
)
from audit.reading.baselines import ReadBaseline, read_baseline
from audit.sealing.verifying import verify

CAUTION_GAPS = (
    "Baselines show a site as it was on the days they were sealed. What was changed and changed back in "
    "between is not in them, nor is who changed it."
)


def read_all(paths: Sequence[Path]) -> list[ReadBaseline]:
    """Return the baselines in files. Raises InputProblems with the problems of all the files."""
    read = of_each(paths, read_baseline)
    once = list({one.baseline.sha256: one for one in reversed(read)}.values())
    sites = {one.baseline.content.site.name for one in once}
    if not any(sites <= names for names in _names_of_each(once)):
        raise stop(
            f"the baselines are of several sites: {', '.join(sorted(sites))}", "give those of one site"
        )
    return once


def _names_of_each(read: Sequence[ReadBaseline]) -> Iterator[set[str]]:
    """Yield the names that the site of each baseline has had, also those that only earlier ones give."""
    sites = [one.baseline.content.site for one in read]
    for site in sites:
        names = {*site.names}
        while more := {old for one in sites if one.name in names for old in one.formerly} - names:
            names |= more
        yield names


def tell(read: Sequence[ReadBaseline]) -> History:
    """Return the history of a site from its baselines, in the order of their chain."""
    verified = verify([one.file for one in read])
    names = [one.name for one in verified]
    read = sorted(read, key=lambda one: names.index(one.name))
    contents = [one.baseline.content for one in read]
    dates = _dates(read)
    devices = courses(contents)
    changed = changes(devices, dates)
    changed_on = Counter(change.sealed_on for change in changed)
    happened = events(devices, dates, [unplanned_serials(content) for content in contents])
    return History(
        schema_="asfound/history/1",
        site=contents[-1].site.name,
        baselines=[
            _line(one, at, dates[at], devices, changed_on[dates[at]] if at else None)
            for at, one in enumerate(read)
        ],
        doubts=[f"{one.name}: {reason.message}" for one in verified for reason in one.distrust],
        creeps=creeps(devices, dates),
        flips=flips(devices, dates),
        standing=standing(under_last_names(contents, devices)),
        events=happened,
        changes=changed,
        networks=list(_networks(devices, changed, happened, dates)),
        cautions=[CAUTION, CAUTION_GAPS],
    )


def _dates(read: Sequence[ReadBaseline]) -> list[str]:
    """Return the date of each baseline, with its file if two were sealed on one day."""
    days = [one.baseline.content.sealed_on.isoformat() for one in read]
    times = Counter(days)
    return [f"{day} ({one.name})" if times[day] > 1 else day for day, one in zip(days, read, strict=True)]


def _line(
    one: ReadBaseline, at: int, date: str, devices: Sequence[DeviceCourse], changed: int | None
) -> BaselineLine:
    content: Content = one.baseline.content
    here = [(device, sealed) for device in devices for sealed in [device.sealed[at]] if sealed]
    known = {kind.name: {setting.name for setting in kind.settings} for kind in content.device_types}
    return BaselineLine(
        file=one.name,
        sha256=one.baseline.sha256,
        sealed_on=date,
        signed_by=content.signed_by,
        verdict=content.verdict,
        plan_revision=content.site.plan_revision or None,
        devices=len(here),
        devices_read=sum(bool(sealed.settings) for _, sealed in here),
        not_read=[f"{device.network} {device.tag}" for device, sealed in here if not sealed.settings],
        settings_not_read=sum(
            course.values[at] is None
            for device, sealed in here
            if sealed.settings
            for course in device.settings
            if course.setting.name in known[sealed.type]  # its type may have got it later, or lost it before
        ),
        changes=changed,
    )


def _networks(
    devices: Sequence[DeviceCourse],
    changed: Sequence[SettingChange],
    happened: Sequence[DeviceEvent],
    dates: Sequence[str],
) -> Iterator[NetworkLine]:
    changes_of = grouped(((change.network, change.node, change.sealed_on), change) for change in changed)
    events_of = grouped(((event.network, event.node, event.sealed_on), event) for event in happened)
    for network in dict.fromkeys(device.network for device in devices):
        members = [device for device in devices if device.network == network]
        lines = [
            DeviceLine(
                node=device.tag,
                type=device.type,
                cells=[
                    Cell(
                        events=events_of.get((network, device.tag, date), []),
                        not_read=sealed is not None and not sealed.settings,
                        changes=changes_of.get((network, device.tag, date), []),
                    )
                    for date, sealed in zip(dates, device.sealed, strict=True)
                ],
            )
            for device in members
        ]
        eventful = [
            line for line in lines if any(cell.events or cell.not_read or cell.changes for cell in line.cells)
        ]
        yield NetworkLine(network=network, devices=eventful, unchanged=len(members) - len(eventful))
