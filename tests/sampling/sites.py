"""An invented site of eighty nodes in four networks, its samples, and readbacks of some of its nodes."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.site_builder import SiteOf
from tests.small_site import Outcome, run

NETWORKS = {"North": 30, "East": 24, "South": 16, "West": 10}
DAY = "2026-05-01"


def rows(**of_node: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the planned rows, some of them with additions."""
    made: list[dict[str, Any]] = []
    for network, count in NETWORKS.items():
        for n in range(1, count + 1):
            tag = f"{network[0]}{n}"
            made.append({"tag": tag, "network": network, "serial": f"7{len(made):04}", "address": n,
                         "channel": 7, "range_high": 100, **of_node.get(tag, {})})  # fmt: skip
    return made


@dataclass(frozen=True)
class Fleet:
    """The files of the site in a folder."""

    folder: Path

    @property
    def plan(self) -> Path:
        """The plan."""
        return self.folder / "plan.yaml"

    @property
    def file(self) -> Path:
        """The recorded sample."""
        return self.folder / "sample.json"

    def draw(self, *arguments: str) -> dict[str, Any]:
        """Draw a sample with the seed 1 and return it as recorded."""
        outcome = run("sample", self.plan, "--seed", "1", *arguments, "--out", self.file)
        assert outcome.code == 0, outcome.written
        data: dict[str, Any] = json.loads(self.file.read_text(encoding="utf-8"))
        return data

    def check(self, *arguments: str | Path) -> Outcome:
        """Check what was read against the recorded sample."""
        readback = sorted(self.folder.glob("read-*.csv"))
        return run("check", self.plan, *readback, "--sample", self.file, "--on", DAY, *arguments)

    def result(self, *arguments: str | Path) -> dict[str, Any]:
        """Return the result of such a check."""
        out = self.folder / "result.json"
        self.check("--quiet", "--out", out, *arguments)
        data: dict[str, Any] = json.loads(out.read_text(encoding="utf-8"))
        return data

    def read(self, tags: Sequence[str], **otherwise: Mapping[str, str]) -> None:
        """Write a readback of some nodes and all gateways: as planned, except for the given differences."""
        planned = {row["tag"]: row for row in rows()}
        lines = ["tag,serial,network,channel,address,range_high,default_refused"]
        for tag in tags:
            row = {**planned[tag], "default_refused": "yes", **otherwise.get(tag, {})}
            lines.append(",".join(str(row[name]) for name in lines[0].split(",")))
        (self.folder / "read-nodes.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
        gateways = [f"GW-{network},{network},7,yes" for network in NETWORKS]
        text = "\n".join(["tag,network,channel,default_refused", *gateways]) + "\n"
        (self.folder / "read-gateways.csv").write_text(text, encoding="utf-8")


def fleet(folder: Path, planned: Sequence[Mapping[str, Any]] | None = None, **site: Any) -> Fleet:
    """Write the site into a folder."""
    networks: dict[str, Any] = {name: {} for name in NETWORKS}
    SiteOf(planned=planned or rows(), found=None, gateway={"channel": 7}, networks=networks, **site).write(
        folder
    )
    return Fleet(folder)


def drawn(sample: Mapping[str, Any], network: str = "") -> list[str]:
    """Return the tags that a sample drew by chance."""
    return [place["node"] for lot in sample["lots"] for place in lot["drawn"]
            if network in ("", place["network"])]  # fmt: skip


def always(sample: Mapping[str, Any]) -> dict[str, list[str]]:
    """Return the tags that a sample includes for a reason, each with its reasons."""
    return {place["node"]: place["reasons"] for place in sample["always"]}
