"""Random fleets: what is planned and found, as typed values and as texts in many spellings.

The values are Python's own int, Decimal, str and bool. None of them comes from the tool, so that they
can judge it. Texts are made from the values, and one value may have several texts.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from shutil import copy

from tests.outside.sites import DATA, write_rows

Value = int | Decimal | str | bool
Values = dict[str, dict[str, Value]]
"""Tag → setting → value; a setting that has no value is left out."""

NODES = 2000
NETWORKS = 8
FAULTY = 0.02
UNREAD = 0.005
"""Fractions of the nodes: FAULTY have faults, UNREAD have blanks, and as many were not read at all."""
BLANKS = ("", "-", "n/a", "not read", " ")

RATES = ("4.8", "9.6", "38.4", "50", "100")
STEPS = {"range_high": "0.1", "high_alarm": "0.1", "damping": "0.01", "trim": "0.001"}
"""Decimal setting → display step. Planned and found values are whole numbers of steps."""
UNITS = {
    "range_high": (("kPa", 0), ("Pa", 3), ("bar", -2), ("MPa", -3)),
    "high_alarm": (("kPa", 0), ("mbar", 1), ("hPa", 1)),
    "damping": (("s", 0), ("ms", 3)),
}
"""Decimal setting → units that a cell may state, each with the power of ten that leads to it."""
OPTIONS = {"air_rate": RATES, "unit": ("kPa", "bar", "psi"), "filter": ("none used", "mean", "median")}
INTEGERS = {
    "channel": (1, 40),
    "address": (1, 247),
    "report_interval": (5, 3600),
    "host_register": (0, 65000),
    "power": (-10, 27),
}
TEXTS = ("network_id", "asset")
FLAGS = ("encryption", "backlight")
ON = ("on", "ON", "yes", "Yes", "true", "TRUE", "1", "enabled")
OFF = ("off", "OFF", "no", "No", "false", "False", "0", "disabled")


@dataclass
class Fleet:
    """A plan and a readback, with the values that they state."""

    folder: Path
    planned: Values = field(default_factory=dict)
    found: Values = field(default_factory=dict)
    """Nodes that were not read are left out."""
    texts: dict[tuple[str, str], str] = field(default_factory=dict)
    """Tag and setting → the text in the readback."""

    @property
    def plan(self) -> Path:
        """The plan's path."""
        return self.folder / "plan.yaml"

    @property
    def readback(self) -> Path:
        """The folder of the readback, which has one file for each network."""
        return self.folder / "found"


def fleet(seed: int, folder: Path, nodes: int = NODES) -> Fleet:
    """Write a fleet into a folder and return it. The same seed gives the same files."""
    at_random = random.Random(seed)
    made = Fleet(folder)
    network_of = {f"T-{n:04d}": f"Network {n * NETWORKS // nodes}" for n in range(nodes)}
    for tag in network_of:
        made.planned[tag] = {name: draw(at_random, name) for name in all_settings()}
        made.found[tag] = dict(made.planned[tag])
    for tag in at_random.sample(list(network_of), round(nodes * FAULTY)):
        for name in at_random.sample(all_settings(), at_random.choice((1, 1, 1, 2, 3))):
            made.found[tag][name] = changed(at_random, name, made.planned[tag][name])
    spoil_in_a_row(at_random, made, list(network_of))
    for tag in at_random.sample(list(network_of), round(nodes * UNREAD)):
        for name in at_random.sample(all_settings(), 3):
            made.found[tag].pop(name)
    for tag in at_random.sample(list(network_of), round(nodes * UNREAD)):
        made.found.pop(tag)
    write(at_random, made, network_of)
    return made


def all_settings() -> list[str]:
    """Return the names of all settings."""
    return [*INTEGERS, *STEPS, *OPTIONS, *TEXTS, *FLAGS]


