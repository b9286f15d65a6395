"""A site for these tests: a device type from `data/`, and values as they are typed in plan and readback.

    result = audited("modbus.yaml", {"N-1": {"address": "5"}}, found={"N-1": {"address": "248"}})
    named(result, "value-outside-device")  # {"N-1"}

Each mapping of nodes is a network of its own. Without `found`, the plan alone is checked.
"""

from __future__ import annotations

import csv
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from audit.model.result import Finding, Result
from audit.run import Order, run

DATA = Path(__file__).parent / "data"

Texts = Mapping[str, str]
"""Setting → text, as typed."""
Nodes = Mapping[str, Texts]
"""Tag → settings."""


def audited(
    device_type: str, *networks: Nodes, found: Nodes | None = None, rules: Sequence[str] = ()
) -> Result:
    """Return the result of a whole run; `device_type` and `rules` are names of files in `data/`."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        for file in ("gateway.yaml", device_type):
            shutil.copy(DATA / file, folder)
        (folder / "plan.yaml").write_text(plan_text(device_type, networks), encoding="utf-8")
        if found is not None:
            write_rows(folder / "found.csv", [{"tag": tag, **texts} for tag, texts in found.items()])
        return run(
            Order(
                plan=folder / "plan.yaml",
                readback=[folder / "found.csv"] if found is not None else (),
                rules=[DATA / file for file in rules],
            )
        )


def plan_text(device_type: str, networks: Sequence[Nodes]) -> str:
    """Return a plan with one line for each node. Its only device type is named after its file."""
    lines = ["asfound: plan/1", "site: {name: Test Site}", "device_types:", "  - gateway.yaml"]
    lines += [f"  - {device_type}", "networks:"]
    for number, nodes in enumerate(networks, 1):
        lines += [f"  - name: Network {number}", f"    gateway: {{tag: GW-{number}, type: gateway}}"]
        lines += [f"    node_type: {device_type.removesuffix('.yaml')}", "    nodes:"]
        for tag, texts in nodes.items():
            settings = ", ".join(f"{name}: {text}" for name, text in texts.items())
            lines.append(f"      - {{tag: {tag}, settings: {{{settings}}}}}")
    return "\n".join(lines) + "\n"


def write_rows(path: Path, rows: Sequence[Texts]) -> None:
    """Write rows as CSV, with a column for every key of any row."""
    columns = list(dict.fromkeys(key for row in rows for key in row))
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, columns, restval="")
        writer.writeheader()
        writer.writerows(rows)


def of_rule(result: Result, rule: str) -> list[Finding]:
    """Return the findings of a rule."""
    return [finding for finding in result.findings if finding.rule == rule]


def named(result: Result, rule: str) -> set[str]:
    """Return the tags of the devices that a rule has findings on."""
    return {finding.node or "" for finding in of_rule(result, rule)}
