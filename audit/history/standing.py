"""How long findings stayed open, from the first baseline that has them to the first that no longer does."""

from __future__ import annotations

import datetime
from collections.abc import Container, Sequence
from itertools import chain

from audit.history.courses import DeviceCourse
from audit.model.baseline import Content, OpenFinding, SealedDevice
from audit.model.finding_names import under_names
from audit.model.history import Standing


def standing(contents: Sequence[Content]) -> list[Standing]:
    """Return each period in which a finding was open: those still open first, the longest first.

    A finding that went and came back is listed twice. A baseline for which its subject was not read does not
    end it.
    """
    periods: list[Standing] = []
    by_id = [{finding.id: finding for finding in content.findings} for content in contents]
    for name in dict.fromkeys(chain.from_iterable(by_id)):
        begun: datetime.date | None = None
        last: OpenFinding | None = None
        unread: list[str] = []
        for content, findings in zip(contents, by_id, strict=True):
            finding = findings.get(name)
            if finding is not None:
                begun, last = begun or finding.since, finding
            elif begun is not None and last is not None:
                if not _looked_at(last, content):
                    unread.append(content.sealed_on.isoformat())
                    continue
                periods.append(_standing(last, begun, content.sealed_on, unread, gone=True))
                begun, last, unread = None, None, []
        if begun is not None and last is not None:
            periods.append(_standing(last, begun, contents[-1].sealed_on, unread, gone=False))
    return sorted(periods, key=lambda one: (one.gone_by is not None, -one.days))


def under_last_names(contents: Sequence[Content], devices: Sequence[DeviceCourse]) -> list[Content]:
    """Return baselines with each device under its last network and tag: a new name ends no finding.

    A finding about a network is put under the new name of its gateway's network, if none has the old name.
    """
    still = contents[-1].devices if contents else {}
    return [_renamed(content, at, devices, still) for at, content in enumerate(contents)]


def _renamed(content: Content, at: int, devices: Sequence[DeviceCourse], still: Container[str]) -> Content:
    others = [(device.name(at), device) for device in devices if device.sealed[at]]
    last = {name: (one.network, one.tag) for name, one in others if name != (one.network, one.tag)}
    last |= {(name[0], ""): (one.network, "") for name, one in others if one.gateway and name[0] not in still}
    if not last:
        return content
    placed: dict[str, dict[str, SealedDevice]] = {}
    for network, its in content.devices.items():
        for tag, device in its.items():
            now = last.get((network, tag), (network, tag))
            placed.setdefault(now[0], {})[now[1]] = device
    findings = tuple(
        _named(finding, last.get((finding.network, finding.node))) for finding in content.findings
    )
    return content.model_copy(update={"devices": placed, "findings": findings})


def _named(finding: OpenFinding, name: tuple[str, str] | None) -> OpenFinding:
    """Return a finding with another network and tag, if given; its id is made of them."""
    if name is None:
        return finding
    own = under_names(finding.id, (finding.network, finding.node), name)
    return finding.model_copy(update={"id": own, "network": name[0], "node": name[1]})


def _looked_at(finding: OpenFinding, content: Content) -> bool:
    """Tell whether a baseline without a finding could have had it: whether what it is about was read."""
    if finding.rule.startswith("waiver-"):  # about a waiver, which no reading shows
        return True
    of_network = {name: its for name, its in content.devices.items() if finding.network in ("", name)}
    named = [its[finding.node] for its in of_network.values() if finding.node in its]
    if named:
        return all(_was_read(device, finding.settings, content) for device in named)
    return not of_network or any(device.settings for its in of_network.values() for device in its.values())


def _was_read(device: SealedDevice, settings: Sequence[str], content: Content) -> bool:
    """Tell whether a device was read, and those of its settings here that a baseline can hold."""
    kind = next(kind for kind in content.device_types if kind.name == device.type)
    held = [setting.name for setting in kind.settings if setting.kind != "secret"]
    return bool(device.settings) and all(name in device.settings for name in settings if name in held)


def _standing(
    finding: OpenFinding, begun: datetime.date, until: datetime.date, unread: list[str], *, gone: bool
) -> Standing:
    return Standing(
        rule=finding.rule,
        level=finding.level,
        network=finding.network or None,
        node=finding.node or None,
        settings=list(finding.settings),
        since=begun.isoformat(),
        gone_by=until.isoformat() if gone else None,
        days=(until - begun).days,
        waived=finding.waived or None,
        not_read=unread,
    )
