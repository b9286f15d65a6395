"""Detailing: every device with its settings, for reports that draw or list them all."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from audit.comparing import Difference
from audit.engineering.clearance import EARTH_M
from audit.model.base import Position
from audit.model.detail import DeviceDetail, DeviceState, SettingDetail
from audit.model.result import Finding
from audit.model.site import Block, Site
from audit.model.value import Value

UNREAD = ("not read", "unclear")
"""States of a setting that was not read, or not clearly."""


class Said(NamedTuple):
    """Findings by the device that they name, and by the tags of the other devices concerned."""

    of_device: dict[tuple[str | None, str | None], list[Finding]]
    shared: dict[str, list[Finding]]


def details(
    site: Site, differences: Mapping[tuple[int, str], Difference], findings: Sequence[Finding]
) -> list[DeviceDetail]:
    """Return each device with its settings, by network: the gateway, then nodes in the plan's order."""
    unlike = {(b, name): set(difference.differing) for (b, name), difference in differences.items()}
    said = _said(findings)
    found = [
        _device(site, b, i, unlike, said) for b, block in enumerate(site.blocks) for i in range(len(block))
    ]
    networks = {network.name: n for n, network in enumerate(site.plan.networks)}
    return sorted(found, key=lambda device: (networks[device.network], not device.gateway))


def _said(findings: Sequence[Finding]) -> Said:
    """Return the findings that name each device, and those that name another device and concern it too."""
    said = Said(defaultdict(list), defaultdict(list))
    for finding in findings:
        if finding.node is not None and not finding.about_a_waiver:
            said.of_device[finding.network, finding.node].append(finding)
            for tag in finding.others:
                said.shared[tag].append(finding)
    return said


def _device(
    site: Site, b: int, i: int, unlike: Mapping[tuple[int, str], set[int]], said: Said
) -> DeviceDetail:
    block = site.blocks[b]
    east, north = _from_gateway(site, block, i)
    settings = [*_settings(block, b, i, unlike)]
    return DeviceDetail(
        network=block.networks[i],
        tag=block.tags[i],
        serial=block.serials[i] or None,
        location=block.locations[i] or None,
        type=block.type.name,
        gateway=block.gateway,
        east_m=east,
        north_m=north,
        state=_state_of(block, i, settings, said) if block.rows_read(i) else "not read",
        settings=settings,
    )


def _state_of(block: Block, i: int, settings: Sequence[SettingDetail], said: Said) -> DeviceState:
    """Return the state of a device that was read, from its settings and from what was found on it.

    A finding that names another device counts here too, unless its setting is as planned on this device.
    """
    states: dict[str, str] = {setting.name: setting.state for setting in settings}
    shared = said.shared.get(block.tags[i], ())
    found = [
        *said.of_device.get((block.networks[i], block.tags[i]), ()),
        *(finding for finding in shared if states.get(finding.setting or "", "as planned") != "as planned"),
    ]
    waived = {name for finding in found if finding.waived for name in finding.settings}
    live = [finding for finding in found if finding.level != "note" and not finding.waived]
    blank = [
        finding
        for finding in live
        if finding.settings and all(states.get(name, "not read") in UNREAD for name in finding.settings)
    ]
    left = {name: state for name, state in states.items() if name not in waived}
    if "differs" in left.values():
        return "differs"
    if len(live) > len(blank):
        return "with a finding"
    needed = {setting.name for setting in block.type.settings if setting.required or setting.critical}
    if blank or any(left[name] in UNREAD for name in needed & left.keys()):
        return "partly read"
    return "waived" if any(finding.waived for finding in found) else "as planned"


def _settings(
    block: Block, b: int, i: int, unlike: Mapping[tuple[int, str], set[int]]
) -> Iterator[SettingDetail]:
    for setting in block.type.settings:
        planned, found = block.value("planned", setting.name, i), block.value("found", setting.name, i)
        if planned.state == "blank" and found.state == "blank":
            continue
        yield SettingDetail(
            name=setting.name,
            label=setting.label or setting.name,
            role=setting.role or None,
            input=setting.input,
            unit=setting.unit or None,
            planned=planned.shown or None,
            found=found.shown or None,
            planned_number=_number(planned),
            found_number=_number(found),
            state=_state(planned, found, differs=i in unlike.get((b, setting.name), ())),
        )


def _number(value: Value) -> float | None:
    return None if value.number is None else float(value.number)


def _state(planned: Value, found: Value, *, differs: bool) -> str:
    if found.state in ("unclear", "impossible"):
        return "unclear"
    if not planned.read:
        return "not planned"
    if not found.read:
        return "not read"
    return "differs" if differs else "as planned"


def _from_gateway(site: Site, block: Block, i: int) -> tuple[float | None, float | None]:
    """Return how many metres east and north of its gateway a device stands, if the plan gives positions."""
    b, g = site.gateways[block.networks[i]]
    here, there = block.positions[i], site.blocks[b].positions[g]
    if here is None or there is None:
        return None, None
    if here.x_m is not None and here.y_m is not None and there.x_m is not None and there.y_m is not None:
        return round(here.x_m - there.x_m, 3), round(here.y_m - there.y_m, 3)
    return _by_degrees(here, there)


def _by_degrees(here: Position, there: Position) -> tuple[float | None, float | None]:
    """Return metres east and north between two places given in degrees, as for a sketch of a site."""
    if None in (here.latitude, here.longitude, there.latitude, there.longitude):
        return None, None
    north = math.radians(float(here.latitude or 0) - float(there.latitude or 0))
    turn = float(here.longitude or 0) - float(there.longitude or 0)
    east = math.radians(math.remainder(turn, 360))  # the short way round
    east *= math.cos(math.radians(float(there.latitude or 0)))
    return round(EARTH_M * east, 1), round(EARTH_M * north, 1)
