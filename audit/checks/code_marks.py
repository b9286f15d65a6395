"""code-marks: access codes compared with those of other runs, by their keyed marks."""

from __future__ import annotations

import datetime

from audit.checks.code_holders import changed_since, held_since, names_of_device, names_of_mark, unknown_now
from audit.checks.context import Context, access_codes, day_read, hit, is_factory
from audit.grouping import grouped
from audit.model.asked_of_evidence import CodeMarks
from audit.model.code_mark import CodeMark
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.site import Block
from audit.reading.code_marks import code_read_on

OF_MARKS = ("code-shared-elsewhere", "code-unchanged", "code-not-changed-as-noted")
"""The rules of this kind, which compare nothing unless marks of other runs are given."""


def run(context: Context, args: CodeMarks) -> Outcome:
    """Return a hit for each code that another device had, or that the device itself had before.

    Of the latter, `not-changed-as-noted` looks only at those for which a later change is noted. The factory
    default is left to another rule.
    """
    of_others = context.site.marks
    if of_others is None:
        return Outcome(0, [])
    by_mark = grouped((mark.mark, (mark, names_of_mark(context, mark))) for mark in of_others.marks)
    not_now = unknown_now(context, of_others.marks) | changed_since(of_others.marks)
    since = held_since(of_others.marks)
    hits: list[Hit] = []
    read = [one for one in access_codes(context) if one.side == "found"]
    read_now = {name for one in read for name in names_of_device(context, one.block, one.setting.name, one.i)}
    for b, block, _, setting, i, its in read:
        if is_factory(its, setting):
            continue
        known = by_mark.get(its.token.hex(), [])
        if args.what == "shared-elsewhere":
            # Codes shared within this run are reported by `code-shared`.
            others = [mark for mark, names in known if not names & read_now and mark not in not_now]
            if others:
                hits.append(hit(block, b, i, [setting], _shared(others)))
            continue
        own = names_of_device(context, block, setting.name, i)
        day = code_read_on(block, i, setting, of_others.day)
        before = [mark for mark, names in known if names & own and mark.first_read_on < day]
        if args.what == "unchanged":
            hits += [_unchanged(block, b, i, setting, mark, since.get(mark)) for mark in before]
        else:
            noted = day_read(block, "code_changed_on", i)
            hits += [_not_changed(block, b, i, setting, since[mark], noted) for mark in before
                     if noted and mark in since and since[mark] < min(noted, day)]  # fmt: skip
    return Outcome(len(read), hits)


def _shared(others: list[CodeMark]) -> str:
    first = others[0]
    more = f", and of {len(others) - 1} more" if len(others) > 1 else ""
    return (
        f"the access code is also that of {first.node} of {first.network}, {first.site}, "
        f"read on {first.last_read_on.isoformat()}{more}"
    )


def _unchanged(
    block: Block, b: int, i: int, setting: Setting, mark: CodeMark, since: datetime.date | None
) -> Hit:
    """Return the hit on a code of before; `since` is a later day, or none, if it was another in between."""
    renamed = (mark.network, mark.node) != (block.networks[i], block.tags[i])
    where = f" at {mark.node} of {mark.network}" if renamed else ""
    still = "still" if since == mark.first_read_on else "again"
    message = f"the access code is {still} the one that was read{where} on {mark.first_read_on.isoformat()}"
    return hit(block, b, i, [setting], message)


def _not_changed(
    block: Block, b: int, i: int, setting: Setting, since: datetime.date, noted: datetime.date
) -> Hit:
    message = (
        f"the access code is said to have been changed on {noted.isoformat()}, and is still the one that was "
        f"read on {since.isoformat()}"
    )
    return hit(block, b, i, [*block.first_settings("code_changed_on"), setting], message)
