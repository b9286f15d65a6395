"""Looked again: which findings of an earlier result of a site a later result did not look at."""

from __future__ import annotations

from audit.judging.since import (
    NOT_READ,
    READINGS,
    idle_rules,
    rested_on,
    rests_on_readings,
    rules_behind,
    shared_serials,
)
from audit.model.result import Finding, Result


def not_looked_at(earlier: Result, later: Result) -> set[str]:
    """Return the ids of findings that the later result does not have and did not look for.

    From the results alone: by the devices and settings that the later one reports as not read or not sampled,
    and by the rules that it names as not checked.
    """
    now = {finding.id for finding in later.findings}
    readings = {given.file for given in earlier.inputs if given.kind in READINGS}
    unread, idle = _Unread(later), idle_rules(later)
    return {
        finding.id
        for finding in earlier.findings
        if finding.id not in now
        and (
            rules_behind(finding) & idle
            or (rests_on_readings(finding, readings) and unread.concerns(finding))
        )
    }


class _Unread:
    """What a result reports as not read."""

    def __init__(self, result: Result) -> None:
        unread = [finding for finding in result.findings if finding.rule in NOT_READ and finding.node]
        self.devices = {
            (f.network, f.node)
            for f in unread
            if f.rule in ("node-not-read", "gateway-not-read", "node-gone")
        }
        self.devices |= {(network, tag) for network, tags in result.not_sampled for tag in tags}
        self.settings = {(f.network, f.node, name) for f in unread for name in f.settings}
        self.tags = {tag for _, tag in self.devices}
        shared = shared_serials(result)
        by_serial = [finding for finding in unread if finding.serial and finding.serial not in shared]
        self.serials = {f.serial for f in by_serial if (f.network, f.node) in self.devices}
        self.settings_of = {(f.serial, name) for f in by_serial for name in f.settings}
        self.networks = {n.network for n in result.networks if not n.devices_read}
        self.in_part = {n.network for n in result.networks if n.devices_read < n.devices}

    def concerns(self, finding: Finding) -> bool:
        """Tell whether something that a finding is about was not read."""
        network, node, settings = finding.network, finding.node, rested_on(finding)
        if network in self.networks or (network, node) in self.devices:
            return True
        if finding.serial and (
            finding.serial in self.serials
            or any((finding.serial, name) in self.settings_of for name in settings)
        ):  # it has another name now
            return True
        if any((network, tag, name) in self.settings
               for tag in (node, *finding.others) for name in settings):  # fmt: skip
            return True
        if not self.tags.isdisjoint(finding.others):
            return True
        if network and (node or finding.others):
            return False
        return network in self.in_part if network else bool(self.in_part)
