"""Invented results of any size that list every device, for reports that draw them."""

from __future__ import annotations

import math
import random
from collections import Counter
from functools import cache

from audit.model.counts import Counts, NetworkCounts
from audit.model.detail import DeviceDetail, SettingDetail
from audit.model.result import EvidencePlace, Finding, NotChecked, Result
from audit.model.used import Gate, InputFile, Pack, RuleUsed, SiteName, Tool

WHY, REMEDY = "It is not what was agreed.", "Set it as planned, re-read and record."
RULES = {
    "channel": "channel-differs",
    "address": "address-differs",
    "range_high": "range-differs",
    "low_alarm": "alarm-off-plan",
    "high_alarm": "alarm-off-plan",
    "deadband": "alarm-off-plan",
    "firmware": "firmware-off-list",
}
"""Setting → the rule that reports it; other settings: `setting-differs`."""
SETTINGS: dict[str, tuple[str | None, str | None, str]] = {
    "channel": ("channel", None, "7"),
    "air_rate": ("air_rate", "kbit/s", "50"),
    "network_id": ("network_id", None, "1A07"),
    "address": ("address", None, "?"),
    "report_interval": ("report_interval", "s", "300"),
    "encryption": ("encryption", None, "on"),
    "loss_action": ("loss_action", None, "alarm"),
    "menu_lock": ("local_lock", None, "on"),
    "service_port": ("service_port", None, "off"),
    "firmware": ("firmware", None, "2.4.1"),
    "unit": ("unit", None, "kPa"),
    "range_low": ("range_low", "kPa", "0"),
    "range_high": ("range_high", "kPa", "1000"),
    "low_low_alarm": ("alarm_low_low", "kPa", "140"),
    "low_alarm": ("alarm_low", "kPa", "280"),
    "high_alarm": ("alarm_high", "kPa", "780"),
    "high_high_alarm": ("alarm_high_high", "kPa", "900"),
    "deadband": ("deadband", "kPa", "15"),
    "damping": (None, "s", "0.50"),
    "contrast": (None, None, "40"),
}
"""Name → role, unit and planned value."""


def detailed(
    nodes: int, networks: int = 1, *, faulty: float = 0.05, unread: float = 0.02, positions: bool = False,
    seed: int = 3,
) -> Result:  # fmt: skip
    """Return a result: nodes distributed over networks, some of them with one fault, some not read."""
    chance = random.Random(seed)
    devices: list[DeviceDetail] = []
    for n in range(networks):
        name = f"Area {n + 1}" if networks > 1 else "Area"
        devices.append(gateway(name, n))
        first, last = nodes * n // networks, nodes * (n + 1) // networks
        devices += [
            node(name, k + 1, k - first + 1, chance, faulty, unread, positions) for k in range(first, last)
        ]
    return result_with(devices)


def gateway(network: str, number: int) -> DeviceDetail:
    """Return a gateway as planned."""
    return DeviceDetail(
        network=network, tag=f"GW-{number + 1}", serial=f"7701{number:02d}", location="Mast", type="gateway",
        gateway=True, east_m=0.0, north_m=0.0, state="as planned",
        settings=[setting(name, SETTINGS[name][2]) for name in ("channel", "air_rate", "network_id")],
    )  # fmt: skip


def node(
    network: str, number: int, address: int, chance: random.Random, faulty: float, unread: float,
    positions: bool,
) -> DeviceDetail:  # fmt: skip
    """Return a node, at random with one fault or not read."""
    planned = {name: value if value != "?" else str(address) for name, (_, _, value) in SETTINGS.items()}
    found: dict[str, str | None] = dict(planned)
    lot = chance.random()
    if lot < faulty:
        name = chance.choice(list(planned))
        found[name] = {"encryption": "off", "unit": "bar", "range_high": "232"}.get(name, f"{address % 9}1")
    elif lot < faulty + unread:
        found = dict.fromkeys(planned)
    elif lot < faulty + 2 * unread:
        found["firmware"] = None
    settings = [setting(name, planned[name], found[name]) for name in planned]
    differs = any(one.state == "differs" for one in settings)
    turn, distance = chance.random() * 2 * math.pi, 60 + 900 * chance.random() ** 0.7
    return DeviceDetail(
        network=network, tag=f"PT-{number:03d}", serial=f"41{number:05d}", location=f"Chamber {number}",
        type="zone-pressure", gateway=False,
        east_m=round(distance * math.sin(turn), 1) if positions else None,
        north_m=round(distance * math.cos(turn), 1) if positions else None,
        state="not read" if not any(found.values()) else "differs" if differs else "as planned",
        settings=settings,
    )  # fmt: skip


@cache
def setting(name: str, planned: str | None, found: str | None = "as planned") -> SettingDetail:
    """Return a setting of the list above, found as planned unless another value is given.

    Most nodes have most settings alike, and these cannot be altered, so each is made once.
    """
    role, unit, _ = SETTINGS[name]
    found = planned if found == "as planned" else found
    state = "not read" if found is None else "as planned" if found == planned else "differs"
    return SettingDetail(
        name=name, label=name.upper(), role=role, input="main", unit=unit,
        planned=_shown(planned, unit), found=_shown(found, unit),
        planned_number=_number(planned), found_number=_number(found),
        state=state if planned is not None else "not planned",
    )  # fmt: skip


