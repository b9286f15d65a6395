"""What a finding is about: its row, the role of its setting, and what was found and planned."""

from __future__ import annotations

from decimal import Decimal

from audit.checking import Found
from audit.model.site import Site
from audit.model.table import Table
from audit.reading.values import default_value


def newest_row(site: Site, item: Found) -> tuple[Table, int]:
    """Return the newest readback row of the device that a finding is about."""
    b, i = item.hit.order
    return site.blocks[b].rows_of(i)[-1]


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
