"""figure: an engineering figure stays within the limits of the rule, the plan or a published document."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from audit.checks.context import Context, hit
from audit.errors import first_line
from audit.figures.answers import Answer, Calculated, DeviceFigure, Figure, Lacking, NetworkFigure
from audit.figures.registry import FIGURES
from audit.figures.surroundings import Device, Surroundings
from audit.model.asked_of_figures import FigureLimits
from audit.model.device import Setting
from audit.model.finding import Gap, Hit, Outcome
from audit.model.site import Block, Target

ROUNDING = 1e-6
"""Share of a limit by which a figure may exceed it through rounding alone: 13.98 dBm is 25 mW."""


@dataclass(slots=True)
class _Seen:
    """For which devices a figure was calculated on some side, and what the others lack."""

    calculated: set[Target] = field(default_factory=set)
    lacking: dict[Target, Lacking] = field(default_factory=dict)
    whole: dict[int, str] = field(default_factory=dict)
    """Block → what all of its devices lack."""


def run(context: Context, args: FigureLimits) -> Outcome:
    """Return a hit for each device or network whose figure is outside its limits."""
    figure, around = FIGURES[args.figure], Surroundings(context.site)
    if isinstance(figure, NetworkFigure):
        return _networks(context, args, figure, around)
    hits: list[Hit] = []
    seen = _Seen()
    for side in context.sides():
        for b, block in context.blocks():
            lacks = figure.lacks(around, block, side)
            if lacks:
                seen.whole.setdefault(b, lacks)
            else:
                hits += _block(args, figure, around, seen, (b, block, side))
    return Outcome(len(seen.calculated), hits, _gaps(context, seen))


def _block(
    args: FigureLimits, figure: DeviceFigure, around: Surroundings, seen: _Seen, at: tuple[int, Block, str]
) -> list[Hit]:
    """Calculate a figure once for all devices of a block that are alike in what it looks at."""
    b, block, side = at
    keys = _keys(figure, block, side)
    first = {key: i for i, key in reversed(list(enumerate(keys)))}
    answers = {key: _answer(figure, around, Device(block, i, side), args) for key, i in first.items()}
    broken = {key: words for key, answer in answers.items() if (words := _breach(figure, args, answer))}
    hits = []
    for i, key in enumerate(keys):
        answer = answers[key]
        if isinstance(answer, Lacking):
            seen.lacking.setdefault((b, i), answer)
            continue
        seen.calculated.add((b, i))
        if key in broken:
            settings = _settings(block, answer, side, i)
            hits.append(hit(block, b, i, settings, broken[key], side, answer.others))
    return [_placed(block, one) for one in hits]


def _answer(figure: DeviceFigure, around: Surroundings, device: Device, args: FigureLimits) -> Answer:
    """Return what a figure says about a device; numbers outside the domain of its formula give nothing."""
    try:
        return figure.of(around, device, args.assume)
    except (ArithmeticError, ValueError) as error:
        return _beyond(error)


def _beyond(error: Exception) -> Lacking:
    return Lacking(f"numbers within the limits of its formula ({first_line(error)})")


def _keys(figure: DeviceFigure, block: Block, side: str) -> Sequence[object]:
    """Return, for each device, all that a figure looks at."""
    names = [setting.name for role in figure.roles for setting in block.settings(role)[:1]]
    sides = dict.fromkeys(("planned", side))
    columns: list[Sequence[object]] = [block.networks, *(block.values(of, n) for n in names for of in sides)]
    if figure.places and any(block.positions):
        columns.append(range(len(block)))
    if figure.response and block.response_times:
        columns.append(block.response_times)
    return list(zip(*columns, strict=True))


def _settings(block: Block, answer: Calculated, side: str, i: int) -> list[Setting]:
    """Return the settings that a figure was calculated from and that have a value."""
    settings = [setting for role in answer.roles for setting in block.settings(role)[:1]]
    return [
        s for s in settings if block.value(side, s.name, i).read or block.value("planned", s.name, i).read
    ]


def _placed(block: Block, one: Hit) -> Hit:
    """Return a hit with a place: that of its device, if it is not about any setting."""
    if one.places:
        return one
    return replace(one, places=(block.planned_place(one.order[1], "tag"),))


def _breach(figure: Figure, args: FigureLimits, answer: Answer) -> str:
    """Return what is wrong with a figure, blank if it is within its limits."""
    if isinstance(answer, Lacking):
        return ""
    low, high = args.at_least, args.at_most
    lows, highs = [answer.low], [answer.high]
    if args.in_any_case or answer.low is None:
        lows.append(low)
    if args.in_any_case or answer.high is None:
        highs.append(high)
    least = max((limit for limit in lows if limit is not None), default=None)
    most = min((limit for limit in highs if limit is not None), default=None)
    if least is not None and answer.value < least - abs(least) * ROUNDING:
        return _words(figure, args, answer, "minimum", least, answer.by if least == answer.low else "")
    if most is not None and answer.value > most + abs(most) * ROUNDING:
        return _words(figure, args, answer, "maximum", most, answer.by if most == answer.high else "")
    return ""


def _words(
    figure: Figure, args: FigureLimits, answer: Calculated, bound: str, limit: float, whose: str
) -> str:
    title, value = figure.title, answer.value
    if bound == "minimum" and figure.surplus:
        title, value, bound, limit = figure.surplus, -value, "maximum", -limit
    more = range(figure.digits, figure.digits + 6)  # enough to show that the limit is exceeded
    digits = next((n for n in more if f"{value:.{n}f}" != f"{limit:.{n}f}"), more[-1])
    unit = f" {figure.unit}" if figure.unit else ""
    amount = f"{value:,.{digits}f}{unit}"
    amount += f", {bound} {limit:,.{digits}f}{unit}" if limit else ""
    by = f", {whose}" if whose else ""
    note = f" ({answer.note})" if answer.note else ""
    total = f": {answer.sum}" if answer.sum else ""
    return f"{title} {amount}{by}{total}{note}{_suspects(args, answer.value)}"


def _suspects(args: FigureLimits, value: float) -> str:
    """Return the usual suspects for a figure this large; the highest threshold that it reaches counts."""
    passed = [one for one in args.suspects if value >= one.above]
    return f". The usual suspects: {max(passed, key=lambda one: one.above).words}" if passed else ""


def _networks(context: Context, args: FigureLimits, figure: NetworkFigure, around: Surroundings) -> Outcome:
    calculated: set[str] = set()
    lacking: dict[str, str] = {}
    hits: list[Hit] = []
    for side in context.sides():
        try:
            of_network = figure.of(around, side, args.assume)
        except (ArithmeticError, ValueError) as error:
            of_network = {network: [_beyond(error)] for network in context.site.gateways}
        for network, answers in of_network.items():
            lacks = [answer.what for answer in answers if isinstance(answer, Lacking)]
            if lacks:
                lacking[network] = lacks[0]
            else:
                calculated.add(network)
            b, i = context.site.gateways[network]
            block = context.site.blocks[b]
            for answer in answers:
                words = _breach(figure, args, answer)
                if words and isinstance(answer, Calculated):
                    settings = _settings(block, answer, side, i)
                    hits.append(_placed(block, hit(block, b, i, settings, words, side, answer.others)))
    left = Counter(what for network, what in lacking.items() if network not in calculated)
    return Outcome(len(calculated), hits, _commonest(left, {}))


def _gaps(context: Context, seen: _Seen) -> tuple[Gap, ...]:
    """Return what the devices lack for which a figure was not calculated on any side."""
    lacking = {target: its for target, its in seen.lacking.items() if target not in seen.calculated}
    left = Counter(its.what for its in lacking.values())
    tags: dict[str, list[str]] = {}
    for (b, i), its in sorted(lacking.items(), key=lambda item: item[0]):
        if its.names_devices:
            tags.setdefault(its.what, []).append(context.site.blocks[b].tags[i])
    looked_at = Counter(b for b, _ in seen.calculated | seen.lacking.keys())
    for b, block in context.blocks():
        if b in seen.whole and looked_at[b] < len(block):
            left[seen.whole[b]] += len(block) - looked_at[b]
    return _commonest(left, tags)


def _commonest(left: Counter[str], tags: Mapping[str, Sequence[str]]) -> tuple[Gap, ...]:
    gaps = (Gap(what, number, tuple(tags.get(what, ()))) for what, number in left.items())
    return tuple(sorted(gaps, key=lambda gap: (-gap.number, gap.what)))
