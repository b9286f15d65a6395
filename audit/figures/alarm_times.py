"""Alarms: the longest time from an event in the process to its alarm at the host."""

from __future__ import annotations

from audit.engineering.alarms import AlarmPath, steps_s, worst_case_s
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.reports import REPORTING, report_lacks, report_of
from audit.figures.surroundings import Device, Surroundings, has_column
from audit.model.roles import SETPOINTS
from audit.model.site import Block
from audit.phrases import rounded

TIME = "an allowed response time"
SETPOINT = "a planned alarm setpoint"
"""What a node lacks that the time allowed in its network could be for."""


def lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for comparing their alarm time with the time allowed."""
    plan = around.site.plan
    shared = any(a and a.response_time_s for a in (plan.alarms, *(n.alarms for n in plan.networks)))
    if not any(block.response_times):
        if not shared:
            return TIME
        if not has_column(block, "planned", *SETPOINTS):
            return SETPOINT
    return report_lacks(around, block, side)


def alarm_time(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return the longest time until the host shows an alarm of a node, in seconds."""
    allowed, message = _allowed_s(around, device), device.block.type.message
    if allowed is None or message is None:
        return Lacking(SETPOINT if around.alarms(device.network).response_time_s else TIME)
    report = report_of(around, device)
    if isinstance(report, Lacking):
        return report
    interval, times = report.interval_s, around.alarms(device.network)
    path = AlarmPath(
        sense_interval_s=message.sense_interval_s or interval,
        on_delay_s=times.on_delay_s,
        report_interval_s=0.0 if message.alarms_at_once or message.sense_interval_s is None else interval,
        frame_s=report.frame_s,
        tries=report.tries,
        retry_wait_s=message.retry_wait_s,
        gateway_s=times.gateway_s,
        host_poll_s=times.host_poll_s,
        host_polls=times.host_polls,
        host_s=times.host_s,
    )
    steps = " + ".join(f"{step} {rounded(seconds)} s" for step, seconds in steps_s(path).items() if seconds)
    by = "the time allowed to respond"
    return Calculated(value=worst_case_s(path), sum=steps, roles=REPORTING, high=allowed, by=by)


def _allowed_s(around: Surroundings, device: Device) -> float | None:
    """Return the node's own allowed time or, if the node has any alarm, else the network's."""
    own = device.block.response_times[device.i] if device.block.response_times else ""
    if own:
        return float(own)
    alarmed = any(device.value(role).read for role in SETPOINTS)
    return around.alarms(device.network).response_time_s if alarmed else None