def spoil_in_a_row(at_random: random.Random, made: Fleet, tags: list[str]) -> None:
    """Fill channels down as a series, give many nodes the same wrong rate, and shift some rows by one."""
    first = at_random.randrange(len(tags) // 2)
    for step, tag in enumerate(tags[first : first + 6]):
        made.planned[tag]["channel"], made.found[tag]["channel"] = 20, 20 + step
    for tag in at_random.sample(tags[first : first + 60], 8):
        made.planned[tag]["air_rate"], made.found[tag]["air_rate"] = "50", "100"
    slipped = tags[first + 100 : first + 106]
    for tag, neighbour in zip(slipped, tags[first + 101 : first + 107], strict=True):
        made.found[tag] = dict(made.planned[neighbour])


def draw(at_random: random.Random, name: str) -> Value:
    """Return a planned value of a setting."""
    if name in INTEGERS:
        return at_random.randint(*INTEGERS[name])
    if name in STEPS:
        return at_random.randint(-50 if name == "trim" else 1, 20000) * Decimal(STEPS[name])
    if name in OPTIONS:
        return at_random.choice(OPTIONS[name])
    if name in TEXTS:
        number = at_random.randrange(1000)
        return at_random.choice((f"{number:04d}", f"0{number % 10}E{number % 7}", f"A{number}", "no", "1:30"))
    return at_random.random() < 0.5


def changed(at_random: random.Random, name: str, value: Value) -> Value:
    """Return another value of a setting, often one that is hard to tell from the planned one."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + at_random.choice((1, -1, 10, 100))
    if isinstance(value, Decimal):
        return value + Decimal(STEPS[name]) * at_random.choice((1, -1, 2, -5, 10, 1000))
    if name in OPTIONS:
        return at_random.choice([option for option in OPTIONS[name] if option != value])
    return at_random.choice((f"0{value}", f"{value}0", value.removeprefix("0") + "X", value.swapcase() + "."))


def written(at_random: random.Random, name: str, value: Value) -> str:
    """Return a text for a value, as somebody might type it."""
    if isinstance(value, bool):
        return at_random.choice(ON if value else OFF)
    if isinstance(value, int):
        return at_random.choice(integer_texts(value))
    if isinstance(value, Decimal):
        return at_random.choice(decimal_texts(at_random, name, value))
    if name in OPTIONS:
        spellings: list[str] = [value, value, value.upper(), value.lower(), f" {value}"]
        return at_random.choice([*spellings, f"{value} kbit/s", f"{value}0" if "." in value else value]
                                if name == "air_rate" else spellings)  # fmt: skip
    return at_random.choice((value, value, f" {value} "))


def integer_texts(value: int) -> list[str]:
    """Return spellings of a whole number."""
    sign, size = ("-" if value < 0 else ""), abs(value)
    texts = [str(value), f"{sign}{size:05d}", f"{value}.0", f" {value} "]
    return [*texts, f"+{size}", f"{size:#x}", f"0x{size:04X}"] if value >= 0 else [*texts, f"−{size}"]


def decimal_texts(at_random: random.Random, name: str, value: Decimal) -> list[str]:
    """Return spellings of a decimal, some in another unit."""
    sign, size = ("-" if value < 0 else ""), abs(value)
    texts = [
        f"{value}",
        f"{value}00",
        f"{sign}00{size}",
        f"{sign}{f'{size:f}'.removeprefix('0')}",
        f"{value:E}",
    ]
    if name in UNITS:
        unit, power = at_random.choice(UNITS[name])
        texts += [f"{value.scaleb(power):f} {unit}", f"{value.scaleb(power):f}{unit}"]
    return texts


def row(at_random: random.Random, tag: str, values: Mapping[str, Value]) -> dict[str, str]:
    """Return a row of a table: every setting as a text, in some spelling of its value or of 'not read'."""
    return {"tag": tag} | {
        name: written(at_random, name, values[name]) if name in values else at_random.choice(BLANKS)
        for name in all_settings()
    }


def write(at_random: random.Random, made: Fleet, network_of: Mapping[str, str]) -> None:
    """Write the plan with a node table for each network, and the readback with a file for each."""
    for file in ("gateway.yaml", "mixed.yaml"):
        copy(DATA / file, made.folder)
    made.readback.mkdir()
    lines = [
        "asfound: plan/1",
        "site: {name: Test Site}",
        "device_types: [gateway.yaml, mixed.yaml]",
        "networks:",
    ]
    for number, network in enumerate(dict.fromkeys(network_of.values())):
        lines += [f"  - name: {network}", f"    gateway: {{tag: GW-{number}, type: gateway}}"]
        lines += ["    node_type: mixed", f"    node_tables: [{{file: nodes-{number}.csv}}]"]
        tags = [tag for tag, its in network_of.items() if its == network]
        planned = [row(at_random, tag, made.planned[tag]) for tag in tags]
        found = [row(at_random, tag, made.found[tag]) for tag in tags if tag in made.found]
        made.texts |= {(its["tag"], name): its[name] for its in found for name in all_settings()}
        if at_random.random() < 0.5:
            at_random.shuffle(found)
        write_rows(made.folder / f"nodes-{number}.csv", planned)
        write_rows(made.readback / f"found-{number}.csv", found)
    made.plan.write_text("\n".join(lines) + "\n", encoding="utf-8")
