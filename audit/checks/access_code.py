"""access-code: the factory code is gone, and the new one is not trivial, shared or in clear.

Codes are compared by keyed tokens (see reading/codes.py); nothing here can show a code.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator

from audit.checks.context import Context, access_codes, codes_read, hit, is_factory, refusals
from audit.model.asked_of_evidence import AccessCode
from audit.model.device import Setting
from audit.model.finding import Gap, Hit, Outcome
from audit.model.site import Block
from audit.model.value import Value
from audit.reading.codes import is_spelling_of
from audit.reading.moments import is_later
from audit.reading.trials import refused

FACTORY_CODE = "default-code-accepted"
"""The rule about the factory code, which either the code itself or a trial of it shows."""
NOT_TRIED = "not tried"
"""What the sheets offer to enter if nobody tried the factory code."""
SHORTEST = 4
"""Digits of an access code, where the device type does not say how many."""


def run(context: Context, args: AccessCode) -> Outcome:
    """Return the hits for one aspect of access codes."""
    return ASPECTS[args.what](context)


def _trials(context: Context) -> Iterator[tuple[int, Block, Setting, int, Value]]:
    """Yield, for each device that was read, what was written about whether it refused the factory code."""
    for b, block in context.blocks() if "found" in context.sides() else ():
        for setting in block.settings("default_refused"):
            for i, value in enumerate(block.values("found", setting.name)):
                if block.rows[i]:
                    yield b, block, setting, i, value


def _accepted(context: Context) -> Outcome:
    """Look at both kinds of evidence: trials of the factory code, and exported codes themselves.

    Where one is later than the other, the code was changed in between, and the later one counts.
    """
    looked_at, hits = 0, []
    changed = set()
    for b, block, side, setting, i, its in access_codes(context):
        looked_at += 1
        if not is_factory(its, setting):
            trials = block.settings("default_refused") if side == "found" else []
            changed |= {(b, i, trial.name) for trial in trials if _newer(block, i, setting, trial)}
        elif side == "planned" or not _refused_since(block, i, setting):
            hits.append(_factory(block, b, i, setting, side))
    reported = {h.order for h in hits if h.side == "found"}
    for b, block, setting, i, answer in _trials(context):
        looked_at += 1
        if refused(answer) is False and (b, i) not in reported and (b, i, setting.name) not in changed:
            hits.append(hit(block, b, i, [setting], "the factory access code was tried and accepted"))
    return Outcome(looked_at, hits)


def _refused_since(block: Block, i: int, setting: Setting) -> bool:
    """Tell whether a device was read to refuse the factory code after its own code had been exported."""
    return any(_newer(block, i, trial, setting) for trial in refusals(block, i))


def _newer(block: Block, i: int, one: Setting, than: Setting) -> bool:
    """Tell whether a setting of a device was last read at a later time than another one."""
    times = [
        table.texts("read_at")[entry]
        for setting in (one, than)
        for table, entry in block.readings(i, setting.name)[:1]
    ]
    return len(times) == 2 and is_later(*times)


def _factory(block: Block, b: int, i: int, setting: Setting, side: str) -> Hit:
    """Return the hit on a factory code, which also says so if the readback claims that it was refused."""
    trials = refusals(block, i) if side == "found" else []
    contradicted = [block.found_place(i, trial.name) for trial in trials]
    message = "the access code is the factory default"
    message += ", though the readback says that it was refused" if contradicted else ""
    return hit(block, b, i, [setting], message, side, extra_places=contradicted)


def _not_tried(context: Context) -> Outcome:
    looked_at, hits = 0, []
    message = "nobody has checked whether the device refuses the factory access code"
    for b, block, setting, i, answer in _trials(context):
        looked_at += 1
        untried = answer.state == "blank" or str(answer.content).casefold() == NOT_TRIED
        if untried and not _exported(block, i):
            hits.append(hit(block, b, i, [setting], message))
    tags = [block.tags[i] for _, block in context.blocks() for i in range(len(block))
            if block.rows[i] and cannot_show(block, i)]  # fmt: skip
    lacking = Gap("`default_refused` or an exported code", len(tags), tuple(tags))
    return Outcome(looked_at, hits, (lacking,) if looked_at and tags else ())


def cannot_show(block: Block, i: int) -> bool:
    """Tell whether nothing can show if a device refuses the factory code: neither a setting nor an export."""
    return not block.settings("default_refused") and not _exported(block, i)


def _exported(block: Block, i: int) -> bool:
    """Tell whether an exported code already shows whether it is the factory's, so that nobody need try."""
    return any(setting.default is not None for _, setting in codes_read(block, i))


