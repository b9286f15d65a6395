"""drift: a setting is as it was when the baseline was sealed, or the message says why not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from audit.checks.context import Context, hit
from audit.model.arguments import Drift
from audit.model.device import Setting
from audit.model.drift import Drifting, NewSetting, SettingDrift
from audit.model.finding import Hit, Outcome
from audit.model.site import Block, Site, Target
from audit.pairing.identifying import is_another
from audit.pairing.stating import numbers_as_planned
from audit.phrases import counted
from audit.texts import field_of

NEED_A_PLAN = ("pending", "unmended", "without-record", "all-differ", "new-off-plan")
"""Cases that only a plan beside the baseline can show."""


def run(context: Context, args: Drift) -> Outcome:
    """Return a hit for each setting to which the rule's case applies."""
    drifting = context.site.drift
    if drifting is None:
        return Outcome(0, [])
    outcome = _outcome(context, drifting, args)
    return replace(outcome, hits=[_with_its_tag(context.site, one) for one in outcome.hits])


def _with_its_tag(site: Site, one: Hit) -> Hit:
    """Return a hit that says under which tag its device was found, if that differs from the baseline's.

    Otherwise people would look for each of two swapped units in the place of the other.
    """
    b, i = one.order
    tag = field_of(site.blocks[b], i, "tag")
    if not is_another(tag, one.node):
        return one
    return replace(one, message=f"{one.message}; it was found under the tag {tag}")


def _outcome(context: Context, drifting: Drifting, args: Drift) -> Outcome:
    if args.what == "not-read":
        return _not_read(context, drifting, args)
    if args.what == "not-in-baseline":
        return _not_in_baseline(context, drifting, args)
    needs_plan = args.what in NEED_A_PLAN
    if (needs_plan and not drifting.with_plan) or (args.what == "recorded" and not drifting.with_records):
        return Outcome(0, [])
    if args.what == "new-off-plan":
        devices = sum(len(block) for _, block in context.blocks())
        return Outcome(devices, list(_of_other_type(context, drifting, args, off_plan=True)))
    looked_at = sum(difference.compared for _, _, difference in context.compared(args))
    blocks = dict(context.blocks())
    hits = []
    for drift in drifting.settings:
        block = blocks.get(drift.b)
        setting = block.type.setting(drift.setting) if block else None
        if block and setting and drift.case == args.what and args.chooses(setting.role, setting.name):
            hits.append(_hit(block, setting, drift))
    return Outcome(looked_at, hits)


def _hit(block: Block, setting: Setting, drift: SettingDrift) -> Hit:
    b, i = drift.b, drift.i
    before = block.value("planned", setting.name, i).shown
    now = block.value("found", setting.name, i).shown
    by_record = (*(read.place for read in drift.records), drift.beside_place)
    places = [place for place in (drift.plan_place, *by_record) if place]
    message = _message(setting.name, before, now, drift)
    count = numbers_as_planned(block, setting, i) if setting.role == "unit" and drift.case == "drift" else 0
    if count > 1:
        message += f"; its {count} numbers are those of the baseline, converted to {now}"
    return hit(block, b, i, [setting], message, extra_places=places)


def _message(name: str, before: str, now: str, drift: SettingDrift) -> str:
    """Return what a finding says about one setting: found, baseline, plan, and who allowed the change."""
    if drift.case == "pending":
        return f"{name} is {now}, as in the baseline; the plan now says {drift.planned}"
    if drift.case == "unmended":
        under = f"; it was sealed under waiver {drift.sealed_under}" if drift.sealed_under else ""
        return f"{name} is {now}, as in the baseline; {drift.planned} was planned then, and still is{under}"
    if drift.case == "without-record":
        nobody = drift.beside or "no change record says who allowed it"
        return f"{name} is {now}, as the plan now says; the baseline has {before}; {nobody}"
    if drift.case == "put-right":
        return f"{name} is {now}; the baseline has {before}, though {now} was planned then"
    words = f"{name} is {now}, the baseline has {before}"
    beside = f"; {drift.beside}" if drift.beside else ""
    if drift.case == "all-differ":
        when = "still" if drift.planned_then else "now"
        return f"{words}, and the plan {when} says {drift.planned}{beside}"
    if drift.records:
        last = drift.records[-1]
        if there := {"move": last.after, "added": last.network}.get(last.change.what):
            words = f"{name} is {now}, as at its gateway in {there}; the baseline has {before}"
        behind = f"; the plan says {drift.planned}" if drift.planned else ""
        return f"{words}: {last.words()}{behind}"
    return words + beside


def _not_read(context: Context, drifting: Drifting, args: Drift) -> Outcome:
    """Find settings, of devices that were read, that have a value in the baseline and were not read now."""
    looked_at, hits = 0, []
    for b, block, difference in context.compared(args):
        setting = difference.setting
        if setting.required or setting.critical:
            looked_at += difference.planned
            for i in difference.unread:
                if block.value("found", setting.name, i).state == "blank":
                    before = block.value("planned", setting.name, i).shown
                    message = f"{setting.name} was not read; the baseline has {before}"
                    if setting.name in drifting.not_of_new_type.get((b, i), ()):
                        message += ", and the device type now planned there has no such setting"
                    hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits)


def _not_in_baseline(context: Context, drifting: Drifting, args: Drift) -> Outcome:
    """Find devices of which something was read now but not for the baseline: one hit for each device.

    Of a device that was not read at all, the settings are counted: a line for each would say nothing more.
    """
    blocks = dict(context.blocks())
    hits = []
    for (b, i), names in drifting.new_settings.items():
        block = blocks.get(b)
        settings = [s for s in block.type.settings if s.name in names] if block else []
        chosen = [setting for setting in settings if args.chooses(setting.role, setting.name)]
        if block and chosen and not any(column[i].read for column in block.planned.values()):
            message = f"was not read for the baseline; read now: {counted(len(chosen), 'setting')}"
            places = [block.name_place(i), block.planned_place(i, "tag")]
            hits.append(hit(block, b, i, [], message, extra_places=places))
        elif block and chosen:
            listed = ", ".join(setting.name for setting in chosen)
            hits.append(hit(block, b, i, chosen, f"read now, but not for the baseline: {listed}"))
    hits += _of_other_type(context, drifting, args, off_plan=False)
    return Outcome(sum(len(block) for block in blocks.values()), hits)


def _of_other_type(context: Context, drifting: Drifting, args: Drift, *, off_plan: bool) -> Iterator[Hit]:
    """Yield the devices whose type has changed in the plan, with readings that their old type lacks."""
    of_device: dict[Target, list[NewSetting]] = defaultdict(list)
    for new in drifting.of_other_type:
        if bool(new.planned) == off_plan and args.chooses(new.setting.role, new.setting.name):
            of_device[new.b, new.i].append(new)
    blocks = dict(context.blocks())
    for (b, i), several in of_device.items():
        if block := blocks.get(b):
            readings = [
                f"{new.setting.name} is {new.found}{f', planned {new.planned}' if off_plan else ''}"
                for new in several
            ]
            was = f"in the baseline it is a {block.type.name!r}, which has no such setting"
            message = f"{'; '.join(readings)}; {was}"
            places = [place for new in several for place in new.places]
            yield hit(block, b, i, [], message, extra_places=places)
