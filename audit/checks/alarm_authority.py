"""alarm-authority: an alarm that is off has an authorisation that is current and has an end."""

from __future__ import annotations

import re
from datetime import date

from audit.checks.context import Context, count_read, day_read, hit
from audit.model.asked_of_evidence import AlarmAuthority
from audit.model.finding import Outcome
from audit.model.site import Block
from audit.model.value import BLANK, Value

NUMBER, END = "alarm_authorisation", "alarm_authorised_until"
NONE_NAMED = ("no", "none", "false", "refused", "pending", "withdrawn", "expired")
"""What people write instead of a number; none of it is a record. The rule on trims has the same words."""
_UNTIL = re.compile(r"\buntil (\d{4}-\d\d-\d\d)")


def run(context: Context, args: AlarmAuthority) -> Outcome:
    """Return a hit for each device whose alarm is off, not planned so, and without such authorisation."""
    looked_at, hits = 0, []
    for b, block, _, setting, column in context.columns([args.role]):
        looked_at += count_read(column)
        others = block.first_settings(NUMBER, END)
        for i, value in enumerate(column):
            if value.content is False and block.value("planned", setting.name, i).content is not False:
                missing = _missing(block, i, context.site.day)
                if missing and missing[0] == args.what:
                    hits.append(hit(block, b, i, [setting, *others], missing[1]))
    return Outcome(looked_at, hits)


def _missing(block: Block, i: int, today: date | None) -> tuple[str, str] | None:
    """Return what the authorisation of an alarm that is off lacks, and the message; None if nothing."""
    setting = block.first_setting(NUMBER)
    number = block.value("found", setting.name, i) if setting else BLANK
    if not names_one(number):
        return "live", "the alarm is off, and no authorisation is named for it"
    end = day_read(block, END, i) or _end_in_number(number)
    if end is None:
        end_words = "its last day is not known; write it in the form 2026-03-31"
        return "end", f"the alarm is off under authorisation {number.shown}, and {end_words}"
    if today and end < today:
        return "live", f"the alarm is off, and its authorisation {number.shown} ended on {end.isoformat()}"
    return None


def names_one(number: Value) -> bool:
    """Tell whether a value is the number of a record, and not a word that says that there is none."""
    return number.read and str(number.content).strip().casefold() not in ("", *NONE_NAMED)


def _end_in_number(number: Value) -> date | None:
    """Return the end that is written in the same text as the number: `A-12 until 2026-03-31`."""
    written = _UNTIL.search(str(number.content).casefold())
    try:
        return date.fromisoformat(written[1]) if written else None
    except ValueError:
        return None
