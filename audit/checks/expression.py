"""expression: a rule in the Common Expression Language, for what the other kinds cannot express.

The expression sees two maps, `found` and `planned`, with the names that the rule lists under `needs`
and `may_use`. Numbers are doubles; those of one quantity are in the unit of the first one listed, so that
`found.offset > 0.5` and a comparison of bar with kPa need no conversion.
"""

from __future__ import annotations

import re
import sys
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from types import ModuleType
from typing import Any

from audit.checks.apart import apart, named
from audit.checks.context import Context, hit
from audit.errors import InputProblems, first_line
from audit.model.asked_of_values import Expression
from audit.model.device import DeviceType, Setting
from audit.model.finding import Gap, Hit, Outcome
from audit.model.roles import DIFFERENCES
from audit.model.site import Block, Target
from audit.model.value import Code, Value, Values
from audit.phrases import listed
from audit.reading import units
from audit.reading.heard import NEVER, NO_TIME
from audit.reading.quoting import cut
from audit.reading.values import number_of, plain


@cache
def program(when: str) -> Any:
    """Return the compiled expression. Raises ValueError if it is not CEL."""
    # The package brings a shell of its own, whose import takes longer than the check of a small site.
    sys.modules.setdefault("cel.cli", ModuleType("cel.cli"))
    import cel

    return cel.compile(when)


def run(context: Context, args: Expression) -> Outcome:
    """Return a hit for each device for which the expression is true."""
    looked_at = 0
    hits: list[Hit] = []
    left_out: dict[str, dict[Target, str]] = defaultdict(dict)
    for side in context.sides():
        for b, block in context.blocks():
            its = {name: named(block.type, name) for name in (*args.needs, *args.may_use)}
            settings = {name: setting for name, setting in its.items() if setting}
            if all(name in settings and block.column(side, settings[name].name) for name in args.needs):
                devices = _with_all(block, side, [settings[name] for name in args.needs])
                for what, those in apart(args, block, side, devices):
                    left_out[what] |= {(b, i): block.tags[i] for i in those}
                    devices = sorted({*devices} - {*those})
                blank, found = _over(context, args, b, block, side, settings, devices)
                for i in blank:
                    left_out[_lacking(args, block, i, settings)][b, i] = block.tags[i]
                looked_at += len(devices) - len(blank)
                hits.extend(found)
    gaps = (Gap(what, len(tags), tuple(tags.values())) for what, tags in left_out.items())
    return Outcome(looked_at, hits, tuple(gaps))


def _lacking(args: Expression, block: Block, i: int, settings: Mapping[str, Setting]) -> str:
    """Return which values that may be blank are, where an expression has no result without them."""
    names = [name for name in args.may_use if name not in args.needs]
    blank = [
        name for name in names
        if name not in settings or not block.value("planned", settings[name].name, i).read
    ]  # fmt: skip
    return f"a planned {listed(blank)}" if blank else listed(names or args.needs)


def _with_all(block: Block, side: str, settings: Iterable[Setting]) -> list[int]:
    """Return which devices have values of all settings."""
    columns = [block.values(side, setting.name) for setting in settings]
    return [i for i in range(len(block)) if all(column[i].read for column in columns)]


def _over(context: Context, args: Expression, b: int, block: Block, side: str,
          settings: dict[str, Setting], devices: Sequence[int]) -> tuple[list[int], list[Hit]]:  # fmt: skip
    """Evaluate the expression once for each distinct combination of values.

    Return the devices on which a blank keeps it from a result, and the hits.
    """
    found = {name: block.values("found", s.name) for name, s in settings.items()}
    planned = {name: block.values("planned", s.name) for name, s in settings.items()}
    this = found if side == "found" else planned
    known: dict[tuple[Value, ...], bool | None] = {}
    blank: list[int] = []
    hits = []
    for i in devices:
        key = tuple(column[i] for column in (*found.values(), *planned.values()))
        if key not in known:
            missing = dict.fromkeys(args.may_use)  # including settings that this device type does not have
            maps = {"found": missing | _contents(this, i, settings),
                    "planned": missing | _contents(planned, i, settings)}  # fmt: skip
            result = _true(args, maps)
            if isinstance(result, str):
                raise _no_result(context, block, i, side, next(iter(settings.values())), result)
            known[key] = result
        if known[key] is None:
            blank.append(i)
        if known[key]:
            unheard = [this[name][i].shown for name, s in settings.items() if _is_never(this[name][i], s)]
            message = ": ".join((args.message or context.rule.title, *unheard))
            if unheard == [NO_TIME]:
                message = "its gateway's list has times for other nodes but none for it: it was not heard"
            hits.append(hit(block, b, i, list(settings.values()), message, side))
    return blank, hits


def _contents(columns: dict[str, Values], i: int, settings: dict[str, Setting]) -> dict[str, Any]:
    """Return what an expression sees; numbers of one quantity in the unit of the first one listed."""
    listed = [setting.unit for setting in settings.values()]
    return {name: _plain(column[i], settings[name], listed) for name, column in columns.items()}


def _is_never(value: Value, setting: Setting) -> bool:
    """Tell whether a value is a word that says the node was never heard."""
    return setting.role == "last_heard" and isinstance(value.content, str)


