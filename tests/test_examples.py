"""The examples have the faults that examples/README.md lists, and no others."""

from __future__ import annotations

import pytest

from audit.model.result import Result
from audit.run import Order
from tests.the_examples import EXAMPLES, audit

Fault = tuple[str, str, str | None]
"""Rule, node (or network) and setting of a finding."""

CAUSES: dict[str, set[Fault]] = {
    "merrow-vale": {
        ("channel-differs", "PT-63", "channel"),
        ("address-differs", "LT-38", "address"),
        ("alarm-off-plan", "PT-41", "low_alarm"),
        ("pulse-weight-differs", "FQ-46", "pulse_weight"),
        ("address-differs", "PT-68", "address"),
        ("default-code-accepted", "PT-34", "default_refused"),
        ("default-code-accepted", "PT-72", "default_refused"),
        ("default-code-accepted", "PT-86", "default_refused"),
        ("alarm-off-plan", "PT-66", "high_alarm"),
        ("node-not-read", "PT-44", None),
        ("filled-as-series", "Lower", "channel"),
    },
    "tarnbeck": {
        ("address-pair-swapped", "PT-103", "address"),
        ("alarm-off-plan", "LT-102", "high_high_alarm"),
        ("range-differs", "PT-105", "range_high"),
        ("alarm-disabled", "AT-110", "alarms_on"),
        ("report-interval-differs", "PZ-109", "report_interval"),
        ("weak-link-margin", "AT-111", "rssi"),
        ("serial-damaged", "PZ-108", None),
        ("self-checked", "Pit", None),
    },
    "ostervik": {
        ("alarm-off-plan", "TS-17", "high_alarm"),
        ("joined-wrong-gateway", "TS-58", "joined_gateway"),
        ("tag-became-date", "3-4", None),
        ("alarm-off-plan", "PD-78", "low_alarm"),
        ("unit-differs", "TS-132", "unit"),
        ("air-rate-differs", "TR-139", "air_rate"),
        ("register-differs", "8-3", "host_register"),
        ("firmware-off-list", "TR-24", "firmware"),
        ("firmware-off-list", "PD-54", "firmware"),
        ("firmware-off-list", "GW-37", "firmware"),
    },
    "pellmoor": {
        ("host-scale-differs", "LT-21", "host_high"),
        ("alarm-off-plan", "LT-23", "high_alarm"),
        ("alarm-off-plan", "LT-25", "high_high_alarm"),
        ("loss-action-differs", "LT-27", "loss_action"),
        ("service-port-on", "TT-24", "service_port"),
        ("address-differs", "PT-52", "address"),
        ("address-differs", "PT-55", "address"),
        ("address-differs", "TT-58", "address"),
        ("range-differs", "PT-53", "range_low"),
        ("battery-type-wrong", "PT-54", "battery_type"),
        ("readback-looks-copied", "Spirit store", None),
    },
    "sallow-creek": {
        ("same-on-many-nodes", "Headworks", "host_timeout"),
        ("range-differs", "LT-203", "range_high"),
        ("address-differs", "AT-212", "address"),
        ("gateway-off-plan", "GW-3", "channel"),
        ("range-differs", "FT-407", "range_high"),
        ("node-not-read", "LT-414", None),
        ("address-differs", "LT-504", "address"),
        ("address-differs", "FT-508", "address"),
        ("address-differs", "AT-509", "address"),
        ("silent-node", "AT-516", "last_heard"),
        ("weak-link-margin", "AT-516", "rssi"),
        ("tag-serial-mismatch", "ZT-519", None),
        ("unplanned-node", "599001", None),
    },
}
HEADWORKS = (
    "LT-101", "ZT-102", "FT-103", "LT-104", "AT-105", "ZT-106", "LT-107", "FT-108", "LT-109", "ZT-110",
    "LT-111",
)  # fmt: skip
ALDER_CUT = ("LT-301", "ZT-302", "FT-303", "LT-304", "ZT-305", "AT-306", "LT-307")
DEPENDENTS: dict[str, set[Fault]] = {
    "merrow-vale": {
        ("address-out-of-block", "LT-38", "address"),
        ("address-duplicate", "PT-68", "address"),
        ("alarm-order-wrong", "PT-66", "low_alarm"),
        ("channel-differs", "PT-82", "channel"),
        ("channel-differs", "PT-83", "channel"),
    },
    "tarnbeck": {
        ("address-differs", "PT-103", "address"),
        ("address-differs", "PT-104", "address"),
        ("alarm-order-wrong", "LT-102", "high_alarm"),
        ("battery-life-short", "PZ-109", "report_interval"),
    },
    "ostervik": {
        ("alarm-outside-range", "TS-17", "high_alarm"),
        ("channel-differs", "TS-58", "channel"),
        ("network-id-differs", "TS-58", "network_id"),
        ("register-overlap", "8-3", "host_register"),
        ("not-joined", "TR-139", "joined_gateway"),
    },
    "pellmoor": {
        ("alarm-outside-range", "LT-25", "high_high_alarm"),
        ("alarm-outside-range", "PT-53", "low_alarm"),
    },
    "sallow-creek": {
        *(("host-map-differs", tag, "host_timeout") for tag in HEADWORKS),
        *(("host-timeout-short", tag, "host_timeout") for tag in HEADWORKS),
        ("range-beyond-sensor", "LT-203", "range_high"),
        ("host-scale-differs", "LT-203", "host_high"),
        ("address-out-of-block", "AT-212", "address"),
        ("address-left-default", "AT-212", "address"),
        ("not-joined", "AT-212", "joined_gateway"),
        *(("channel-differs", tag, "channel") for tag in ALDER_CUT),
        *(("silent-node", tag, "last_heard") for tag in ALDER_CUT),
        ("host-scale-differs", "FT-407", "host_high"),
        ("tag-duplicate", "ZT-519", None),
    },
}
SIZES = {
    "merrow-vale": (3, 52), "tarnbeck": (1, 13), "ostervik": (4, 94), "pellmoor": (2, 23),
    "sallow-creek": (5, 84),
}  # fmt: skip
"""Number of networks, and of devices, gateways included."""

