"""Talks for tests: a site whose devices have a display, and a person who gives the answers of a list.

talk = Talk(tmp_path)                        # the site, and a file that is not there yet
shown = talk.answer("N-1", "100001", "7")    # what was shown; the answers end, and so does the talk
talk.lines()                                 # the file's entries
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from audit.entering.devices import Device, ToRead, to_read
from audit.entering.progress import Progress
from audit.entering.saving import EntryFile, Signature
from audit.entering.state import Work
from audit.entering.talking import talk
from audit.model.device import DeviceType
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from audit.run import readback_words
from tests.small_site import ACCESS_CODE, NAME, Named, SmallSite, small_site

NOON = datetime.datetime(2026, 3, 31, 12, 0, tzinfo=datetime.UTC)
SIGNATURE = Signature(NAME, "A", "R. Sample")

DISPLAY: tuple[Named, ...] = (
    {"name": "channel", "label": "CH", "kind": "integer", "role": "channel", "low": 1, "high": 40,
     "digits": 2, "where": "RADIO > CH"},
    {"name": "network_id", "label": "NET ID", "kind": "text", "role": "network_id", "digits": 4,
     "where": "RADIO > NET ID"},
    {"name": "joined_gateway", "kind": "text", "role": "joined_gateway", "read_at": "gateway"},
    ACCESS_CODE,
    {"name": "range_high", "label": "URV", "kind": "decimal", "role": "range_high", "unit": "kPa", "low": 0,
     "high": 1600, "step": 0.5, "where": "IN > URV"},
    {"name": "unit", "label": "UNIT", "kind": "option", "role": "unit", "options": ["kPa", "bar", "back"]},
    {"name": "lock", "label": "LOCK", "kind": "flag", "role": "local_lock"},
)  # fmt: skip
"""What a node of the site has; ORDER is the order in which it is asked for."""

ORDER = ("serial", "channel", "network_id", "range_high", "unit", "lock", "joined_gateway")
AS_PLANNED = ("100001", "17", "0Q7Z", "812.5", "kPa", "on", "GW-1")
"""Answers for node N-1, in ORDER, that are as planned."""


def talking_site(folder: Path) -> SmallSite:
    """Write a site with one gateway and three nodes."""
    shared = {"network_id": "0Q7Z", "range_high": 812.5, "unit": "kPa", "lock": "on", "channel": 17,
              "joined_gateway": "GW-1"}  # fmt: skip
    nodes = [{"tag": f"N-{n}", "serial": f"{100000 + n}", "location": f"Pit {n}"} for n in (1, 2, 3)]
    gateway = {"tag": "GW-1", "type": "gateway", "serial": "900001", "settings": {"channel": 17}}
    return small_site(folder, settings=DISPLAY, gateway_settings=DISPLAY[:1], nodes=nodes, defaults=shared,
                      gateway=gateway, readback_rows=[{"tag": "N-1"}])  # fmt: skip


def without_settings(*networks: str) -> tuple[Device, ...]:
    """Return a device for each network, with nothing to read on it."""
    kind = DeviceType(asfound="device-type/1", name="node")
    return tuple(Device(name, name, "", kind, (), None, 0) for name in networks)  # type: ignore[arg-type]


@dataclass
class Person:
    """Gives answers from a list, and keeps what was shown."""

    script: Sequence[str]
    patient: bool = True
    answers: int = 0
    seen: list[str] = field(default_factory=list)
    offered: list[tuple[str, ...]] = field(default_factory=list)

    def say(self, lines: Iterable[str]) -> None:
        """Keep what is shown."""
        self.seen += lines

    def read(self, prompt: str, choices: Iterable[str] = ()) -> str:
        """Return the next answer."""
        self.seen.append(prompt)
        self.offered.append(tuple(choices))
        if self.answers == len(self.script):
            raise EOFError
        self.answers += 1
        return self.script[self.answers - 1]


@dataclass
class Talk:
    """A site, a file of entries, and what is typed into it."""

    folder: Path
    decimal: str = "."
    by: str = "R. Sample"
    now: datetime.datetime = NOON
    site: SmallSite = field(init=False)
    wanted: ToRead = field(init=False)

    def __post_init__(self) -> None:
        """Write the site."""
        self.site = talking_site(self.folder)
        self.plan = read_plan(self.site.plan, Inputs())
        self.wanted = to_read(self.plan)

    @property
    def path(self) -> Path:
        """The file of entries."""
        return self.folder / "entered.jsonl"

    def open(self) -> EntryFile:
        """Return the file, not yet read. Its clock advances by a second with each reading."""
        return EntryFile(self.path, readback_words(self.plan), self._clock)

    def _clock(self) -> datetime.datetime:
        self.now += datetime.timedelta(seconds=1)
        return self.now

    def answer(self, *script: str, patient: bool = True) -> list[str]:
        """Give answers, and return what was shown."""
        return self.person(*script, patient=patient).seen

    def person(self, *script: str, patient: bool = True, file: EntryFile | None = None) -> Person:
        """Give answers, and return the person who gave them."""
        person = Person(script, patient)
        file = file or self.open()
        progress = Progress().with_lines(file.read().lines, self.wanted)
        work = Work(self.wanted, self.decimal, asks_again=patient)
        talk(work, progress, file, Signature(NAME, "A", self.by), person)
        return person

    def lines(self) -> list[dict[str, Any]]:
        """Return the entries of the file."""
        text = self.path.read_text(encoding="utf-8") if self.path.exists() else ""
        return [json.loads(line) for line in text.splitlines()]

    def typed(self) -> list[tuple[str, str, str]]:
        """Return tag, setting and value of the entries."""
        return [(line["tag"], line["setting"], line["value"]) for line in self.lines()]
