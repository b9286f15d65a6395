"""Evidence on records: alarms that are off, trims, licences, and what has to be looked for elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.checks.alarm_authority import names_one
from audit.model.radio import Radio
from audit.model.site import Block, Site
from audit.phrases import counted

ELSEWHERE = (
    "Alarm tests, calibrations and seals are not recorded here: attach the site's own records of them."
)


def records(site: Site) -> list[str]:
    """Return what an auditor asks about records, one sentence each."""
    return [_alarms(site), _trims(site), _radio(site), ELSEWHERE]


def _alarms(site: Site) -> str:
    devices = [*_devices(site, "alarm_enabled")]
    if not devices:
        return "Alarms: no device type has a setting that turns them off (role alarm_enabled)."
    off = [(block, i) for block, i in devices if _content(block, i, "alarm_enabled") is False]
    unread = sum(_content(block, i, "alarm_enabled") is None for block, i in devices)
    named = sum(_is_named(block, i, "alarm_authorisation", ("found",)) for block, i in off)
    return (
        f"Alarms: off on {len(off):,} of {counted(len(devices), 'device')} that can turn them off, not read "
        f"on {unread:,}; an authorisation is named for {named:,} of those that are off."
    )


def _trims(site: Site) -> str:
    devices = [*_devices(site, "offset")]
    if not devices:
        return "Trims: no device type has one (role offset)."
    trimmed = [(block, i) for block, i in devices if _content(block, i, "offset")]
    unread = sum(_content(block, i, "offset") is None for block, i in devices)
    named = sum(_is_named(block, i, "calibration_record", ("found", "planned")) for block, i in trimmed)
    return (
        f"Trims: other than zero on {len(trimmed):,} of {counted(len(devices), 'device')} with one, not read "
        f"on {unread:,}; a calibration record is named for {named:,} of those trimmed."
    )


def _radio(site: Site) -> str:
    radios = dict.fromkeys(filter(None, map(_words, site.plan.radios())))
    return f"Radio: {'; '.join(radios)}." if radios else "Radio: the plan names neither a band nor a licence."


def _words(radio: Radio) -> str:
    licence = radio.licence
    parts = [f"band {radio.band}" if radio.band else ""]
    parts += [f"licence {licence.reference or 'without a number'}" if licence else ""]
    return ", ".join(filter(None, parts))


def _devices(site: Site, role: str) -> Iterator[tuple[Block, int]]:
    for block in site.blocks:
        if block.settings(role):
            yield from ((block, i) for i in range(len(block)))


def _content(block: Block, i: int, role: str) -> object:
    """Return what was read for the first setting with a role; None if nothing was."""
    setting = block.first_setting(role)
    return block.value("found", setting.name, i).content if setting else None


def _is_named(block: Block, i: int, role: str, sides: Sequence[str]) -> bool:
    """Tell whether the first setting with a role names a record on one of some sides."""
    setting = block.first_setting(role)
    return setting is not None and any(names_one(block.value(side, setting.name, i)) for side in sides)
