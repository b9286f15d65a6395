"""Devices that were never set, or have lost their settings: most differences are factory defaults."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.checking import Found
from audit.checks.context import hit
from audit.folding.findings import Cause, Findings
from audit.model.device import Setting
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Block, Target
from audit.reading.values import default_value

SHARE = 0.75
"""Of the settings planned to differ from the default, the share that is no longer a slip. Judgement."""
SHARE_OF_JOINED = 0.66
"""The same among all but radio and address, on a device where those are all set. Judgement."""
FEWEST_OF_A_SPARE = 2
"""Settings at the default that suggest a spare, on a unit with another serial number. Judgement."""
JOINING = (*NETWORK_ROLES, "address")
"""Roles of the settings that are made when a node is joined."""


def at_default(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find devices that differ from the plan in several settings, which are at the factory default.

    A device that was only joined has its radio and address set. A unit with an unknown serial number is taken
    for a spare from fewer settings.
    """
    site = findings.site
    accepted = {item.hit.order: i for i, item in enumerate(findings.items) if _accepts_the_factory_code(item)}
    strange = _strange(findings)
    for (b, k), mine in findings.by_device().items():
        of_setting = findings.by_setting(mine)
        serial, mismatch = strange.get((b, k), ("", -1))
        fewest = FEWEST_OF_A_SPARE if serial else at_least
        if len(of_setting) < fewest:
            continue
        block = site.blocks[b]
        left, telling = _at_default(block, k)
        differing = [setting for setting in left if setting.name in of_setting]
        message = _words(left, telling, fewest, serial) if len(differing) >= fewest else ""
        if not message:
            continue
        dependents = [i for setting in differing for i in of_setting[setting.name]]
        dependents += [accepted[b, k]] if (b, k) in accepted else []
        dependents += [mismatch] if serial else []
        yield Cause(hit(block, b, k, left, message), dependents)


def _words(left: Sequence[Setting], telling: Sequence[Setting], fewest: int, serial: str) -> str:
    """Return the message for a device with settings at the factory default; empty if they are few."""
    spare = f"; serial {serial} is not in the plan: perhaps a spare" if serial else ""
    if len(left) >= max(fewest, SHARE * len(telling)):
        return (
            f"{len(left)} of the {len(telling)} settings planned to differ from the factory default are at "
            f"that default: it was never set, or has lost its settings{spare}"
        )
    others, of = ([setting for setting in some if setting.role not in JOINING] for some in (left, telling))
    joined = len(others) == len(left)
    if len(others) >= max(fewest, (SHARE_OF_JOINED if joined else SHARE) * len(of)):
        known = "it was joined" if joined else "it was set in part"
        nothing = "hardly anything" if len(others) >= SHARE * len(of) else "not much"
        nothing = "nothing" if len(others) == len(of) else nothing
        return (
            f"apart from radio and address, {len(others)} of the {len(of)} settings planned to differ from "
            f"the factory default are at that default: {known}, and {nothing} else was set{spare}"
        )
    names = ", ".join(setting.name for setting in left)
    if serial and (2 * len(others) >= len(of) or not joined):
        return f"{names} are at the factory default{spare} that was not set up"
    return ""  # most was set: perhaps the serial number is mistyped


def _strange(findings: Findings) -> dict[Target, tuple[str, int]]:
    """Return device → the unplanned serial number that was found on it, and the finding that says so."""
    read = findings.serials_read()
    planned = {serial for block in findings.site.blocks for serial in block.serials} if read else set()
    return {device: one for device, one in read.items() if one[0] and one[0] not in planned}


def _accepts_the_factory_code(item: Found) -> bool:
    return item.asks("access-code", "default-accepted") and item.hit.side == "found"


def _at_default(block: Block, k: int) -> tuple[list[Setting], list[Setting]]:
    """Return the settings of a device that are at a default that is not planned, and all that could be."""
    left, telling = [], []
    for setting in block.type.settings:
        default = default_value(setting)
        planned, found = (block.value(side, setting.name, k) for side in ("planned", "found"))
        if planned.read and found.read and (default is None or planned.content != default.content):
            if default or found.content == planned.content:  # as planned without a default: somebody set it
                telling.append(setting)
            left += [setting] if default and found.content == default.content else []
    return left, telling
