"""Cards to print: one for each device, long ones in parts that each fit on a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from audit.asking import turn
from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.roles import ASKED_LAST
from audit.sheets import paper
from audit.sheets.boxes import Answer, answer
from audit.sheets.headings import PLACES, in_words
from audit.sheets.model import Book, Device
from audit.sheets.ordering import at_the_device


@dataclass(frozen=True, slots=True)
class Question:
    """One setting on a card."""

    label: str
    where: str
    unit: str
    answer: Answer
    planned: str

    @property
    def wide(self) -> bool:
        """Whether it takes the whole width of the card."""
        return max(self._widths) > paper.HALF

    @property
    def height(self) -> float:
        """Its height on paper, in millimetres."""
        room = paper.WHOLE if self.wide else paper.HALF
        return paper.question_height(*self._widths, room)

    @property
    def _widths(self) -> tuple[float, float]:
        planned = f"planned {self.planned}" if self.planned else ""
        name = paper.BOLD * len(self.label) + paper.SMALL * (len(self.where) + 1 + len(planned))
        return name, paper.answer_width(self.answer, self.unit)


@dataclass(frozen=True, slots=True)
class Card:
    """One card, or one part of a long one."""

    network: str
    device: Device
    part: int
    parts: int
    questions: Sequence[Question]
    refused: Question | None
    """Whether the factory code was refused: asked on the last part, if the device type has the setting."""
    elsewhere: Sequence[str]
    """What is read elsewhere, in words; printed on the last part."""

    @property
    def long_tag(self) -> bool:
        """Whether the tag is too long for the large type."""
        return len(self.device.tag) > paper.LONGEST_LARGE


def cards(book: Book, notes: Sequence[str]) -> Iterator[Card]:
    """Yield the cards of all sheets, gateways first; `notes` are printed at the foot of each."""
    for sheet in book.sheets:
        for network, device in sheet.devices:
            yield from _of_device(network, device, book, notes)


def _of_device(network: str, device: Device, book: Book, notes: Sequence[str]) -> Iterator[Card]:
    questions = [_question(setting, device) for setting in at_the_device(device.type)]
    asked_last = next((s for s in device.type.settings if s.role == ASKED_LAST), None)
    refused = _question(asked_last, device) if asked_last else None
    elsewhere = _elsewhere(device)
    about = f"{book.site}, plan revision {book.revision} network {network}, {device.type.title}"
    head = paper.head_height(device.tag, device.location, about) + (8 if book.with_plan else 0)
    foot = paper.foot_height("; ".join(elsewhere), refused.where if refused else "", " ".join(notes))
    parts = _parts(questions, paper.ROOM - head - foot)
    for number, part in enumerate(parts, 1):
        last = number == len(parts)
        yield Card(
            network, device, number, len(parts), part,
            refused if last else None, elsewhere if last else (),
        )  # fmt: skip


def _question(setting: Setting, device: Device) -> Question:
    at = PLACES[setting.read_at]
    where = ": ".join(part for part in (at, setting.where) if part)
    planned = device.planned.get(setting.name, "")
    return Question(in_words(setting), where, setting.unit, answer(setting, device.type), planned)


def _parts(questions: Sequence[Question], room: float) -> list[list[Question]]:
    """Return the questions in parts, none taller than the room, unless it is a single taller question."""
    parts: list[list[Question]] = [[]]
    filled = 0.0
    for row in side_by_side(questions):
        height = max(question.height for question in row)
        if parts[-1] and filled + height > room:
            parts.append([])
            filled = 0.0
        parts[-1] += row
        filled += height
    return parts


def side_by_side(questions: Sequence[Question]) -> Iterator[list[Question]]:
    """Yield the questions of each row: one that is wide, or two that are not."""
    row: list[Question] = []
    for question in questions:
        if row and (question.wide or len(row) == 2):
            yield row
            row = []
        if question.wide:
            yield [question]
        else:
            row.append(question)
    if row:
        yield row


def _elsewhere(device: Device) -> list[str]:
    """Return the settings that are not read at the device, by the place where they are read."""
    elsewhere = (setting for setting in device.type.settings if turn(setting) == 2)
    places = grouped((PLACES[setting.read_at], in_words(setting)) for setting in elsewhere)
    return [f"{place}: {', '.join(labels)}" for place, labels in places.items()]
