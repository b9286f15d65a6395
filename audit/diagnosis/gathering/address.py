"""Whether another device of its network holds its address."""

from __future__ import annotations

from collections.abc import Iterator

from audit.diagnosis.evidence import MOST_PLACES, NotKnown, Told
from audit.diagnosis.examined import Case
from audit.model.table import Place
from audit.model.value import Value

UNREAD = " (not read; planned so)"
"""What is said of a device that holds an address as far as the plan says."""


def address(case: Case) -> Told | NotKnown | None:
    """Return who else holds the address of a node: as found, or as planned where it was not read.

    A device that was not read still holds the address that is planned for it.
    """
    for setting in case.block.settings("address")[:1]:
        found, planned = (case.block.value(side, setting.name, case.i) for side in ("found", "planned"))
        value, side = (found, "found") if found.read else (planned, "planned")
        if not value.read:
            return NotKnown("its address: neither planned nor read")
        own, its_plan = (case.block.place(of, setting.name, case.i) for of in (side, "planned"))
        off = found.read and planned.read and found.content != planned.content
        holders = list(_holders(case, value.content))
        what = f"address {value.shown}"
        if holders:
            names = " and ".join(name for name, _, _ in holders[:3])
            places = (own, *([its_plan] if off else []), *(place for _, place, _ in holders))[:MOST_PLACES]
            planned_only = side == "planned" or all(not read for _, _, read in holders)
            words = f"{what}, planned {planned.shown}, is" if off else f"{what} is"
            words = f"{words} also held by {names}"
            return Told("address-shared", words, places, planned=planned_only)
        if not _others_read(case):
            return NotKnown("who else holds its address: no other device of the network was read")
        if off:
            words = f"{what}, planned {planned.shown}; nobody else was seen to hold it"
            default = case.noticed(("address-left-default",))
            answer = "address-default" if default else "address-off-plan"
            words = f"{words}; it is the factory default" if default else words
            return Told(answer, words, (own, its_plan))
        unread = side == "planned"
        words = f"{what}{', which was not read,' if unread else ''} is held by nobody else that was read"
        return Told("address-alone", words, (own,), planned=unread)
    return None


def _holders(case: Case, content: object) -> Iterator[tuple[str, Place, bool]]:
    """Yield name, place, and whether it was read, of the other devices that hold an address."""
    for b, i in case.siblings():
        block = case.site.blocks[b]
        for setting in block.settings("address")[:1]:
            side = "found" if block.value("found", setting.name, i).read else "planned"
            value = block.value(side, setting.name, i)
            if value.read and value.content == content:
                how = _how(value, block.value("planned", setting.name, i)) if side == "found" else UNREAD
                yield block.tags[i] + how, block.place(side, setting.name, i), side == "found"
    names = {setting.name for block in case.site.blocks for setting in block.settings("address")}
    for stranger in case.site.strangers:
        held = [name for name, value in stranger.found.items() if name in names and value.content == content]
        if held and stranger.network in ("", case.network):
            who = stranger.tag or stranger.serial or "a device without tag"
            yield f"{who} (not in the plan)", stranger.place(held[0]), True


def _how(found: Value, planned: Value) -> str:
    """Return whether a device is planned to hold the address that it has."""
    if not planned.read:
        return ""
    return " (as planned)" if found.content == planned.content else f" (planned {planned.shown})"


def _others_read(case: Case) -> bool:
    return any(case.site.blocks[b].rows and case.site.blocks[b].rows[i] for b, i in case.siblings())
