"""What a finding is about: its row, the role of its setting, and what was found and planned."""

from __future__ import annotations

from decimal import Decimal

from audit.checking import Found
from audit.model.device import Setting
from audit.model.site import Site, Target
from audit.model.table import Table
from audit.model.value import Value
from audit.reading.values import default_value

Sheet = tuple[str, str]
"""The name of a file, and of the sheet in it."""


def newest_row(site: Site, item: Found) -> tuple[Table, int]:
    """Return the newest readback row of the device that a finding is about."""
    b, i = item.hit.order
    return site.blocks[b].rows_of(i)[-1]


def sheet_of(item: Found) -> Sheet:
    """Return the file and the sheet that a finding quotes first; empty texts where it quotes none."""
    return (item.hit.places[0].file, item.hit.places[0].sheet) if item.hit.places else ("", "")


def setting_of(site: Site, item: Found) -> Setting | None:
    """Return the first setting of a finding about a planned device; None where it has none."""
    b, _ = item.hit.order
    if b >= len(site.blocks) or not item.hit.settings:
        return None
    return site.blocks[b].type.setting(item.hit.settings[0])


def role_of(site: Site, item: Found) -> str:
    """Return the role of the first setting of a finding; empty where it has none."""
    setting = setting_of(site, item)
    return setting.role if setting else ""


def values_of(site: Site, item: Found) -> tuple[Value, Value]:
    """Return the values found and planned for the first setting of a finding."""
    (b, i), name = item.hit.order, item.hit.settings[0]
    return site.blocks[b].value("found", name, i), site.blocks[b].value("planned", name, i)


def found_and_planned(site: Site, item: Found) -> tuple[object, object]:
    """Return what was found and what is planned for the first setting of a finding."""
    found, planned = values_of(site, item)
    return found.content, planned.content


def numbers_of(site: Site, item: Found) -> tuple[Decimal, Decimal] | None:
    """Return the numbers found and planned for it, None where either is not a number."""
    found, planned = values_of(site, item)
    return None if found.number is None or planned.number is None else (found.number, planned.number)


def as_planned(site: Site, item: Found) -> bool:
    """Tell whether the device that a finding is about shows what is planned for it."""
    found, planned = found_and_planned(site, item)
    return planned is not None and found == planned


def at_factory_default(site: Site, item: Found) -> bool:
    """Tell whether the first setting of a finding was found at its factory default."""
    setting = setting_of(site, item)
    default = default_value(setting) if setting else None
    return default is not None and default.content == values_of(site, item)[0].content


def compared(site: Site, network: str, name: str) -> list[Target]:
    """Return the devices of a network for which a setting is planned, and on which it was read."""
    return [
        (b, i)
        for b, block in enumerate(site.blocks)
        for i, (its, planned, found) in enumerate(
            zip(block.networks, block.values("planned", name), block.values("found", name), strict=True)
        )
        if its == network and planned.read and found.read
    ]
