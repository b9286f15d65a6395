"""expression: a rule in the Common Expression Language, for what the other kinds cannot say.

The expression sees two maps, `found` and `planned`, with the names that the rule lists under `needs`
and `may_use`. Numbers arrive as doubles, those of one quantity in the unit of the first that is listed,
so that `found.offset > 0.5` and a comparison of bar with kPa need no conversion.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from audit.checks.context import Context, hit
from audit.errors import first_line, stop
from audit.model.arguments import Expression
from audit.model.device import Setting
from audit.model.finding import Hit, Outcome
from audit.model.site import Block
from audit.model.value import BLANK, Code, Value
from audit.reading import units


@cache
def program(when: str) -> Any:
    """Return the compiled expression. Raises ValueError where it is not CEL."""
    import cel

    return cel.compile(when)


def run(context: Context, args: Expression) -> Outcome:
    """Return a hit for each device for which the expression is true."""
    looked_at = 0
    hits: list[Hit] = []
    for side in context.sides():
        for b, block in context.blocks():
            needed = [_named(block, name) for name in args.needs]
            columns = [block.column(side, s.name) if s else None for s in needed]
            if not all(columns):
                continue
            settings = [s for s in (*needed, *(_named(block, name) for name in args.may_use)) if s]
            names = [*args.needs, *(name for name in args.may_use if _named(block, name))]
            looked, found = _over(context, args, b, block, side, dict(zip(names, settings, strict=True)))
            looked_at += looked
            hits.extend(found)
    return Outcome(looked_at, hits)


def _named(block: Block, name: str) -> Setting | None:
    """Return the setting with a role, or with a name."""
    return next(iter(block.settings(name)), None) or block.type.setting(name)


def _over(context: Context, args: Expression, b: int, block: Block, side: str,
          settings: dict[str, Setting]) -> tuple[int, list[Hit]]:  # fmt: skip
    """Evaluate the expression once for each distinct combination of values."""
    found = {name: block.column("found", s.name) or [BLANK] * len(block) for name, s in settings.items()}
    planned = {name: block.column("planned", s.name) or [BLANK] * len(block) for name, s in settings.items()}
    this = found if side == "found" else planned
    units_of = {name: setting.unit for name, setting in settings.items()}
    known: dict[tuple[Value, ...], bool | None] = {}
    looked_at, hits = 0, []
    for i in range(len(block)):
        if not all(this[name][i].read for name in args.needs):
            continue
        key = tuple(column[i] for column in (*found.values(), *planned.values()))
        if key not in known:
            seen = this if side == "planned" else found
            maps = {"found": _contents(seen, i, units_of), "planned": _contents(planned, i, units_of)}
            known[key] = _true(context, args, maps)
        looked_at += known[key] is not None
        if known[key]:
            message = args.message or context.rule.title
            hits.append(hit(block, b, i, list(settings.values()), message, side))
    return looked_at, hits


def _contents(columns: dict[str, list[Value]], i: int, units_of: dict[str, str]) -> dict[str, Any]:
    """Return what an expression sees; numbers of one quantity in the unit of the first that is listed."""
    return {name: _plain(column[i], units_of[name], units_of.values()) for name, column in columns.items()}


def _plain(value: Value, unit: str, listed: Iterable[str]) -> Any:
    if value.number is not None:
        converted = (units.convert(value.number, unit, other) for other in listed if unit and other)
        return float(next((number for number in converted if number is not None), value.number))
    return None if isinstance(value.content, Code) else value.content


def _true(context: Context, args: Expression, variables: dict[str, Any]) -> bool | None:
    """Return what the expression says, None where a blank keeps it from saying anything."""
    try:
        result = program(args.when).execute(variables)
        if not isinstance(result, bool):
            raise TypeError("it gives no true or false")
        return result
    except (RuntimeError, TypeError, ValueError) as error:
        if any(content is None for one in variables.values() for content in one.values()):
            return None
        message = f"rule {context.rule.id!r}: its expression cannot be evaluated: {first_line(error)}"
        mend = "name what it uses under `needs` or `may_use`, and compare numbers with numbers (1.0, not 1)"
        raise stop(message, mend) from None