def _shown(value: str | None, unit: str | None) -> str | None:
    return f"{value} {unit}" if value and unit else value


def _number(value: str | None) -> float | None:
    try:
        return float(value or "")
    except ValueError:
        return None


def result_with(devices: list[DeviceDetail], findings: list[Finding] | None = None) -> Result:
    """Return the result that these devices give: a finding for each difference and each device not read."""
    if findings is None:
        findings = [f for device in devices for f in findings_of(device)]
    levels = Counter(finding.level for finding in findings)
    networks = [network_counts(name, devices, findings) for name in dict.fromkeys(d.network for d in devices)]
    return Result(
        schema_="asfound/result/1", verdict="fail" if levels["error"] else "pass",
        counts=Counts(
            networks=len(networks), devices=len(devices),
            devices_read=sum(d.state != "not read" for d in devices),
            verified=sum(n.verified for n in networks), differing=sum(n.differing for n in networks),
            not_read=sum(n.not_read for n in networks),
            errors=levels["error"], warnings=levels["warning"], notes=levels["note"], waived=0,
            root_causes=len(findings),
        ),
        site=SiteName(name="Invented fleet", plan_revision="B"),
        gate=Gate(id="handover", title="Quality gate before handover", fail_on="error"),
        run_on="2026-04-20", tool=Tool(name="asfound", version="0.1.0"), networks=networks,
        findings=findings,
        not_checked=[NotChecked(rule="alarm-disabled", reason="no device type has a setting for it")],
        inputs=[
            InputFile(file="plan.yaml", kind="plan", sha256="ab" * 32, note=None),
            InputFile(file="found.csv", kind="readback", sha256=None, note="it carries access codes"),
        ],
        packs=[Pack(pack="joining", version="1", sha256="cd" * 32, rules=9)],
        cautions=["This result compares settings. Local codes, permits and licensed people prevail."],
        rules=[
            RuleUsed(id=rule, title=rule.replace("-", " "), level="error", why=WHY, remedy=REMEDY,
                     source="common practice")
            for rule in sorted({*RULES.values(), "setting-differs", "node-not-read"})
        ],
        waivers=[], since=None, devices=devices,
    )  # fmt: skip


def network_counts(name: str, devices: list[DeviceDetail], findings: list[Finding]) -> NetworkCounts:
    """Return the counts of one network."""
    own = [device for device in devices if device.network == name]
    states = Counter(one.state for device in own for one in device.settings)
    levels = Counter(finding.level for finding in findings if finding.network == name)
    return NetworkCounts(
        network=name, gateway=next(d.tag for d in own if d.gateway), devices=len(own),
        devices_read=sum(d.state != "not read" for d in own), verified=states["as planned"],
        differing=states["differs"], not_read=states["not read"], errors=levels["error"],
        warnings=levels["warning"], notes=levels["note"], waived=0,
    )  # fmt: skip


def findings_of(device: DeviceDetail) -> list[Finding]:
    """Return the findings about a device."""
    if device.state == "not read":
        return [finding_on(device, "node-not-read", None, "the node is planned, but is in no readback")]
    return [
        finding_on(device, RULES.get(one.name, "setting-differs"), one,
                   f"{one.name} is {one.found}, planned {one.planned}")
        for one in device.settings if one.state == "differs"
    ]  # fmt: skip


def finding_on(device: DeviceDetail, rule: str, one: SettingDetail | None, message: str) -> Finding:
    """Return one finding about a device."""
    name = one.name if one else None
    place = EvidencePlace(
        file="site/as-found/found.csv", sheet=None, row=1 + len(device.tag), column="G",
        heading=name or "tag", raw=one.found if one else device.tag,
    )  # fmt: skip
    return Finding(
        id="/".join(filter(None, (rule, device.network, device.tag, name))), rule=rule, level="error",
        network=device.network, node=device.tag, serial=device.serial, location=device.location,
        setting=name, settings=[name] if name else [], planned=one.planned if one else None,
        found=one.found if one else None, raw=one.found if one else None, evidence=[place, place],
        others=[], message=message, why=WHY, remedy=REMEDY, source="common practice", caused_by=None,
        dependents=[], waived=None, since=None,
    )  # fmt: skip


NOT_TEXTS = ("schema", "verdict", "level", "fail_on", "state", "sha256", "run_on", "role", "input", "since")
"""Parts of a result whose text no file of a site can determine."""


def with_text(result: Result, text: str) -> Result:
    """Return a result with a text in front of everything whose text a file of the site can determine."""

    def put(value: object, name: str = "") -> object:
        if isinstance(value, dict):
            return {key: part if key in NOT_TEXTS else put(part, key) for key, part in value.items()}
        if isinstance(value, list):
            return [put(part, name) for part in value]
        return text + value if isinstance(value, str) else value

    return Result.model_validate(put(result.model_dump(by_alias=True)))
