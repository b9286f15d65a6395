"""Sites then and now: what was found then is sealed as a baseline, and compared with what is found now."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from audit.model.result import Finding, Result
from tests.baselines import seal
from tests.small_site import (
    DEFAULTS,
    GATEWAY,
    NODES,
    SETTINGS,
    Named,
    Outcome,
    Row,
    as_csv,
    as_planned,
    run,
    small_site,
)

SEALED_ON = "2026-03-31"
RUN_ON = "2026-06-30"
WHO = {"approved_by": "I. Placeholder", "date": "2026-05-12"}


@dataclass(frozen=True, kw_only=True)
class Then:
    """What changes between a baseline and a readback of a small site: nodes N-1 to N-3, gateway GW-1."""

    then: Mapping[str, Row] = field(default_factory=dict)
    """What was found for the baseline, where it was not as planned: tag → column → text."""
    unread_then: Sequence[str] = ()
    """Tags that were not read for the baseline."""
    more_then: Sequence[Row] = ()
    """More rows of the readback that was sealed as the baseline."""
    now: Mapping[str, Row] = field(default_factory=dict)
    """What is found now, where it is not as was planned then."""
    gone: Sequence[str] = ()
    """Tags that are not found now."""
    more: Sequence[Row] = ()
    """More rows of the readback of now."""
    changes: Sequence[Named] = ()
    """Change records; who approved them and when is filled in."""
    plan: Mapping[str, Named] | None = None
    """What the plan says now: tag → settings and fields, where they have changed since. None: no plan."""
    plan_without: Sequence[str] = ()
    plan_more: Sequence[Named] = ()
    kinds: Mapping[str, Sequence[Named]] = field(default_factory=dict)
    """More device types of the plan, with their settings."""
    nodes: Sequence[Named] = NODES
    gateway: Named = field(default_factory=lambda: GATEWAY)
    settings: Sequence[Named] = SETTINGS

    def write(self, folder: Path) -> list[str | Path]:
        """Write all files into a folder and return the arguments of `asfound drift`."""
        read = [row for row in self._rows(self.then) if row["tag"] not in self.unread_then]
        site = small_site(folder / "then", nodes=self.nodes, gateway=self.gateway, settings=self.settings,
                          readback_rows=[*read, *self.more_then])  # fmt: skip
        baseline = seal(site, "baseline.json", "--even-failing", on=SEALED_ON)
        rows = [row for row in self._rows(self.now, by_key=True) if row["key"] not in self.gone]
        found = folder / "found.csv"
        found.write_text(
            as_csv([{k: v for k, v in row.items() if k != "key"} for row in [*rows, *self.more]])
        )
        arguments: list[str | Path] = [baseline, found, "--on", RUN_ON]
        if self.plan is not None:
            arguments += ["--plan", self._write_plan(folder)]
        if self.changes:
            records = [{"id": f"C-{n}", **WHO, **change} for n, change in enumerate(self.changes, 1)]
            changes = folder / "changes.json"
            changes.write_text(json.dumps({"asfound": "changes/1", "changes": records}))
            arguments += ["--changes", changes]
        return arguments

    def _rows(self, found: Mapping[str, Row], *, by_key: bool = False) -> list[dict[str, str]]:
        rows = as_planned(self.nodes, self.gateway)
        keys = [{"key": row["tag"]} if by_key else {} for row in rows]
        return [key | row | dict(found.get(row["tag"], {})) for key, row in zip(keys, rows, strict=True)]

    def _write_plan(self, folder: Path) -> Path:
        plan = self.plan or {}
        nodes = [_planned(node, plan.get(node["tag"], {})) for node in self.nodes
                 if node["tag"] not in self.plan_without]  # fmt: skip
        gateway = _planned(self.gateway, plan.get(self.gateway["tag"], {}))
        kinds = [f"{kind}.yaml" for kind in ("gateway", "node", *self.kinds)]
        site = small_site(folder / "plan", nodes=[*nodes, *self.plan_more], gateway=gateway,
                          settings=self.settings, plan_extra={"device_types": kinds})  # fmt: skip
        for name, settings in self.kinds.items():
            site.write(f"{name}.yaml", {"asfound": "device-type/1", "name": name, "settings": list(settings)})
        return site.plan


def _planned(device: Named, changed: Named) -> dict[str, Any]:
    """Return a planned device with some settings and fields changed."""
    fields = {key: value for key, value in changed.items() if key in ("tag", "serial", "location", "type")}
    settings = {key: value for key, value in changed.items() if key not in fields}
    return {**device, **fields, "settings": {**device["settings"], **settings}}


def drift(folder: Path, *arguments: str | Path, **then: Any) -> Outcome:
    """Run `asfound drift`."""
    return run("drift", *Then(**then).write(folder), *arguments)


def result_of(folder: Path, *arguments: str | Path, **then: Any) -> Result:
    """Return the result of `asfound drift`."""
    out = folder / "result.json"
    folder.mkdir(exist_ok=True)
    outcome = drift(folder, "--quiet", "--out", out, *arguments, **then)
    assert outcome.code in (0, 1), outcome.written
    return Result.model_validate_json(out.read_text(encoding="utf-8"))


def reported(result: Result) -> list[tuple[str, str | None, str | None]]:
    """Return rule, node and setting of every finding, sorted."""
    return sorted(((f.rule, f.node, f.setting) for f in result.findings), key=str)


@dataclass(frozen=True)
class Fires:
    """A case in which a rule of drift fires: on which node and setting, at which level, in which words."""

    rule: str
    name: str
    then: dict[str, Any]
    node: str | None = "N-2"
    setting: str | None = None
    says: str = ""
    level: str = "error"
    only: bool = True
    """Whether nothing else is reported."""

    def __str__(self) -> str:
        """Return the id of the case in the test report."""
        return f"{self.rule}: {self.name}"

    def check(self, folder: Path) -> None:
        """Assert what the rule says, and that its evidence is quoted."""
        result = result_of(folder, **self.then)
        mine = [f for f in result.findings if f.rule == self.rule]
        finding = next((f for f in mine if f.node == self.node), None)
        assert finding, [(f.rule, f.node, f.message) for f in result.findings]
        assert self.says in finding.message
        assert finding.setting == self.setting
        assert finding.level == self.level
        assert finding.evidence
        if self.only:
            assert [f for f in result.findings if f.rule != self.rule] == []
        self._check_sides(finding)

    def _check_sides(self, finding: Finding) -> None:
        """Assert that a finding about a setting quotes the readback, and the baseline with its line."""
        if finding.setting and finding.planned and finding.found and finding.node:
            files = [Path(place.file).name for place in finding.evidence]
            assert files[0] == "found.csv"
            assert "baseline.json" in files or "changes.json" in files
        for place in finding.evidence:
            if Path(place.file).name == "baseline.json":
                line = Path(place.file).read_text(encoding="utf-8").split("\n")[(place.row or 0) - 1]
                assert (place.raw or "") in line


@dataclass(frozen=True)
class Silent:
    """A case in which a rule of drift looks and finds nothing, or has nothing to look at (`idle`)."""

    rule: str
    name: str
    then: dict[str, Any]
    idle: bool | None = False

    def __str__(self) -> str:
        """Return the id of the case in the test report."""
        return f"{self.rule}: {self.name}"

    def check(self, folder: Path) -> None:
        """Assert that the rule is silent, and that it looked, unless it is idle."""
        result = result_of(folder, **self.then)
        assert [f.message for f in result.findings if f.rule == self.rule] == []
        assert self.idle in (None, self.rule in {entry.rule for entry in result.not_checked})


def fires(rule: str, name: str, node: str | None = "N-2", setting: str | None = None, *, says: str = "",
          level: str = "error", only: bool = True, **then: Any) -> Fires:  # fmt: skip
    """Return a firing case."""
    return Fires(rule, name, then, node, setting, says, level, only)


def silent(rule: str, name: str, *, idle: bool | None = False, **then: Any) -> Silent:
    """Return a silent case."""
    return Silent(rule, name, then, idle)


__all__ = ["DEFAULTS", "Fires", "Silent", "Then", "drift", "fires", "reported", "result_of", "silent"]
