"""Alarms: the worst-case time from an event in the process to the alarm at the host.

Source of the arithmetic: common practice. Each stage that samples or polls may just have missed the event.
The allowed time comes from the site's alarm rationalisation (ISA-18.2, IEC 62682, from memory, not verified).
A wireless path that is quick enough on paper is not a protective function, and nothing here says that it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum

from audit.engineering.domain import count, not_negative, whole_up


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmPath:
    """The steps on the way of an alarm, with times in seconds."""

    sense_interval_s: float
    """Time between two measurements; 0: continuous."""
    on_delay_s: float = 0.0
    """How long the value has to stay beyond the limit before the alarm comes."""
    report_interval_s: float = 0.0
    """Time between two reports; 0: an alarm is reported at once."""
    frame_s: float = 0.0
    """Time on air of one report."""
    tries: int = 1
    """The try that gets through: the number of tries allowed, for the worst case."""
    retry_wait_s: float = 0.0
    """Longest wait before a frame is sent again."""
    gateway_s: float = 0.0
    """Time that the gateway needs to pass a report on."""
    host_poll_s: float = 0.0
    """Time between two polls of the host; 0: the gateway sends at once."""
    host_polls: int = 1
    """The poll that succeeds: 1 plus the number that may fail before the host calls the link lost."""
    host_s: float = 0.0
    """Time that the host needs to show it."""

    def __post_init__(self) -> None:
        """Raise ValueError for a time below 0, no tries or no polls."""
        count(tries=self.tries, host_polls=self.host_polls)
        not_negative(
            sense_interval_s=self.sense_interval_s,
            on_delay_s=self.on_delay_s,
            report_interval_s=self.report_interval_s,
            frame_s=self.frame_s,
            retry_wait_s=self.retry_wait_s,
            gateway_s=self.gateway_s,
            host_poll_s=self.host_poll_s,
            host_s=self.host_s,
        )


def steps_s(path: AlarmPath) -> dict[str, float]:
    """Return the longest time of each step, in seconds, in the order of the steps.

    The on-delay counts in whole measurements: it is over at the first measurement after it has passed.
    """
    delay_s = path.on_delay_s
    if path.sense_interval_s:
        delay_s = whole_up(path.on_delay_s / path.sense_interval_s) * path.sense_interval_s
    return {
        "next measurement": path.sense_interval_s,
        "on-delay": delay_s,
        "next report": path.report_interval_s,
        "on air": path.tries * path.frame_s + (path.tries - 1) * path.retry_wait_s,
        "gateway": path.gateway_s,
        "next poll of the host": path.host_polls * path.host_poll_s,
        "host": path.host_s,
    }


def worst_case_s(path: AlarmPath) -> float:
    """Return the longest time from the event to the alarm at the host, in seconds."""
    return fsum(steps_s(path).values())


def silence_s(path: AlarmPath, host_timeout_s: float) -> float:
    """Return the longest time until the host knows that a node no longer reports, in seconds.

    The node falls silent just after a report; the host calls its value stale `host_timeout_s` after that
    report reached it. An event during that time is not seen.
    """
    not_negative(host_timeout_s=host_timeout_s)
    steps = steps_s(path)
    return fsum(
        (steps["on air"], steps["gateway"], steps["next poll of the host"], host_timeout_s, steps["host"])
    )
