"""code-marks: access codes beside those of other runs, by their keyed marks."""

from __future__ import annotations

import datetime
from collections import defaultdict

from audit.checks.context import Context, access_codes, day_read, hit, is_factory
from audit.model.asked_of_evidence import CodeMarks
from audit.model.code_mark import CodeMark
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.site import Block

Holder = tuple[str, str, str, str]
"""Site, network, tag, setting."""


def run(context: Context, args: CodeMarks) -> Outcome:
    """Return a hit for each code that was another device's, or that is still the device's own of before.

    Of the latter also where it is said to have been changed since.

    The factory default is another rule's matter.
    """
    of_others = context.site.marks
    if of_others is None:
        return Outcome(0, [])
    by_mark: dict[str, list[CodeMark]] = defaultdict(list)
    for mark in of_others.marks:
        by_mark[mark.mark].append(mark)
    looked_at, hits = 0, []
    read = [one for one in access_codes(context) if one[2] == "found"]
    read_now = {_holder(context, block, setting, i) for _, block, _, setting, i, _ in read}
    for b, block, _, setting, i, its in read:
        looked_at += 1
        if is_factory(its, setting):
            continue
        known = by_mark.get(its.token.hex(), [])
        own = _holder(context, block, setting, i)
        if args.what == "shared-elsewhere":
            # What other devices of this run have is told by `code-shared`.
            others = [mark for mark in known if _of(mark) not in read_now]
            if others:
                hits.append(hit(block, b, i, [setting], _shared(others)))
            continue
        before = [mark for mark in known if _of(mark) == own and mark.first_read_on < of_others.day]
        if args.what == "unchanged":
            hits += [_unchanged(block, b, i, setting, mark) for mark in before]
        else:
            noted = day_read(block, "code_changed_on", i)
            hits += [_not_changed(block, b, i, setting, mark, noted) for mark in before
                     if noted and mark.first_read_on < noted]  # fmt: skip
    return Outcome(looked_at, hits)


def _holder(context: Context, block: Block, setting: Setting, i: int) -> Holder:
    return context.site.plan.site.name, block.networks[i], block.tags[i], setting.name


def _of(mark: CodeMark) -> Holder:
    return mark.site, mark.network, mark.node, mark.setting


def _shared(others: list[CodeMark]) -> str:
    first = others[0]
    more = f", and of {len(others) - 1} more" if len(others) > 1 else ""
    return (
        f"the access code is also that of {first.node} of {first.network}, {first.site}, "
        f"read on {first.last_read_on.isoformat()}{more}"
    )


def _unchanged(block: Block, b: int, i: int, setting: Setting, mark: CodeMark) -> Hit:
    message = f"the access code is still the one that was read on {mark.first_read_on.isoformat()}"
    return hit(block, b, i, [setting], message)


def _not_changed(block: Block, b: int, i: int, setting: Setting, mark: CodeMark, noted: datetime.date) -> Hit:
    message = (
        f"the access code is said to have been changed on {noted.isoformat()}, and is still the one that was "
        f"read on {mark.first_read_on.isoformat()}"
    )
    return hit(block, b, i, [*block.settings("code_changed_on")[:1], setting], message)
