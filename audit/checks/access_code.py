"""access-code: the factory code is gone, and the new one is neither trivial, shared nor lying about.

Codes are compared by tokens that mean nothing outside this run; nothing here can show one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from audit.checks.context import Context, hit
from audit.model.arguments import AccessCode
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.site import Block
from audit.model.value import Code
from audit.reading.codes import code

NOT_TRIED = "not tried"
"""What the display sheet offers to write where nobody tried the factory code."""


def run(context: Context, args: AccessCode) -> Outcome:
    """Return the hits of one aspect of access codes."""
    if args.what == "in-clear":
        return _in_clear(context)
    if args.what == "shared":
        return _shared(context)
    if args.what == "trivial":
        return _trivial(context)
    return _default(context, args.what)


def _codes(context: Context) -> Iterator[tuple[int, Block, str, Setting, int, Code]]:
    for b, block, side, setting, column in context.columns(["access_code"]):
        for i, value in enumerate(column):
            if isinstance(value.content, Code):
                yield b, block, side, setting, i, value.content


def _default(context: Context, what: str) -> Outcome:
    """Look at both witnesses: whether the factory code was refused, and the code itself if exported."""
    looked_at, hits = 0, []
    if what == "default-accepted":
        for b, block, side, setting, i, its in _codes(context):
            looked_at += 1
            if setting.default is not None and its.token == code(str(setting.default)).token:
                hits.append(hit(block, b, i, [setting], "the access code is the factory default", side))
    if not context.site.readback or "found" not in context.rule.sides:
        return Outcome(looked_at, hits)
    reported = {h.order for h in hits if h.side == "found"}
    for b, block in context.blocks():
        for setting in block.settings("default_refused"):
            column = block.values("found", setting.name)
            for i, value in enumerate(column):
                if not block.rows[i]:
                    continue
                looked_at += 1
                text = str(value.content).casefold()
                accepted = value.read and text in ("no", "false")
                untried = value.state == "blank" or text == NOT_TRIED
                if what == "default-accepted" and accepted and (b, i) not in reported:
                    hits.append(hit(block, b, i, [setting], "the factory access code was tried and accepted"))
                if what == "not-tried" and untried and not _changed(block, i):
                    message = "whether the factory access code is refused was not tried"
                    hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits)


def _changed(block: Block, i: int) -> bool:
    """Tell whether an exported code shows that it is, or is not, the factory's: no need to try."""
    return any(isinstance(block.value("found", s.name, i).content, Code) and s.default is not None
               for s in block.settings("access_code"))  # fmt: skip


def _trivial(context: Context) -> Outcome:
    looked_at, hits = 0, []
    for b, block, side, setting, i, its in _codes(context):
        looked_at += 1
        if its.trivial:
            hits.append(
                hit(
                    block,
                    b,
                    i,
                    [setting],
                    "the access code is one of those that are tried first",
                    side,
                )
            )
    return Outcome(looked_at, hits)


def _shared(context: Context) -> Outcome:
    """Report each code once, on its first device; the factory default is another rule's matter."""
    holders: dict[tuple[str, object], list[tuple[int, Block, Setting, int]]] = defaultdict(list)
    looked_at = 0
    for b, block, side, setting, i, its in _codes(context):
        looked_at += 1
        if setting.default is None or its.token != code(str(setting.default)).token:
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
    message = f"one access code serves {len(holders)} devices"
    return hit(block, b, i, [setting], message, side, others)


def _in_clear(context: Context) -> Outcome:
    hits = []
    for place, count in context.site.clear_codes:
        codes = "1 access code" if count == 1 else f"{count} access codes"
        hits.append(Hit("", "", (), f"{place.file} carries {codes} in clear", places=(place,)))
    plan = 0
    for b, block, side, setting, i, _ in _codes(context):
        if side == "planned":
            plan += 1
            if plan == 1:
                hits.append(hit(block, b, i, [setting], "the plan carries access codes in clear", side))
    return Outcome(max(1, len(context.site.clear_codes) + plan), hits)