def _trivial(context: Context) -> Outcome:
    looked_at, hits = 0, []
    message = "the access code is one of those that anybody tries first"
    for b, block, side, setting, i, its in access_codes(context):
        looked_at += 1
        if side == "found" and is_factory(its, setting) and _refused_since(block, i, setting):
            continue  # a factory code that has been changed since
        digits = setting.digits or SHORTEST
        if its.trivial or any(is_spelling_of(its, name, digits) for name in _names(block, i)):
            hits.append(hit(block, b, i, [setting], message, side))
    return Outcome(looked_at, hits)


def _names(block: Block, i: int) -> set[str]:
    """Return the names of a device on its label and in lists: tag, serial numbers, addresses."""
    found = {table.texts("serial")[entry].strip() for table, entry in block.rows_read(i)}
    addresses = {
        str(block.value(side, setting.name, i).content or "")
        for setting in block.settings("address") for side in ("planned", "found")
    }  # fmt: skip
    return {block.tags[i], block.serials[i]} | found | addresses


def _shared(context: Context) -> Outcome:
    """Report each code once, on its first device; the factory default is left to another rule."""
    holders: dict[tuple[str, object], list[tuple[int, Block, Setting, int]]] = defaultdict(list)
    looked_at = 0
    for b, block, side, setting, i, its in access_codes(context):
        looked_at += 1
        if not is_factory(its, setting):
            holders[side, its.token].append((b, block, setting, i))
    for b, block, side, setting, column in context.columns(["code_reference"]):
        for i, value in enumerate(column):
            if value.read:
                looked_at += 1
                holders[side, value.content].append((b, block, setting, i))
    hits = [_one_shared(side, of_one) for (side, _), of_one in holders.items() if len(of_one) > 1]
    return Outcome(looked_at, hits)


def _one_shared(side: str, holders: list[tuple[int, Block, Setting, int]]) -> Hit:
    b, block, setting, i = holders[0]
    others = [its.tags[j] for _, its, _, j in holders[1:]]
    message = f"{len(holders):,} devices have the same access code"
    return hit(block, b, i, [setting], message, side, others)


def _in_clear(context: Context) -> Outcome:
    hits = []
    for place, count in context.site.clear_codes:
        codes = "1 access code" if count == 1 else f"{count} access codes"
        hits.append(Hit("", "", (), f"{place.file} carries {codes} in clear", places=(place,)))
    plan = 0
    for b, block, side, setting, i, _ in access_codes(context):
        if side == "planned":
            plan += 1
            if plan == 1:
                hits.append(hit(block, b, i, [setting], "the plan carries access codes in clear", side))
    return Outcome(max(1, len(context.site.clear_codes) + plan), hits)


ASPECTS: dict[str, Callable[[Context], Outcome]] = {
    "default-accepted": _accepted,
    "not-tried": _not_tried,
    "trivial": _trivial,
    "shared": _shared,
    "in-clear": _in_clear,
}
ASKED_OF = {
    "default-accepted": ("default_refused", "access_code"), "not-tried": ("default_refused",),
    "trivial": ("access_code",), "shared": ("access_code",), "in-clear": ("access_code",),
}  # fmt: skip
"""Aspect → roles of the settings of which any one can show it."""
