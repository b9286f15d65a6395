"""The result as a page to look at, print and sign: one file that needs nothing else."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence

from markupsafe import Markup

from audit.grouping import grouped
from audit.model.counts import NetworkCounts
from audit.model.detail import DeviceDetail
from audit.model.result import Finding, Result
from audit.model.used import RuleUsed
from audit.reporting import evidence_shown, json_report, matrix, pages, sample_shown
from audit.reporting.drawing import draw
from audit.reporting.drawing_tags import SIGNS
from audit.reporting.drawn import short
from audit.reporting.isolating import Isolating
from audit.reporting.strips import Strip, strips
from audit.reporting.text_report import where_it_stands
from audit.reporting.words import (
    FAILS_ON,
    compared_with,
    gate_named,
    held_against,
    is_of_plan_alone,
    nothing_read,
    others_to_name,
    relied_on,
    softened,
    words_of,
)

MOST_DEPENDENTS = 12
"""Dependents listed under a cause; all of them are listed among the findings."""
MANY = 1000
"""With more devices and findings than this, the browser is asked to lay out only what is on the screen."""


def render(result: Result) -> str:
    """Return the page. The same result gives the same bytes."""
    findings = _Findings(result)
    devices = grouped((device.network, device) for device in result.devices or ())
    whole = len(result.devices or ()) <= matrix.WHOLE
    digest = digest_of(result)
    style, script = pages.part("style.css") + _foot(digest), pages.part("script.js")
    return pages.render(
        "report.html",
        style,
        script,
        result=result,
        words=words_of(result),
        shown=sample_shown,
        proof=evidence_shown,
        compared_with=compared_with(result),
        nothing_read=nothing_read(result),
        others_to_name=others_to_name,
        softened=softened(result.gate),
        held_against=held_against(result),
        gate_named=gate_named(result),
        of_plan_alone=is_of_plan_alone(result),
        relied_on=relied_on(result),
        fails_on=FAILS_ON[result.gate.fail_on],
        findings=findings,
        networks=[_Network(one, devices[one.network], findings, whole=whole) for one in result.networks],
        idle=_idle(result),
        digest=digest,
        whole=whole,
        many=len(result.devices or ()) + len(result.findings) > MANY,
        where=where_it_stands,
        most_dependents=MOST_DEPENDENTS,
        classes=matrix.CLASSES,
        signs=SIGNS,
    )


def digest_of(result: Result) -> str:
    """Return the SHA-256 of the result as written to a JSON file without the devices."""
    text = json_report.render(result.model_copy(update={"devices": None}))
    return hashlib.sha256(text.encode("utf-8", "backslashreplace")).hexdigest()


def _foot(digest: str) -> Markup:
    """Return the style that prints the beginning of the digest at the foot of every page."""
    return Markup('@page {{ @bottom-left {{ content: "result {}"; font: 8pt sans-serif; }} }}\n').format(
        digest[:16]
    )


def _idle(result: Result) -> dict[str, list[str]]:
    """Return the rules that had nothing to check, by reason; each with what it needs."""
    parted = ((one.rule, *one.reason.partition(": ")) for one in result.not_checked)
    return grouped((reason, f"{rule} ({needs})" if needs else rule) for rule, reason, _, needs in parted)


class _Findings:
    """The findings, arranged as the page looks them up."""

    def __init__(self, result: Result) -> None:
        self.words = words_of(result)
        self.by_id = {finding.id: finding for finding in result.findings}
        self.anchors = {finding.id: f"f{i}" for i, finding in enumerate(result.findings, 1)}
        self.causes = result.causes
        self.waived_causes = [one for one in result.findings if one.caused_by is None and one.waived]
        self.numbers = {finding.id: i for i, finding in enumerate(self.causes, 1)}
        self.first_shown: dict[tuple[str, str], int] = {}
        """Rule and remedy → the number of the first cause that shows them."""
        for i, finding in enumerate(self.causes, 1):
            self.first_shown.setdefault((finding.rule, finding.remedy), i)
        names = {network.network for network in result.networks}
        tags = {tag for finding in result.findings for tag in (finding.node or "", *finding.others)}
        tags |= {device.tag for device in result.devices or ()}  # a slip may name any device of the plan
        self.said = Isolating(names | tags).said
        """A sentence → the same with its right-to-left names set apart."""
        self.of_network = result.findings_in
        live = [finding for finding in result.findings if finding.waived is None]
        self.of_device = grouped(((finding.network, finding.node), finding) for finding in live)
        self.named = {
            (finding.network, finding.node, setting)
            for finding in live
            if finding.level != "note"
            for setting in finding.settings
        }
        """Which settings of which devices errors and warnings name."""
        unexplained = {finding.rule for finding in result.findings} - {rule for rule, _ in self.first_shown}
        self.other_rules: list[RuleUsed] = [rule for rule in result.rules if rule.id in unexplained]

    def cause(self, finding: Finding) -> str:
        """Return the number of a finding's cause in the list of causes."""
        if finding.id in self.numbers:
            return str(self.numbers[finding.id])
        if finding.caused_by in self.numbers:
            return f"under {self.numbers[finding.caused_by]}"
        return "waived" if finding.waived else ""

    def dependents(self, finding: Finding) -> list[Finding]:
        """Return the findings that follow from a cause."""
        return [self.by_id[name] for name in finding.dependents if name in self.by_id]


class _Network:
    """A network, and what is drawn for it."""

    def __init__(
        self, counts: NetworkCounts, devices: Sequence[DeviceDetail], findings: _Findings, *, whole: bool
    ) -> None:
        self.counts = counts
        self.devices = devices
        self.findings = findings.of_network[counts.network]
        self._all = findings
        self._whole = whole

    @property
    def map(self) -> dict[str, object]:
        """The star network: its drawing, its gateway, and state → tags of the nodes in it."""
        nodes = [device for device in self.devices if not device.gateway]
        return {
            "drawing": draw(nodes),
            "gateway": next((device for device in self.devices if device.gateway), None),
            "gateway_text": short(self.counts.gateway, 8),
            "tags": {state: [node.tag for node in nodes if node.state == state] for state in SIGNS},
        }

    @property
    def matrix(self) -> matrix.Matrix:
        """Its devices by their settings."""
        return matrix.matrix(self.devices, self._all.named, whole=self._whole)

    @property
    def strips(self) -> tuple[list[Strip], int]:
        """The alarms of its nodes, and how many strips with nothing to report are left out."""
        everything = [strip for device in self.devices for strip in strips(device, self._all.words)]
        shown = [s for s in everything if self._whole or (s.unlike and s.device.state != "not read")]
        return shown, len(everything) - len(shown)

    def title(self, device: DeviceDetail) -> str:
        """Return in words what a mark on the map shows."""
        return ". ".join(self._title(device))

    def _title(self, device: DeviceDetail) -> Iterator[str]:
        yield ", ".join(filter(None, (device.tag, device.location, device.type)))
        yield self._all.words.alike if device.state == "as planned" else device.state
        messages = [finding.message for finding in self._all.of_device[device.network, device.tag]]
        yield from messages[:3]
        if len(messages) > 3:
            yield f"and {len(messages) - 3} more"
