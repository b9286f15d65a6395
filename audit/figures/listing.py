"""Listing: every figure of a site's devices and networks, whether a rule has anything against it or not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Literal, NamedTuple

from audit import __version__
from audit.errors import Problem, nearest, stop_if
from audit.figures.answers import Answer, Calculated, DeviceFigure, Lacking, NetworkFigure
from audit.figures.registry import ALSO_LISTED, FIGURES
from audit.figures.surroundings import Surroundings
from audit.figures.working_out import limits_of, of_devices, of_networks
from audit.model.asked_of_figures import FigureLimits
from audit.model.figure_list import FigureGap, FigureLine, FigureList, FigureTitle
from audit.model.rule import Rule
from audit.model.site import Block, Site
from audit.model.used import SiteName, Tool
from audit.run import Paired

Named = tuple[str, str]
"""Network and tag of a device; a network itself has no tag."""
CAUTION = (
    "Figures are arithmetic on what the plan says: a survey and measurements prevail, limits of power and "
    "time on air are those of the radio authority, and alarm times those of a test from end to end."
)


class _Asked(NamedTuple):
    """A figure, by the name that rules use, with those that judge it."""

    name: str
    figure: DeviceFigure | NetworkFigure
    rules: Sequence[Rule]
    """Those that judge it."""
    limits: Sequence[FigureLimits]
    """Theirs, in their order."""
    assumed: Mapping[str, float]

    def of_gateways(self) -> bool:
        """Tell whether it is a figure of gateways too."""
        return any(rule.applies_to == "device" for rule in self.rules)


def figure_list(read: Paired, only: Sequence[str] = ()) -> FigureList:
    """Return all figures of a site, as found if there is a readback: by network, then by device.

    `only` are tags and networks; empty: all. Raises InputProblems for one that is not in the plan.
    """
    site = read.site
    side: Literal["planned", "found"] = "found" if site.readback else "planned"
    around = Surroundings(site)
    wanted = _wanted(site, only)
    lines: list[FigureLine] = []
    lacking: Counter[tuple[str, str]] = Counter()
    asked = list(_asked(read.book.rules))
    for one in asked:
        for name, answer in _answers(one, around, side):
            if name not in wanted:
                continue
            if isinstance(answer, Lacking):
                lacking[one.name, answer.what] += 1
            else:
                lines.append(_line(one, name, answer))
    order = {name: n for n, name in enumerate(_names(site))}
    lines.sort(key=lambda line: order[line.network, line.node or ""])
    return FigureList(
        schema_="asfound/figures/1",
        site=SiteName.of(site.plan.site),
        side=side,
        figures=[_title(one) for one in asked],
        lines=lines,
        gaps=[FigureGap(figure=one, needs=needs, number=n) for (one, needs), n in lacking.items()],
        cautions=[CAUTION],
        inputs=list(read.inputs.files.values()),
        tool=Tool(name="asfound", version=__version__),
    )


def _wanted(site: Site, only: Sequence[str]) -> set[Named]:
    """Return which networks and devices are asked for; those of a network too. Raises InputProblems."""
    names = list(_names(site))
    known = {text for name in names for text in name if text}
    problems = [
        Problem(f"--only {one!r}: the plan has no such device or network", nearest(one, known))
        for one in only if one not in known
    ]  # fmt: skip
    stop_if(problems)
    return {name for name in names if not only or not set(only).isdisjoint(name)}


def _asked(rules: Sequence[Rule]) -> Iterator[_Asked]:
    """Yield every figure with the limits of all rules that judge it; what they assume holds for all."""
    judging = [(rule, rule.check) for rule in rules if isinstance(rule.check, FigureLimits)]
    assumed = {name: value for _, one in reversed(judging) for name, value in one.assume.items()}
    for name, figure in (FIGURES | ALSO_LISTED).items():
        its = [(rule, limits) for rule, limits in judging if limits.figure == name]
        yield _Asked(name, figure, [rule for rule, _ in its], [limits for _, limits in its], assumed)


def _title(one: _Asked) -> FigureTitle:
    """Return what a figure is called; of two with one title each has its name behind it."""
    twice = sum(figure.title == one.figure.title for figure in FIGURES.values()) > 1
    title = f"{one.figure.title} ({one.name})" if twice else one.figure.title
    of_network = isinstance(one.figure, NetworkFigure)
    return FigureTitle(figure=one.name, title=title, unit=one.figure.unit, of_network=of_network,
                       rules=[rule.id for rule in one.rules])  # fmt: skip


def _answers(one: _Asked, around: Surroundings, side: str) -> Iterator[tuple[Named, Answer]]:
    """Yield the name of a device or network with what a figure says about it."""
    if isinstance(one.figure, NetworkFigure):
        for network, answers in of_networks(one.figure, around, side, one.assumed).items():
            for answer in answers:
                yield (network, ""), answer
    else:
        for block in around.site.blocks:
            if not block.gateway or one.of_gateways():
                names = zip(block.networks, block.tags, strict=True)
                yield from zip(names, _of_block(one, one.figure, around, block, side), strict=True)


def _of_block(
    one: _Asked, figure: DeviceFigure, around: Surroundings, block: Block, side: str
) -> Sequence[Answer]:
    lacks = figure.lacks(around, block, side)
    if lacks:
        return [Lacking(lacks)] * len(block)
    keys, answers = of_devices(figure, around, block, side, one.assumed)
    return [answers[key] for key in keys]


def _line(one: _Asked, name: Named, answer: Calculated) -> FigureLine:
    figure, value = one.figure, answer.value
    limits = [limits_of(args, answer) for args in one.limits] or [limits_of(None, answer)]
    least = max((each.least for each in limits if each.least is not None), default=None)
    most = min((each.most for each in limits if each.most is not None), default=None)
    beyond = any(each.too_low(value) or each.too_high(value) for each in limits)
    shown = f"{value:z,.{figure.digits}f} {figure.unit}"
    network, tag = name
    return FigureLine(network=network, node=tag or None, figure=one.name, value=value, shown=shown,
                      unit=figure.unit, least=least, most=most, beyond=beyond, sum=answer.sum)  # fmt: skip


def _names(site: Site) -> Iterator[Named]:
    """Yield every network, followed by its devices, in the plan's order."""
    nodes = site.nodes()
    for network, gateway in site.gateways.items():
        yield network, ""
        for device in (gateway, *nodes.get(network, ())):
            yield network, site.planned_tag(device)