everywhere = pytest.mark.parametrize("example", list(CAUSES))


def faults(result: Result, *, causes: bool) -> list[Fault]:
    """Return the findings that are causes, or those that are not."""
    return [
        (finding.rule, finding.node or finding.network or "", finding.setting)
        for finding in result.findings
        if (finding.caused_by is None) == causes
    ]


@everywhere
def test_as_found_has_the_seeded_faults_and_no_others(example: str) -> None:
    """Each seeded fault is found once as a cause, with its symptoms under it, and nothing else is found."""
    result = audit(example, "as-found")

    causes, dependents = faults(result, causes=True), faults(result, causes=False)
    assert set(causes) == CAUSES[example]
    assert len(causes) == len(CAUSES[example])
    assert set(dependents) == DEPENDENTS[example]
    assert len(dependents) == len(DEPENDENTS[example])
    assert result.verdict == "fail"


@everywhere
def test_as_left_passes_without_a_finding(example: str) -> None:
    """After correction every planned setting is read as planned, and nothing is reported."""
    result = audit(example, "as-left")

    assert result.findings == []
    assert result.verdict == "pass"
    assert (result.counts.differing, result.counts.not_read) == (0, 0)


@everywhere
def test_the_plan_alone_passes(example: str) -> None:
    """The plans of the examples have no findings of their own."""
    result = audit(example)

    assert result.findings == []
    assert result.counts.devices_read == 0


@everywhere
def test_the_examples_are_of_full_size(example: str) -> None:
    """The sites have the networks and devices that their scenario names."""
    counts = audit(example).counts

    assert (counts.networks, counts.devices) == SIZES[example]


def test_the_annual_gate_passes_what_was_left() -> None:
    """A site that was handed over in order passes its first annual audit as well."""
    assert audit("tarnbeck", "as-left", gate="annual").verdict == "pass"


def test_a_gate_of_the_sites_own_is_accepted() -> None:
    """A gate from the site rules that the plan names can be chosen."""
    result = audit("tarnbeck", "as-found", gate="start-up")

    assert result.gate.title == "Before the pumps start"


def test_evidence_quotes_row_and_raw_text() -> None:
    """A finding from a workbook names sheet, row, column letter, heading and the text of the cell."""
    result = audit("merrow-vale", "as-found")
    finding = next(f for f in result.findings if f.node == "PT-63")
    place = finding.evidence[0]

    assert (place.sheet, place.row, place.column, place.heading, place.raw) == (
        "Readback",
        6,
        "C",
        "Channel",
        "22",
    )
    assert place.file.endswith("as-found/middle.xlsx")


def test_a_conversion_of_units_is_shown_and_counts_as_read() -> None:
    """Gauges read in bar agree with a plan in kPa."""
    result = audit("merrow-vale", "as-left")

    lower = next(n for n in result.networks if n.network == "Lower")
    assert lower.differing == 0


def test_the_ring_of_addresses_avoids_the_stray_node_and_one_gateway_is_retuned() -> None:
    """The ring goes through 190, since the test node is at 189; one gateway is retuned, not its nodes."""
    from audit.run import audited
    from audit.worklist.making import Choices, make

    folder = EXAMPLES / "sallow-creek"
    order = Order(folder / "plan.yaml", [folder / "as-found"], run_on="2026-07-15")
    work = make(audited(order), Choices()).list
    moved = [
        (step.tag, change.before, change.after) for step in work.steps for change in step.changes
        if change.setting in ("address", "channel")
    ]  # fmt: skip

    assert moved == [
        ("GW-3", "14", "13"),
        ("AT-212", "0001", "172"),
        ("AT-509", "164", "190"),
        ("LT-504", "168", "164"),
        ("FT-508", "169", "168"),
        ("AT-509", "190", "169"),
    ]
    assert work.held_back == []
