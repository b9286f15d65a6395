"""What every check is given, and helpers that checks share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from audit.comparing import Difference
from audit.model.asked_of_values import Chosen
from audit.model.device import Setting
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Block, Site
from audit.model.table import Place
from audit.model.value import Code, Values
from audit.reading.codes import code
from audit.reading.trials import refused
from audit.reading.values import number_of


class Column(NamedTuple):
    """The values of one setting on one side, over the devices of a block."""

    b: int
    block: Block
    side: str
    setting: Setting
    values: Values


@dataclass(frozen=True, slots=True)
class Context:
    """The site, its differences from the plan, and the rule that is being run."""

    site: Site
    differences: Mapping[tuple[int, str], Difference]
    rule: Rule

    def blocks(self) -> Iterator[tuple[int, Block]]:
        """Yield the blocks that the rule applies to, with their numbers."""
        for b, block in enumerate(self.site.blocks):
            wants = self.rule.applies_to
            if wants in ("device", "network", "site") or (wants == "gateway") == block.gateway:
                yield b, block

    def sides(self) -> list[str]:
        """Return the sides that the rule looks at and that exist: planned before found."""
        there = ("planned", "found") if self.site.readback else ("planned",)
        return [side for side in there if side in self.rule.sides]

    def devices_read(self) -> int:
        """Return how many planned devices have a row in the readback."""
        return sum(len(block.rows) - len(block.unread()) for block in self.site.blocks)

    def columns(self, roles: Sequence[str]) -> Iterator[Column]:
        """Yield the columns of all settings with these roles, on every side the rule looks at."""
        return self.chosen(Chosen(roles=tuple(roles)))

    def chosen(self, args: Chosen) -> Iterator[Column]:
        """Yield the columns of all settings that a rule chooses, on every side it looks at."""
        for side in self.sides():
            for b, block in self.blocks():
                for setting in block.type.settings:
                    values = block.column(side, setting.name)
                    if values is not None and args.chooses(setting.role, setting.name):
                        yield Column(b, block, side, setting, values)

    def compared(self, args: Chosen) -> Iterator[tuple[int, Block, Difference]]:
        """Yield the differences of all settings that a rule chooses."""
        for b, block in self.blocks():
            for setting in block.type.settings:
                difference = self.differences.get((b, setting.name))
                if difference is not None and args.chooses(setting.role, setting.name):
                    yield b, block, difference


def hit(
    block: Block, b: int, i: int, settings: Sequence[Setting], message: str, side: str = "found",
    others: Sequence[str] = (), extra_places: Sequence[Place] = (),
) -> Hit:  # fmt: skip
    """Return a hit on one device, with the planned and found values of some settings and their places."""
    names = tuple(setting.name for setting in settings)
    places = [block.planned_place(i, name) for name in names if name in block.planned]
    if side == "found":  # the reading that counts, the plan, then older readings
        readings = [block.found_places(i, name) for name in names]
        newest = [
            of_one[0] if of_one else block.found_place(i, name)
            for name, of_one in zip(names, readings, strict=True)
            if name in block.found
        ]
        places = [*newest, *places, *(place for of_one in readings for place in of_one[1:])]
    return Hit(
        network=block.networks[i],
        node=block.tags[i],
        settings=names,
        message=message,
        planned=shown_values(block, "planned", settings, i),
        found=shown_values(block, "found", settings, i) if side == "found" else "",
        places=(*places, *extra_places),
        others=tuple(others),
        side=side,
        order=(b, i),
    )


def shown_values(block: Block, side: str, settings: Sequence[Setting], i: int) -> str:
    """Return the values of some settings as text: a single one alone, several each with its name."""
    values = [(setting.name, block.value(side, setting.name, i)) for setting in settings]
    texts = [value.shown for _, value in values]
    if len(values) == 1:
        return texts[0]
    missing = "not planned" if side == "planned" else "not read"
    return ", ".join(f"{name} {text or missing}" for (name, _), text in zip(values, texts, strict=True))


def count_read(column: Values) -> int:
    """Return how many values of a column are read."""
    unread = [value for value in column.among if not value.read]
    return len(column) - sum(map(column.count, unread))


def count_numbers(column: Values, setting: Setting) -> int:
    """Return how many values of a column are numbers."""
    others = [value for value in column.among if number_of(value, setting) is None]
    return len(column) - sum(map(column.count, others))


def count_all_read(columns: Sequence[Values]) -> int:
    """Return for how many devices the values of all columns are read."""
    partly = [column for column in columns if count_read(column) < len(column)]
    if not partly:
        return len(columns[0])
    return sum(all(value.read for value in values) for values in zip(*partly, strict=True))


def day_read(block: Block, role: str, i: int) -> date | None:
    """Return the day that was read for a role, or None if there is none or it cannot be understood."""
    if setting := block.first_setting(role):
        value = block.value("found", setting.name, i)
        with suppress(ValueError):
            return date.fromisoformat(str(value.content)[:10]) if value.read else None
    return None


class CodeOf(NamedTuple):
    """An access code of a device, on one side."""

    b: int
    block: Block
    side: str
    setting: Setting
    i: int
    code: Code


def access_codes(context: Context) -> Iterator[CodeOf]:
    """Yield the access codes of all devices, on every side the rule looks at."""
    for b, block, side, setting, column in context.columns(["access_code"]):
        for i, value in enumerate(column):
            if isinstance(value.content, Code):
                yield CodeOf(b, block, side, setting, i, value.content)


def codes_read(block: Block, i: int) -> list[tuple[Code, Setting]]:
    """Return the access codes that were exported from a device, each with its setting."""
    found = [(block.value("found", s.name, i).content, s) for s in block.settings("access_code")]
    return [(its, setting) for its, setting in found if isinstance(its, Code)]


def refusals(block: Block, i: int) -> list[Setting]:
    """Return the trials in which a device was read to refuse the factory code."""
    trials = block.settings("default_refused")
    return [trial for trial in trials if refused(block.value("found", trial.name, i))]


def is_factory(its: Code, setting: Setting) -> bool:
    """Tell whether a code is the factory default of its setting."""
    return setting.default is not None and its.token == code(str(setting.default)).token
