"""Findings and their causes: what the folding patterns share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from audit.checking import Found
from audit.grouping import grouped
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Block, Site, Target
from audit.model.table import Table
from audit.model.value import Value
from audit.reading.values import default_value

Causes = dict[int, int]
"""Position of a finding → position of its cause."""


def root_of(i: int, causes: Causes) -> int:
    """Return the position of the finding at the end of the chain of causes."""
    while i in causes:
        i = causes[i]
    return i


def dependents(causes: Causes) -> dict[int, list[int]]:
    """Return position of a cause → positions of the findings under it."""
    return grouped((cause, i) for i, cause in causes.items())


def link(causes: Causes, dependent: int, cause: int) -> None:
    """Put a finding under its cause, unless it has one already or that would make a loop."""
    if dependent not in causes and root_of(cause, causes) != dependent:
        causes[dependent] = cause


def comparisons(site: Site, items: Iterable[tuple[int, Found]], causes: Causes) -> list[tuple[int, Found]]:
    """Return the findings without a cause that say a value is not what it should be.

    Findings about a node that is as planned, but not as its gateway, are left out.
    """
    return [(i, item) for i, item in items if i not in causes and item.hit.side == "found"
            and item.hit.settings and item.rule.check.kind in ("equals-plan", "equals-gateway")
            and not as_planned(site, item)]  # fmt: skip


def by_device(site: Site, items: Sequence[Found], causes: Causes) -> dict[Target, list[int]]:
    """Return device → its comparisons, as positions."""
    return grouped((item.hit.order, i) for i, item in comparisons(site, enumerate(items), causes))


def by_setting(items: Sequence[Found], mine: Iterable[int]) -> dict[str, list[int]]:
    """Return setting → positions of those findings that name it first."""
    return grouped((items[i].hit.settings[0], i) for i in mine)


def newest_row(site: Site, item: Found) -> tuple[Table, int]:
    """Return the newest readback row of the device that a finding is about."""
    b, i = item.hit.order
    return site.blocks[b].rows_of(i)[-1]


def readings(site: Site, name: str) -> Iterator[tuple[Block, int, Value]]:
    """Yield the devices on which a setting was read, each with its value."""
    for block in site.blocks:
        for i, value in enumerate(block.column("found", name) or ()):
            if value.read:
                yield block, i, value


def serials_read(site: Site, items: Sequence[Found]) -> dict[Target, tuple[str, int]]:
    """Return device → the serial number read that is not its own, and the finding that says so."""
    found = {}
    for i, item in enumerate(items):
        if item.rule.id == "tag-serial-mismatch":
            table, entry = newest_row(site, item)
            found[item.hit.order] = table.texts("serial")[entry].strip(), i
    return found


def role_of(site: Site, item: Found) -> str:
    """Return the role of the first setting of a finding; empty where it has none."""
    b, _ = item.hit.order
    if b >= len(site.blocks) or not item.hit.settings:
        return ""
    setting = site.blocks[b].type.setting(item.hit.settings[0])
    return setting.role if setting else ""


def found_and_planned(site: Site, item: Found, name: str) -> tuple[object, object]:
    """Return what was found and what is planned for a setting of the device that a finding is about."""
    b, i = item.hit.order
    block = site.blocks[b]
    return block.value("found", name, i).content, block.value("planned", name, i).content


def numbers_of(site: Site, item: Found, name: str) -> tuple[Decimal, Decimal] | None:
    """Return the numbers found and planned for a setting, None where either is not a number."""
    b, i = item.hit.order
    found, planned = (site.blocks[b].value(side, name, i).number for side in ("found", "planned"))
    return None if found is None or planned is None else (found, planned)


def as_planned(site: Site, item: Found) -> bool:
    """Tell whether the device that a finding is about shows what is planned for it."""
    found, planned = found_and_planned(site, item, item.hit.settings[0])
    return planned is not None and found == planned


def at_factory_default(site: Site, item: Found) -> bool:
    """Tell whether the first setting of a finding was found at its factory default."""
    name, block = item.hit.settings[0], site.blocks[item.hit.order[0]]
    setting = block.type.setting(name)
    default = default_value(setting) if setting else None
    return default is not None and default.content == found_and_planned(site, item, name)[0]


def add_cause(items: list[Found], causes: Causes, rule: Rule, hit: Hit, dependents: Iterable[int]) -> None:
    """Add a finding that names a cause, and put its dependents under it."""
    items.append(Found(rule, hit))
    for i in dependents:
        link(causes, i, len(items) - 1)


def network_of(hits: Iterable[Hit]) -> str:
    """Return the network that all hits are in, empty where they are in several."""
    networks = {hit.network for hit in hits}
    return networks.pop() if len(networks) == 1 else ""


def add_root(
    items: list[Found], causes: Causes, rule: Rule, dependents: Sequence[int], network: str, message: str,
    tags: Sequence[str], settings: tuple[str, ...],
) -> None:  # fmt: skip
    """Add a finding about a network that names a cause, and put its dependents under it.

    It gives a planned or found value only where all dependents have that value.
    """
    first = items[dependents[0]].hit
    unique = tuple(dict.fromkeys(tags))
    planned, found = (
        value if settings and all(getattr(items[i].hit, side) == value for i in dependents) else ""
        for side, value in (("planned", first.planned), ("found", first.found))
    )
    places = first.places if first.side == "planned" else first.places[:1]  # each device has its own reading
    root = Hit(network, "", settings, message, planned, found, places, unique, first.side, first.order)
    add_cause(items, causes, rule, root, dependents)
