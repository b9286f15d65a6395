"""Columns of numbers that are all off in one way: what the patterns for them share."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from audit.checking import Found
from audit.folding.causes import Causes, add_root, comparisons
from audit.model.device import Setting
from audit.model.rule import Rule
from audit.model.site import Block, Site
from audit.reading.values import default_value, plain

SHARP = Decimal("0.02")
"""Where half a count is more than this part of a number, a number that fits says little. Judgement."""
FEWEST_NUMBERS = 3
"""Different numbers of one device that are off alike are no chance. Judgement."""
MOST_SHOWN = 3
"""Examples in a message."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A number that was found, and the planned one from which it differs."""

    position: int
    """Position of the finding."""
    block: Block
    index: int
    setting: Setting
    found: Decimal
    planned: Decimal

    @property
    def tag(self) -> str:
        """Tag of the device."""
        return self.block.tags[self.index]

    def fits(self, expected: Decimal | None) -> bool:
        """Tell whether the number found is the one expected, within half a count of the display.

        `232` on a display with one decimal was rounded by whoever wrote it, to the last digit written.
        """
        written = Decimal(1).scaleb(min(int(self.found.normalize().as_tuple().exponent), 0))
        return (
            expected is not None and abs(self.found - expected) <= max(self.setting.display_step, written) / 2
        )

    def fits_sharply(self, expected: Decimal | None) -> bool:
        """Tell whether the fit says something: it is exact, or half a count is small beside the number."""
        return self.found == expected or self.setting.display_step / 2 <= SHARP * abs(self.found)


@dataclass(frozen=True, slots=True)
class Way:
    """One way in which numbers can be off."""

    expected: Callable[[Pair], Decimal | None]
    """What the planned number of a pair becomes by it, or None where it does not apply."""
    words: Callable[[Sequence[Pair]], str]
    """What is said of numbers that are off by it."""
    doubtful: Callable[[Pair], bool] = lambda _: False
    """Whether a number that fits may be off in another way as well, so that alone it says nothing."""


def pairs(site: Site, items: Sequence[Found], causes: Causes) -> Iterator[tuple[str, Pair]]:
    """Yield each finding about numbers that has no cause yet, with its network.

    A number that was converted had its unit stated, and one at its factory default was hardly entered.
    """
    for i, item in comparisons(site, enumerate(items), causes):
        b, index = item.hit.order
        block = site.blocks[b]
        setting = block.type.setting(item.hit.settings[0])
        if setting is None or not setting.numeric:
            continue
        found = block.value("found", setting.name, index)
        planned = block.value("planned", setting.name, index)
        if found.number is None or planned.number is None or found.converted:
            continue
        default = default_value(setting)
        if default is None or found.number != default.number:
            yield item.hit.network, Pair(i, block, index, setting, found.number, planned.number)


def put_together(
    items: list[Found],
    causes: Causes,
    rule: Rule,
    at_least: int,
    network: str,
    left: list[Pair],
    ways: Sequence[Way],
) -> None:
    """Put the numbers of a network that are off in one way under one finding, the commonest way first."""
    if len(left) < FEWEST_NUMBERS and len({pair.tag for pair in left}) == 1:
        return
    left = sorted(left, key=lambda pair: pair.block.type.settings.index(pair.setting))
    while True:
        groups = [(way, [pair for pair in left if pair.fits(way.expected(pair))]) for way in ways]
        enough = [(way, group) for way, group in groups if _says_something(way, group, at_least)]
        if not enough:
            return
        way, group = max(enough, key=lambda one: len(one[1]))
        names = tuple(dict.fromkeys(pair.setting.name for pair in group))
        message = f"{way.words(group)}: {_examples(group)}"
        tags = [pair.tag for pair in group]
        add_root(items, causes, rule, [pair.position for pair in group], network, message, tags, names)
        told = {pair.position for pair in group}
        left = [pair for pair in left if pair.position not in told]


def _says_something(way: Way, group: Sequence[Pair], at_least: int) -> bool:
    """Tell whether enough nodes are off alike; two are where their planned numbers differ, one with three."""
    sharp = [pair for pair in group if pair.fits_sharply(way.expected(pair)) and not way.doubtful(pair)]
    nodes, numbers = {pair.tag for pair in sharp}, {pair.planned for pair in sharp}
    return len(nodes) >= at_least or (len(nodes) > 1 and len(numbers) > 1) or len(numbers) >= FEWEST_NUMBERS


def _examples(group: Sequence[Pair]) -> str:
    """Return the first numbers found and planned, each once."""
    texts = dict.fromkeys(f"{plain(pair.found)} for {plain(pair.planned)}" for pair in group)
    return ", ".join([*texts][:MOST_SHOWN]) + (" …" if len(texts) > MOST_SHOWN else "")


def names_of(group: Sequence[Pair]) -> str:
    """Return the settings of a group and how many nodes they are of, as the subject of a sentence."""
    names = list(dict.fromkeys(pair.setting.name for pair in group))
    listed = " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)
    tags = {pair.tag for pair in group}
    return f"{listed} on {len(tags)} nodes" if len(tags) > 1 else f"{listed} of {min(tags)}"
