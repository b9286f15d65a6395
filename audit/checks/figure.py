"""figure: an engineering figure stays within the limits of the rule, the plan or a published document."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from audit.checks.context import Context, hit
from audit.figures.answers import Answer, Calculated, DeviceFigure, Figure, Lacking, NetworkFigure
from audit.figures.registry import FIGURES
from audit.figures.surroundings import Surroundings
from audit.figures.working_out import limits_of, of_devices, of_networks
from audit.model.asked_of_figures import FigureLimits
from audit.model.finding import Gap, Hit, Outcome
from audit.model.site import Block, Target


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
    keys, answers = of_devices(figure, around, block, side, args.assume)
    broken = {key: words for key, answer in answers.items() if (words := _breach(figure, args, answer))}
    hits = []
    for i, key in enumerate(keys):
        answer = answers[key]
        if isinstance(answer, Lacking):
            seen.lacking.setdefault((b, i), answer)
            continue
        seen.calculated.add((b, i))
        if key in broken:
            hits.append(_hit(at, i, answer, broken[key]))
    return hits


def _hit(at: tuple[int, Block, str], i: int, answer: Calculated, words: str) -> Hit:
    """Return the hit on a device, at those settings of its figure that have a value, or else at its tag."""
    b, block, side = at
    settings = [
        setting
        for setting in block.first_settings(*answer.roles)
        if block.value(side, setting.name, i).read or block.value("planned", setting.name, i).read
    ]
    place = [] if settings else [block.planned_place(i, "tag")]
    return hit(block, b, i, settings, words, side, answer.others, place)


def _breach(figure: Figure, args: FigureLimits, answer: Answer) -> str:
    """Return what is wrong with a figure, blank if it is within its limits."""
    if isinstance(answer, Lacking):
        return ""
    limits, value = limits_of(args, answer), answer.value
    if limits.least is not None and limits.too_low(value):
        return _words(figure, args, answer, "minimum", limits.least, limits.by[0])
    if limits.most is not None and limits.too_high(value):
        return _words(figure, args, answer, "maximum", limits.most, limits.by[1])
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
    amount = f"{value:z,.{digits}f}{unit}"
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
        for network, answers in of_networks(figure, around, side, args.assume).items():
            lacks = [answer.what for answer in answers if isinstance(answer, Lacking)]
            if lacks:
                lacking[network] = lacks[0]
            else:
                calculated.add(network)
            b, i = context.site.gateways[network]
            for answer in answers:
                words = _breach(figure, args, answer)
                if words and isinstance(answer, Calculated):
                    hits.append(_hit((b, context.site.blocks[b], side), i, answer, words))
    left = Counter(what for network, what in lacking.items() if network not in calculated)
    return Outcome(len(calculated), hits, _commonest(left, {}))


def _gaps(context: Context, seen: _Seen) -> tuple[Gap, ...]:
    """Return what the devices lack for which a figure was not calculated on any side."""
    lacking = {target: its for target, its in seen.lacking.items() if target not in seen.calculated}
    left = Counter(its.what for its in lacking.values())
    tags: dict[str, list[str]] = {}
    for device, its in sorted(lacking.items(), key=lambda item: item[0]):
        if its.names_devices:
            tags.setdefault(its.what, []).append(context.site.planned_tag(device))
    looked_at = Counter(b for b, _ in seen.calculated | seen.lacking.keys())
    for b, block in context.blocks():
        if b in seen.whole and looked_at[b] < len(block):
            left[seen.whole[b]] += len(block) - looked_at[b]
    return _commonest(left, tags)


def _commonest(left: Counter[str], tags: Mapping[str, Sequence[str]]) -> tuple[Gap, ...]:
    gaps = (Gap(what, number, tuple(tags.get(what, ()))) for what, number in left.items())
    return tuple(sorted(gaps, key=lambda gap: (-gap.number, gap.what)))
