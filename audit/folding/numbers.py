"""Columns of numbers that are all off in the same way: what the patterns for them share."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from audit.folding.about import setting_of, values_of
from audit.folding.findings import Cause, Findings
from audit.model.device import Setting
from audit.model.site import Block
from audit.phrases import examples
from audit.reading.values import default_value, plain

SHARP = Decimal("0.02")
"""Where half a step of the display exceeds this share of a number, a fit says little. Judgement."""
FEWEST_NUMBERS = 3
"""So many different numbers of one device that are off in one way are not chance. Judgement."""


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
        """Tell whether the number found is the one expected, within half a step of the display.

        `232` on a display with one decimal was rounded by whoever wrote it: half of its last digit counts.
        """
        written = Decimal(1).scaleb(min(int(self.found.normalize().as_tuple().exponent), 0))
        return (
            expected is not None and abs(self.found - expected) <= max(self.setting.display_step, written) / 2
        )

    def fits_sharply(self, expected: Decimal | None) -> bool:
        """Tell whether the fit is significant: exact, or half a step is small compared with the number."""
        return self.found == expected or self.setting.display_step / 2 <= SHARP * abs(self.found)


@dataclass(frozen=True, slots=True)
class Way:
    """One way in which numbers can be off."""

    expected: Callable[[Pair], Decimal | None]
    """What the planned number of a pair would be read as, or None where this way does not apply."""
    words: Callable[[Sequence[Pair]], str]
    """The message for numbers that are off in this way."""
    doubtful: Callable[[Pair], bool] = lambda _: False
    """Whether a number that fits may just as well be off in another way, so that it is no evidence alone."""


def pairs(findings: Findings) -> Iterator[tuple[str, Pair]]:
    """Yield network and numbers of each finding about numbers that has no cause yet.

    Left out: numbers that were converted, since their unit was stated; and numbers at the factory default,
    which were hardly keyed in.
    """
    for i, item in findings.comparisons():
        b, index = item.hit.order
        setting = setting_of(findings.site, item)
        if setting is None or not setting.numeric:
            continue
        found, planned = values_of(findings.site, item)
        if found.number is None or planned.number is None or found.converted:
            continue
        default = default_value(setting)
        if default is None or found.number != default.number:
            pair = Pair(i, findings.site.blocks[b], index, setting, found.number, planned.number)
            yield item.hit.network, pair


def put_together(findings: Findings, left: list[Pair], ways: Sequence[Way], at_least: int) -> Iterator[Cause]:
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
        numbers = dict.fromkeys(f"{plain(pair.found)} for {plain(pair.planned)}" for pair in group)
        message = f"{way.words(group)}: {examples([*numbers])}"
        yield findings.common_cause([pair.position for pair in group], message, names)
        left = [pair for pair in left if pair.position not in findings.causes]


def _says_something(way: Way, group: Sequence[Pair], at_least: int) -> bool:
    """Tell whether enough nodes are off: two do if their planned numbers differ, one with three numbers."""
    sharp = [pair for pair in group if pair.fits_sharply(way.expected(pair)) and not way.doubtful(pair)]
    nodes, numbers = {pair.tag for pair in sharp}, {pair.planned for pair in sharp}
    return len(nodes) >= at_least or (len(nodes) > 1 and len(numbers) > 1) or len(numbers) >= FEWEST_NUMBERS


def names_of(group: Sequence[Pair]) -> str:
    """Return the settings of a group and on how many nodes they are, as the subject of a sentence."""
    names = list(dict.fromkeys(pair.setting.name for pair in group))
    listed = " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)
    tags = {pair.tag for pair in group}
    return f"{listed} on {len(tags):,} nodes" if len(tags) > 1 else f"{listed} of {min(tags)}"
