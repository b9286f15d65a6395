"""read-back: devices and settings were read at all. A blank is not a pass."""

from __future__ import annotations

from typing import NamedTuple

from audit.checks.context import Context, hit
from audit.checks.planned_beside import NONE_CRITICAL
from audit.columns import where
from audit.model.asked_of_evidence import ReadBack
from audit.model.asked_of_values import Chosen
from audit.model.finding import Gap, Outcome
from audit.model.roles import SETPOINTS
from audit.model.site import Block
from audit.model.table import HIDDEN, Place
from audit.model.value import Value
from audit.reading.dates import made_of
from audit.reading.quoting import quoted, remark

OFF = ("off", "disabled", "inactive", "aus")
"""What a display shows in place of a setpoint if its alarm is off."""
EVERY = Chosen(all_but_roles=())


def run(context: Context, args: ReadBack) -> Outcome:
    """Return a hit for each device or setting that was not read back, or not clearly."""
    if not context.site.readback:
        return Outcome(0, [])
    if args.what == "device":
        return _devices(context)
    if args.what == "clear-value":
        return _clear(context)
    if args.what == "alarm-off":
        return _alarm_off(context)
    return _settings(context, critical=args.what == "critical-settings")


def _devices(context: Context) -> Outcome:
    looked_at, hits = 0, []
    for b, block in context.blocks():
        looked_at += len(block.rows)
        for i in block.unread():
            what = "gateway" if block.gateway else "node"
            places = [block.planned_place(i, "tag")]
            message = f"the {what} is planned, but is in no readback"
            if (b, i) in context.site.blank:
                message = f"the {what} is in the readback, but with no setting filled in"
                places.append(context.site.blank[b, i])
            if i in block.listed:
                message = f"the {what} is only in a gateway's list: its settings were not read"
                places.append(block.name_place(i))
            if (b, i) in context.site.noted:
                note = _note(block, context.site.noted[b, i])
                message += f"; its note says {note.raw if note.raw == HIDDEN else quoted(note.raw.strip())}"
                places.append(note)
            first = _left_out(context, block, i)
            if first:
                message += f"; {first.words}"
                places.append(first.place)
            hits.append(hit(block, b, i, [], message, extra_places=places))
    return Outcome(looked_at, hits)


def _note(block: Block, place: Place) -> Place:
    """Return the place of a note, without anything that may be an access code."""
    secrets = [setting.name for setting in block.type.settings if setting.kind == "secret"]
    return place._replace(raw=remark(place.raw, secrets))


def _settings(context: Context, *, critical: bool) -> Outcome:
    looked_at, hits = 0, []
    for b, block, difference in context.compared(EVERY):
        setting, name = difference.setting, difference.setting.name
        if setting.critical != critical or not (setting.required or critical):
            continue
        looked_at += difference.planned
        for i in difference.unread:
            if block.value("found", name, i).state == "blank":
                message = f"{name} was not read back; planned {block.value('planned', name, i).shown}"
                why = _left_out(context, block, i, name)
                message += f"; {why.words}" if why else ""
                hits.append(hit(block, b, i, [setting], message, extra_places=[why.place] if why else ()))
    marked = any(setting.critical for _, block in context.blocks() for setting in block.type.settings)
    return Outcome(looked_at, hits, (Gap(NONE_CRITICAL, 1),) if critical and not marked else ())


class _Why(NamedTuple):
    """Why a setting was left out, in words, and the place that says so."""

    words: str
    place: Place


def _left_out(context: Context, block: Block, i: int, name: str = "") -> _Why | None:
    """Return why a setting, or the first one of a device, was left out by hand; None if it was not."""
    if not context.site.left_out:
        return None
    device = (block.networks[i], block.tags[i])
    names = [name] if name else ["serial", *(setting.name for setting in block.type.settings)]
    for one in names:
        place = context.site.left_out.get((*device, one))
        if place:
            reason = ", no reason given"
            if place.raw.strip():
                reason = f": {place.raw if place.raw == HIDDEN else quoted(place.raw)}"
            return _Why(f"{'it' if name else one} was left out by hand{reason}", place)
    return None


def _clear(context: Context) -> Outcome:
    looked_at, hits = 0, []
    for b, block, _, setting, column in context.chosen(EVERY):
        looked_at += len(column)
        for i in where((column,), lambda value: value.state == "unclear"):
            if not (setting.role in SETPOINTS and _says_off(column[i])):
                message = f"{setting.name}: {column[i].note}{_made_of_planned(block, i, setting.name)}"
                hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits)


def _alarm_off(context: Context) -> Outcome:
    """Look at setpoints: if an alarm is off, some displays show that word in place of the number."""
    looked_at, hits = 0, []
    for b, block, _, setting, column in context.columns(SETPOINTS):
        looked_at += len(column)
        for i in where((column,), _says_off):
            planned = block.value("planned", setting.name, i)
            if planned.read:
                message = f"{setting.name} is {column[i].shown}, planned {planned.shown}"
                hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits)


def _says_off(value: Value) -> bool:
    return value.state == "unclear" and value.shown.casefold() in OFF


def _made_of_planned(block: Block, i: int, name: str) -> str:
    """Return a remark if what was read is what a spreadsheet turns the planned text into."""
    found, planned = block.found_place(i, name).raw, block.planned_place(i, name).raw
    made = made_of(found, planned)
    return f"; it is the date that a spreadsheet turns the planned {planned} into" if made else ""