def _plain(value: Value, setting: Setting, listed: Iterable[str]) -> Any:
    if _is_never(value, setting):
        return NEVER
    number = number_of(value, setting)
    if number is None:
        return None if isinstance(value.content, Code) else value.content
    difference = setting.role in DIFFERENCES
    converted = (
        units.convert(number, setting.unit, other, difference=difference)
        for other in listed if setting.unit and other
    )  # fmt: skip
    in_unit = next((one for one in converted if one is not None), number)
    if value.number is not None:
        return float(in_unit)
    return value.content if in_unit == number else plain(in_unit)  # an option stays text


def _true(args: Expression, variables: dict[str, Any]) -> bool | str | None:
    """Return the result of the expression, None if a blank keeps it from one, or why it has none."""
    result = evaluated(args, variables)
    if isinstance(result, bool):
        return result
    if any(content is None for one in variables.values() for content in one.values()):
        return None
    return result


def _no_result(
    context: Context, block: Block, i: int, side: str, setting: Setting, reason: str
) -> InputProblems:
    """Return the problem that the expression has no result with the values of a device."""
    place = (block.found_place if side == "found" else block.planned_place)(i, setting.name)
    message = f"rule {context.rule.id!r}: {reason}, with the values of {block.tags[i]}"
    return InputProblems([place.problem(message, mend(reason))])


def mend(reason: str) -> str:
    """Return what to do about an expression that cannot be evaluated."""
    if re.search(r"\w % \w", reason):
        return "numbers are doubles, which have no %: write int(found.address) % 2"
    if "division by zero" in reason:
        return "divide as doubles, or put the condition before it: int(found.address) != 0 && …"
    if "which is none of" in reason:
        return "write one of these"
    if "which does not exist" in reason:
        return "see https://cel.dev for what exists, and for which values"
    return "compare numbers with numbers (1.0, not 1), texts with texts in quotes, flags with true or false"


def trial(args: Expression, types: Sequence[DeviceType]) -> str:
    """Return why an expression cannot be evaluated with typical values of its settings, empty if it can."""
    for kind in types:
        its = {name: named(kind, name) for name in (*args.needs, *args.may_use)}
        if all(its[name] for name in args.needs):
            values = {name: _sample(setting) for name, setting in its.items()}
            if reason := _never_equal(args.when, its) or _no_option(args.when, types):
                return reason
            result = evaluated(args, {"found": values, "planned": values})
            blank = any(value is None for value in values.values())
            return "" if isinstance(result, bool) or blank else str(result)
    return ""


_EQUALITY = re.compile(
    r"""(?:found|planned)(?:\.(\w+)|\[["'](\w+)["']\])\s*[!=]=\s*(?:(["'])(.*?)\3|(true|false)\b|-?\.?\d)"""
)


def _never_equal(when: str, settings: Mapping[str, Setting | None]) -> str:
    """Return what an expression compares that can never be equal, such as a flag and "off", or nothing.

    CEL refuses `<` between such values, but for `==` it only returns false, so the rule would never fire.
    """
    for match in _EQUALITY.finditer(when):
        name = match[1] or match[2]
        setting = settings.get(name)
        sample = SAMPLES.get(setting.kind) if setting else None
        literal = "a text" if match[3] else "true or false" if match[5] else "a number"
        its = {bool: "true or false", float: "a number", str: "a text"}.get(type(sample))
        if its and its != literal:
            return f"its expression compares {name!r}, which is {its}, with {literal}: they are never equal"
    return ""


def _no_option(when: str, types: Sequence[DeviceType]) -> str:
    """Return which text an expression compares with an option setting that does not have it, or nothing."""
    for match in _EQUALITY.finditer(when):
        name = match[1] or match[2]
        settings = [s for kind in types if (s := named(kind, name))]
        options = dict.fromkeys(option for setting in settings for option in setting.options)
        are_options = bool(settings) and all(setting.kind == "option" for setting in settings)
        if match[3] and are_options and match[4] not in options:
            return (
                f"its expression compares {name!r} with {match[4]!r}, which is none of {', '.join(options)}"
            )
    return ""


SAMPLES: dict[str, Any] = {"integer": 1.0, "decimal": 1.0, "option": "a", "text": "a", "flag": True}
"""Kind of setting → a sample value as an expression sees it."""


def _sample(setting: Setting | None) -> Any:
    """Return a sample value of a setting: for an option its first one, which may be the text of a number."""
    return setting and next(iter(setting.options), SAMPLES.get(setting.kind))


def evaluated(args: Expression, variables: dict[str, Any]) -> bool | str:
    """Return the result of the expression, or in words why it is neither true nor false."""
    try:
        result = program(args.when).execute(variables)
    except (ArithmeticError, LookupError, RuntimeError, TypeError, ValueError) as error:
        words = first_line(error)
        if "No such overload" in words:
            return "its expression combines values of different kinds"
        found = re.search(r"Undefined variable or function: '(\w+)'", words)
        if found:
            return f"its expression uses {found[1]!r}, which does not exist for such values"
        return f"its expression cannot be evaluated: {cut(words.partition('. ')[0])}"
    return result if isinstance(result, bool) else "its expression gives neither true nor false"
