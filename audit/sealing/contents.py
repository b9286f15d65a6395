"""Sealing: a run becomes a baseline, a record of what was read and who signed for it."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from audit.errors import Problem, stop, stop_if
from audit.model.baseline import (
    UNPLANNED,
    BaselineFile,
    Content,
    OpenFinding,
    SealedDevice,
    SealedGate,
    SealedInput,
    SealedLowered,
    SealedNetwork,
    SealedPack,
    SealedSample,
    SealedSite,
    SealedTool,
    SealedWaiver,
)
from audit.model.device import DeviceType, Setting
from audit.model.finding_names import under_serial
from audit.model.result import Result
from audit.model.site import Block, Site
from audit.pairing.identifying import is_another
from audit.reading.baselines import ReadBaseline
from audit.reading.gateway_names import gateway_names, network_meant
from audit.reading.identifiers import spelling
from audit.reading.quoting import quoted
from audit.reading.site_names import check_site
from audit.run import Done
from audit.sealing.canonical import canonical, digest, laid_out, parts_of
from audit.sealing.devices import sealed_device
from audit.sealing.signing import sign
from audit.texts import field_of, serial_of, tag_of, texts_of

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey


def content_of(done: Done, signed_by: str, previous: ReadBaseline | None) -> Content:
    """Return what is sealed of a run. Raises InputProblems if it cannot be a baseline."""
    result, site = done.result, done.site
    _check_chain(result, previous)
    _check_tags(site)
    before = previous.baseline.content if previous else None
    return Content(
        site=SealedSite(
            name=result.site.name,
            plan_revision=result.site.plan_revision or "",
            formerly=tuple(result.site.formerly),
        ),
        sealed_on=datetime.date.fromisoformat(result.run_on),
        signed_by=signed_by,
        verdict=result.verdict,
        gate=_gate(result),
        counts=result.counts.model_dump(),
        tool=SealedTool(**result.tool.model_dump()),
        packs=tuple(SealedPack(**pack.model_dump()) for pack in result.packs),
        inputs=tuple(SealedInput(**file.model_dump(exclude_none=True)) for file in result.inputs),
        waivers=tuple(_waivers(result)),
        findings=tuple(_findings(result, _open_since(before, site) if before else {})),
        networks=tuple(SealedNetwork(name=n.name, gateway=n.gateway.tag) for n in site.plan.networks),
        device_types=tuple(
            _type(kind) for kind in {block.type.name: block.type for block in site.blocks}.values()
        ),
        devices=_devices(done),
        sample=_sample(result),
        previous=previous.baseline.sha256 if previous else None,
    )


def sealed(content: Content, key: Ed25519PrivateKey | None = None) -> tuple[str, BaselineFile]:
    """Return the text of a baseline with its digest, signed if there is a key; and its model."""
    values = content.model_dump(mode="json", exclude_defaults=True)
    sha256 = digest(canonical(values))
    file: dict[str, Any] = {
        "asfound": "baseline/1",
        "content": values,
        "parts": parts_of(values),
        "sha256": sha256,
    }
    signature = sign(sha256, key) if key else None
    if signature:
        file["signature"] = signature.model_dump()
    made = BaselineFile(asfound="baseline/1", content=content, parts=file["parts"], sha256=sha256,
                        signature=signature)  # fmt: skip
    return laid_out(file), made


def _check_chain(result: Result, previous: ReadBaseline | None) -> None:
    """Raise InputProblems if the given baseline cannot come before this one."""
    if previous is None:
        return
    before = previous.baseline.content
    check_site("baseline", before.site.name, result.site.names, previous.name)
    if before.sealed_on.isoformat() > result.run_on:
        message = f"was sealed on {before.sealed_on}, after {result.run_on}, the date of this run"
        raise stop(message, "give the baseline before this one, or correct --on", file=previous.name)


def _check_tags(site: Site) -> None:
    """Raise InputProblems if two devices of a network have the same tag, which then identifies neither."""
    seen: set[tuple[str, str]] = set()
    problems: list[Problem] = []
    for block in site.blocks:
        for i, key in enumerate(zip(block.networks, block.tags, strict=True)):
            if key in seen:
                message = (
                    f"the tag {quoted(key[1])} is in {quoted(key[0])} twice, so a baseline cannot hold both"
                )
                problems.append(
                    block.planned_place(i, "tag").problem(message, "give one of them another tag in the plan")
                )
            seen.add(key)
    stop_if(problems)


def _gate(result: Result) -> SealedGate:
    gate = result.gate
    softer = tuple(SealedLowered(**one.model_dump()) for one in gate.lowered)
    return SealedGate(id=gate.id, title=gate.title, fail_on=gate.fail_on, lowered=softer)


def _waivers(result: Result) -> Iterator[SealedWaiver]:
    for waiver in result.waivers:
        yield SealedWaiver(
            id=waiver.id,
            rule=waiver.rule,
            node=waiver.node,
            setting=waiver.setting or "",
            value=waiver.value or "",
            owner=waiver.owner,
            approver=waiver.approver,
            expires=datetime.date.fromisoformat(waiver.expires),
            state=waiver.state,
        )


def _sample(result: Result) -> SealedSample | None:
    """Return what a baseline says about the sample that it was made from."""
    used = result.sample
    if used is None:
        return None
    unknown = sum(len(network.not_sampled) for network in used.networks)
    return SealedSample(terms=used.terms, seed=used.seed, decision=used.verdict.decision, not_sampled=unknown)


def _open_since(before: Content, site: Site) -> dict[str, datetime.date]:
    """Return since when each finding of the baseline before has been open, by its id, which holds its names.

    If the plan no longer has a device of these names, by its serial number too, provided that this identifies
    one device then and now: a new name ends no finding.
    """
    since = {finding.id: finding.since for finding in before.findings}
    named = {pair for block in site.blocks for pair in zip(block.networks, block.tags, strict=True)}
    then = Counter(device.serial for its in before.devices.values() for device in its.values())
    now = Counter(serial for block in site.blocks for serial in block.serials)
    for finding in before.findings:
        device = before.devices.get(finding.network, {}).get(finding.node)
        if device and (finding.network, finding.node) not in named:
            for serial in filter(None, (device.serial, device.planned_serial)):
                if then[serial] < 2 > now[serial]:
                    about = under_serial(finding.id, (finding.network, finding.node), serial)
                    since.setdefault(about, finding.since)
    return since


def _findings(result: Result, since: Mapping[str, datetime.date]) -> Iterator[OpenFinding]:
    """Yield the findings; one that was in the baseline before has been open since then."""
    today = datetime.date.fromisoformat(result.run_on)
    for finding in sorted(result.findings, key=lambda finding: finding.id):
        network, node = finding.network or "", finding.node or ""
        about = under_serial(finding.id, (network, node), finding.serial or "")
        yield OpenFinding(
            id=finding.id,
            rule=finding.rule,
            level=finding.level,
            network=network,
            node=node,
            serial=finding.serial or "" if finding.rule == UNPLANNED else "",
            settings=tuple(finding.settings),
            since=since.get(finding.id) or since.get(about, today),
            waived=finding.waived.waiver if finding.waived else "",
        )


def _type(kind: DeviceType) -> DeviceType:
    """Return a device type with what is needed to read values: no factory codes, no files to include."""
    settings = tuple(_setting(setting) for setting in kind.settings)
    return kind.model_copy(update={"settings": settings, "include": (), "sensors": {}})


def _setting(setting: Setting) -> Setting:
    default = None if setting.kind == "secret" or setting.default is None else str(setting.default)
    return setting.model_copy(update={"default": default})


def _devices(done: Done) -> dict[str, dict[str, SealedDevice]]:
    devices: dict[str, dict[str, SealedDevice]] = {network.name: {} for network in done.site.plan.networks}
    called = gateway_names(done.site.plan.networks)
    for b, block in enumerate(done.site.blocks):
        found, planned = (texts_of(block, side) for side in ("found", "planned"))
        unlike = {name: {*d.differing, *d.unread} for (k, name), d in done.differences.items() if k == b}
        for i, rows in enumerate(block.rows):
            names = [name for name in planned if not rows or i in unlike.get(name, ())]
            planned_too = {name: planned[name][i] for name in names if planned[name][i]}
            device = sealed_device(block, i, found, planned_too)
            devices[block.networks[i]][block.tags[i]] = device.model_copy(
                update=_read_names(block, i, called)
            )
    return devices


def _read_names(block: Block, i: int, called: Mapping[str, str]) -> dict[str, str]:
    """Return the names and type of a device that were not read as planned: next year they are not drift.

    `called` holds the names of the gateways, by which a network may be named.
    """
    tag, network = tag_of(block, i), network_meant(field_of(block, i, "network"), called)
    kind = field_of(block, i, "type")
    return {
        "planned_serial": block.serials[i] if is_another(serial_of(block, i), block.serials[i]) else "",
        "read_tag": tag if is_another(tag, block.tags[i]) else "",
        "read_network": "" if spelling(network) == spelling(block.networks[i]) else network,
        "read_type": "" if not kind or block.type.is_called(kind) else kind,
    }
