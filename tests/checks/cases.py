"""Cases of rules: a rule, a site, and what the rule says about it, or that it is silent.

Each test file of a check kind keeps two tables, FIRES and SILENT, and tests/test_rules_data.py shows
that every rule is in both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from audit.checking import IN_PART
from audit.model.mapping import DEFAULT_BLANKS
from audit.model.result import Finding
from tests.site_builder import Cell, SiteOf, result_of


@dataclass(frozen=True)
class Fires:
    """A site on which a rule has something to say, and what."""

    rule: str
    name: str
    site: dict[str, Any]
    node: str | None
    settings: tuple[str, ...]
    says: str
    side: str
    others: tuple[str, ...]
    count: int
    at: tuple[tuple[str, int, str], ...]
    shown: tuple[str, str] | None
    network: str | None
    secret: bool = field(default=False)

    def __str__(self) -> str:
        """Return the id of the case in the test report."""
        return f"{self.rule}: {self.name}"

    def check(self, folder: Path) -> None:
        """Assert what the rule says, about whom, with which values, and their places."""
        findings = [f for f in result_of(folder, **self.site).findings if f.rule == self.rule]
        assert len(findings) == self.count, [f.message for f in findings]
        finding = next(f for f in findings if f.node == self.node)
        assert self.says in finding.message
        assert finding.network == self.network
        assert tuple(finding.settings) == self.settings
        assert finding.setting == (self.settings[0] if self.settings else None)
        assert tuple(finding.others) == self.others
        assert (self.side == "planned") == finding.id.endswith("/planned")
        if self.shown:
            assert (finding.planned, finding.found) == self.shown
        self._check_values(finding)
        places = [(Path(e.file).name, e.row, e.column) for e in finding.evidence]
        for place in self.at:
            assert place in places

    def _check_values(self, finding: Finding) -> None:
        """Assert that the cells of the node's settings are shown and named as evidence."""
        site = SiteOf(**{name: given for name, given in self.site.items() if name != "gate"})
        node = self.node or ""
        first = True
        for name in self.settings:
            planned = site.cells("planned", node, name)
            found = site.cells("found", node, name) if self.side == "found" else []
            for cells, shown in ((planned, finding.planned), (found, finding.found)):
                text = cells[-1][3].strip() if cells else ""
                if text.casefold() not in DEFAULT_BLANKS and not self.secret:
                    assert text in (shown or "")
                if text:
                    assert any(_same_place(finding, cell, secret=self.secret) for cell in cells)
            if first and found:
                assert finding.raw == (None if self.secret else finding.evidence[0].raw or None)
                assert any(finding.evidence[0].row == row for _, row, _, _ in found)
            first = False
        if self.side == "planned":
            assert finding.found is None
            assert finding.raw is None


@dataclass(frozen=True)
class Silent:
    """A site on which a rule looks but has nothing to say, or has nothing to look at (`idle`).

    `idle` None: either will do.
    """

    rule: str
    name: str
    site: dict[str, Any]
    idle: bool | None

    def __str__(self) -> str:
        """Return the id of the case in the test report."""
        return f"{self.rule}: {self.name}"

    def check(self, folder: Path) -> None:
        """Assert that the rule is silent and, unless it is idle, that it looked."""
        result = result_of(folder, **self.site)
        assert [f.message for f in result.findings if f.rule == self.rule] == []
        idle = {entry.rule for entry in result.not_checked if not entry.reason.startswith(IN_PART)}
        assert self.idle in (None, self.rule in idle), f"rules with nothing to look at: {sorted(idle)}"


def fires(
    rule: str,
    name: str,
    *settings: str,
    node: str | None = "A",
    says: str = "",
    side: str = "found",
    others: Sequence[str] = (),
    count: int = 1,
    at: Sequence[tuple[str, int, str]] = (),
    shown: tuple[str, str] | None = None,
    network: str | None = "North",
    secret: bool = False,
    **site: Any,
) -> Fires:
    """Return a firing case: the rule, what is special, the settings that the finding names, the site.

    `node` is None where the finding is about a network or the site, `network` where it is about the site.
    `shown` is the finding's planned and found text, `at` are places (file, row, column) among its
    evidence, `count` how many findings the rule makes in all.
    """
    told = (tuple(others), count, tuple(at), shown)
    return Fires(rule, name, site, node, settings, says, side, *told, network, secret)


def silent(rule: str, name: str, *, idle: bool | None = False, **site: Any) -> Silent:
    """Return a silent case."""
    return Silent(rule, name, site, idle)


def _same_place(finding: Finding, cell: Cell, *, secret: bool) -> bool:
    file, row, column, text = cell
    return any(
        (Path(e.file).name, e.row, e.column) == (file, row, column) and e.raw == (None if secret else text)
        for e in finding.evidence
    )
