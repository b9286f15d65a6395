"""identity: a device is the one that it is taken to be."""

from __future__ import annotations

from collections.abc import Callable

from audit.checks.as_matched import (
    became_date,
    by_settings,
    corrected,
    respelled,
    serial_damaged,
    serials_swapped,
    tag_serial,
    units_swapped,
)
from audit.checks.context import Context, count_read, hit
from audit.checks.loose_rows import asides, named_strangers, names_no_device
from audit.checks.no_such_setting import no_such_setting
from audit.checks.not_joined import not_joined
from audit.checks.planned_again import planned_again
from audit.model.asked_of_evidence import Identity
from audit.model.finding import STRANGERS, Hit, Outcome
from audit.model.identified import Stranger
from audit.reading.gateway_names import gateway_names
from audit.reading.identifiers import bare, spelling


def run(context: Context, args: Identity) -> Outcome:
    """Return the hits for one aspect of identity."""
    if not context.site.readback and args.what not in OF_THE_PLAN:
        return Outcome(0, [])
    return ASPECTS[args.what](context)


def _unplanned(context: Context) -> Outcome:
    hits = []
    owners = context.site.by_serial()
    for s, stranger in named_strangers(context.site):
        ids = (("tag", stranger.tag), ("serial", stranger.serial))
        name = " ".join(f"{what} {text}" for what, text in ids if text)
        field = "tag" if stranger.tag else "serial"
        owner = owners.get(stranger.serial)
        if name and not owner:
            message = f"a device was found that is not in the plan: {name}"
        else:  # the device may well be in the plan
            which = _unnamed(context, stranger)
            if owner:
                which = f"{name}, the serial of {context.site.planned_tag(owner)}"
            message = f"a row is about a device that cannot be identified: {which}"
        hits.append(Hit(stranger.network, stranger.tag or stranger.serial, (), message, found=name,
                        places=(stranger.place(field),), order=(STRANGERS, s)))  # fmt: skip
    return Outcome(context.devices_read() + len(hits), hits)


def _unnamed(context: Context, stranger: Stranger) -> str:
    """Return what describes a device without tag and serial number: its address, and its row."""
    names = {setting.name for _, block in context.blocks() for setting in block.settings("address")}
    address = next(
        (f" at address {value.shown}" for name, value in stranger.found.items() if name in names), ""
    )
    table, entry = stranger.rows[-1]
    return f"without tag or serial{address}, in {table.file} row {table.rows[entry]}"


def _type_differs(context: Context) -> Outcome:
    looked_at, hits = 0, []
    for b, block in enumerate(context.site.blocks):
        if not any("type" in table.columns for table in block.tables):
            continue
        for i, rows in enumerate(block.rows):
            naming = [(table, entry) for table, entry in rows if bare(table.texts("type")[entry])]
            for table, entry in naming[-1:]:
                text = bare(table.texts("type")[entry])
                looked_at += 1
                if not block.type.is_called(text):
                    message = f"the device found is a {text!r}; a {block.type.name!r} is planned"
                    places = (table.place(entry, "type"), block.planned_place(i, "type"))
                    name = block.type.name
                    hits.append(
                        Hit(block.networks[i], block.tags[i], (), message, name, text, places, order=(b, i))
                    )
    return Outcome(looked_at, hits)


def _wrong_gateway(context: Context) -> Outcome:
    looked_at, hits = 0, []
    gateways = gateway_names(context.site.plan.networks)
    for b, block, _, setting, column in context.columns(["joined_gateway"]):
        looked_at += count_read(column)
        for i, value in enumerate(column):
            joined = gateways.get(spelling(str(value.content)))
            if value.read and joined != block.networks[i]:
                where = f"the gateway of {joined}" if joined else "a gateway that is not in the plan"
                planned = f"it is planned in {block.networks[i]}"
                message = f"the node has joined {value.content}, {where}; {planned}"
                hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits)


ASPECTS: dict[str, Callable[[Context], Outcome]] = {
    "tag-serial-mismatch": tag_serial,
    "became-date": became_date,
    "respelled": respelled,
    "units-swapped": units_swapped,
    "serials-swapped": serials_swapped,
    "unplanned": _unplanned,
    "names-no-device": names_no_device,
    "no-reading": asides,
    "type-differs": _type_differs,
    "no-such-setting": no_such_setting,
    "serial-damaged": serial_damaged,
    "serial-corrected": corrected,
    "wrong-gateway": _wrong_gateway,
    "not-joined": not_joined,
    "matched-by-settings": by_settings,
    "planned-twice": planned_again,
}
OF_THE_PLAN = ("planned-twice",)
"""Aspects that need no readback."""
