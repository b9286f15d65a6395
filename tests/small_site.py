"""A small site to change: one gateway, three nodes, and a readback that is as planned.

    site = small_site(tmp_path)                                  # passes: exit code 0
    site = small_site(tmp_path, found={"N-2": {"channel": "8"}}) # one node is on another channel
    site.replace("channel: 7", "chanel: 7")                      # a slip in plan.yaml
    outcome = site.check()                                       # asfound check plan.yaml found.csv
    outcome.code, outcome.stdout, outcome.stderr, outcome.problems

Every part can be given; what is not given is as in the constants below.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from audit.cli import main

Row = Mapping[str, str]
Named = Mapping[str, Any]

NAME = "Little Site"

RADIO: tuple[Named, ...] = (
    {"name": "channel", "label": "CH", "kind": "integer", "role": "channel", "low": 1, "high": 40},
    {"name": "network_id", "label": "NET ID", "kind": "text", "role": "network_id"},
)
SETTINGS: tuple[Named, ...] = (
    *RADIO,
    {"name": "address", "label": "ADDR", "kind": "integer", "role": "address", "low": 1, "high": 247},
    {"name": "range_low", "label": "LRV", "kind": "decimal", "role": "range_low", "unit": "kPa", "step": 0.1},
    {
        "name": "range_high",
        "label": "URV",
        "kind": "decimal",
        "role": "range_high",
        "unit": "kPa",
        "step": 0.1,
    },
    {"name": "high_alarm", "label": "H", "kind": "decimal", "role": "alarm_high", "unit": "kPa", "step": 0.1},
)
"""Settings of the device type `node`."""

ACCESS_CODE: dict[str, Any] = {
    "name": "access_code", "label": "CODE", "kind": "secret", "role": "access_code", "default": "1234",
    "required": False,
}  # fmt: skip
"""A setting for tests of secrets; the site has none unless it is given."""

DEFAULT_REFUSED: Named = {"name": "default_refused", "kind": "option", "role": "default_refused",
                          "options": ["yes", "no", "not tried"]}  # fmt: skip

GATEWAY: Named = {"tag": "GW-1", "type": "gateway", "serial": "900001",
                  "settings": {"channel": 7, "network_id": "A7"}}  # fmt: skip
DEFAULTS: Named = {"range_low": 0, "range_high": 1000, "high_alarm": 780}
"""Settings that the nodes share."""


def node(number: int, **settings: Any) -> dict[str, Any]:
    """Return the plan of node `number`: N-1 has serial number 100001 and address 11, and so on."""
    return {"tag": f"N-{number}", "serial": f"{100000 + number}",
            "settings": {"address": 10 + number, **settings}}  # fmt: skip


NODES: tuple[Named, ...] = (node(1), node(2), node(3))


@dataclass(frozen=True)
class Outcome:
    """What a command did: its exit code and what it wrote."""

    code: int
    stdout: str
    stderr: str

    @property
    def problems(self) -> list[str]:
        """The problems on stderr, each with its remedy, without the closing line."""
        found: list[str] = []
        for line in self.stderr.splitlines():
            if line.startswith("    "):
                found[-1] += "\n" + line
            elif not line.startswith("asfound: no verdict"):
                found.append(line)
        return found

    @property
    def written(self) -> str:
        """Everything that was written, on either stream."""
        return self.stdout + self.stderr


def run(*arguments: str | Path) -> Outcome:
    """Run the command in this process."""
    stdout, stderr = io.StringIO(), io.StringIO()
    code = main.run([str(argument) for argument in arguments], stdout, stderr)
    return Outcome(code, stdout.getvalue(), stderr.getvalue())


@dataclass(frozen=True)
class SmallSite:
    """The files of a small site, and ways to change and check them."""

    folder: Path
    name: str = NAME
    readbacks: list[Path] = field(default_factory=list)
    """What `check` passes to the command in addition to the plan."""

    @property
    def plan(self) -> Path:
        """The plan's path."""
        return self.folder / "plan.yaml"

    def write(self, name: str, content: str | bytes | Named) -> Path:
        """Write a file of the site: text, bytes, or data as YAML or JSON. Return its path."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if isinstance(content, Mapping):
            content = json.dumps(content, indent=1) if path.suffix == ".json" else as_yaml(content)
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    def read(self, name: str, content: str | bytes | Named) -> SmallSite:
        """Write a file and make it the readback that `check` passes to the command."""
        self.readbacks[:] = [self.write(name, content)]
        return self

    def replace(self, old: str, new: str, name: str = "plan.yaml") -> SmallSite:
        """Replace a text that occurs once in a file."""
        text = (self.folder / name).read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} occurs {text.count(old)} times in {name}:\n{text}"
        self.write(name, text.replace(old, new))
        return self

    def at(self, part: str, name: str = "plan.yaml") -> str:
        """Return where a text that occurs once in a file begins, as `plan.yaml:10:24`."""
        text = (self.folder / name).read_text(encoding="utf-8")
        assert text.count(part) == 1, f"{part!r} occurs {text.count(part)} times in {name}:\n{text}"
        before = text[: text.index(part)]
        return f"{name}:{before.count(chr(10)) + 1}:{len(before) - before.rfind(chr(10))}"

    def line(self, part: str, name: str = "plan.yaml") -> str:
        """Return the line on which a text that occurs once in a file begins, as `plan.yaml:10`."""
        return self.at(part, name).rpartition(":")[0]

    def mapping(self, **keys: Any) -> Path:
        """Write a mapping file with one mapping, and return its path."""
        return self.write("mapping.yaml", {"asfound": "mapping/1", "mappings": [keys]})

    def own_rules(self, check: Named, **keys: Any) -> Path:
        """Write site rules with one rule, `own-rule`, and return their path."""
        rule = {"id": "own-rule", "title": "Our own rule", "level": "warning", "check": check,
                "why": "It matters here.", "remedy": "Mend it.", "source": "site rule"}  # fmt: skip
        return self.write("own.yaml", {"asfound": "site-rules/1", "title": "Our own", "version": "1",
                                       "rules": [rule | keys]})  # fmt: skip

    def files(self) -> set[str]:
        """Return the names of all files and folders of the site."""
        return {path.relative_to(self.folder).as_posix() for path in self.folder.rglob("*")}

    def check(self, *arguments: str | Path) -> Outcome:
        """Run `asfound check` on the plan and the readbacks, with more arguments."""
        return run("check", self.plan, *self.readbacks, "--on", "2026-03-31", *arguments)

    def result(self, *arguments: str | Path) -> dict[str, Any]:
        """Return the JSON result of a check."""
        path = self.folder / "out" / "result.json"
        path.parent.mkdir(exist_ok=True)
        outcome = self.check("--quiet", "--out", path, *arguments)
        assert outcome.code in (0, 1), outcome.stderr
        data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        return data

    def rules_found(self, *arguments: str | Path) -> list[str]:
        """Return the ids of the rules that found something, in the order of the report."""
        return [finding["rule"] for finding in self.result(*arguments)["findings"]]


def small_site(
    folder: Path,
    *,
    nodes: Sequence[Named] = NODES,
    gateway: Named = GATEWAY,
    defaults: Named = DEFAULTS,
    settings: Sequence[Named] = SETTINGS,
    gateway_settings: Sequence[Named] = RADIO,
    plan_extra: Named | None = None,
    network_extra: Named | None = None,
    found: Mapping[str, Row] | None = None,
    readback_rows: Sequence[Row] | None = None,
    delimiter: str = ",",
) -> SmallSite:
    """Write a small site into a folder and return it.

    `found` says what differs from the plan: tag → column → text. `readback_rows` replaces the readback.
    `plan_extra` and `network_extra` add keys to the plan and to its network, or replace them.
    """
    site = SmallSite(folder)
    site.write("node.yaml", {"asfound": "device-type/1", "name": "node", "settings": list(settings)})
    site.write("gateway.yaml", {"asfound": "device-type/1", "name": "gateway", "device": "gateway",
                                "settings": list(gateway_settings)})  # fmt: skip
    network = {"name": "Main", "gateway": gateway, "node_type": "node", "defaults": defaults,
               "nodes": list(nodes), **(network_extra or {})}  # fmt: skip
    site.write("plan.yaml", {"asfound": "plan/1", "site": {"name": NAME, "revision": "A"},
                             "device_types": ["gateway.yaml", "node.yaml"], "networks": [network],
                             **(plan_extra or {})})  # fmt: skip
    if readback_rows is None:
        readback_rows = as_planned(nodes, gateway, defaults, found or {})
    return site.read("found.csv", as_csv(readback_rows, delimiter))


def as_planned(
    nodes: Sequence[Named] = NODES,
    gateway: Named = GATEWAY,
    defaults: Named = DEFAULTS,
    found: Mapping[str, Row] | None = None,
) -> list[dict[str, str]]:
    """Return the rows of a readback that is as planned except for what `found` says."""
    devices = [(gateway, {}), *((one, {**gateway["settings"], **defaults}) for one in nodes)]
    return [
        {"tag": one["tag"], "serial": one["serial"], "network": "Main"}
        | {name: str(value) for name, value in {**shared, **one["settings"]}.items()}
        | {"read_by": "B. Example"} | dict((found or {}).get(one["tag"], {}))
        for one, shared in devices
    ]  # fmt: skip


def as_csv(rows: Sequence[Row], delimiter: str = ",") -> str:
    """Return rows as CSV text, with a column for every key that occurs in any row."""
    columns = list(dict.fromkeys(key for row in rows for key in row))
    stream = io.StringIO()
    writer = csv.DictWriter(stream, columns, restval="", delimiter=delimiter, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return stream.getvalue()


def as_xlsx(sheets: Mapping[str, Sequence[Sequence[Any]]]) -> bytes:
    """Return sheets, each a list of rows, as an XLSX workbook."""
    import openpyxl

    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def as_yaml(data: Named) -> str:
    """Return data as YAML: one line for each node, keys in the order given."""
    plain = json.loads(json.dumps(data))
    return yaml.dump(plain, Dumper=yaml.CSafeDumper, sort_keys=False, default_flow_style=None, width=1000)
