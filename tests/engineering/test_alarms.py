"""Alarms: the worst case is never exceeded, and nearly reached, by alarms that are played through."""

from __future__ import annotations

from math import ceil
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.alarms import AlarmPath, silence_s, steps_s, worst_case_s
from tests.engineering.numbers import NEGATIVE

PATH = AlarmPath(
    sense_interval_s=10, on_delay_s=15, report_interval_s=60, frame_s=0.2, tries=3, retry_wait_s=2,
    gateway_s=1, host_poll_s=5, host_polls=2, host_s=0.5,
)  # fmt: skip

TENTHS = st.integers(0, 600).map(lambda tenths: tenths / 10)
PATHS = st.builds(
    AlarmPath,
    sense_interval_s=TENTHS, on_delay_s=TENTHS, report_interval_s=TENTHS, frame_s=TENTHS,
    tries=st.integers(1, 5), retry_wait_s=TENTHS, gateway_s=TENTHS, host_poll_s=TENTHS,
    host_polls=st.integers(1, 4), host_s=TENTHS,
)  # fmt: skip


def test_by_hand() -> None:
    """15 s of on-delay are found to have passed at the second measurement, 20 s after the first."""
    assert steps_s(PATH) == {
        "next measurement": 10,
        "on-delay": 20,
        "next report": 60,
        "on air": pytest.approx(4.6),
        "gateway": 1,
        "next poll of the host": 10,
        "host": 0.5,
    }
    assert worst_case_s(PATH) == pytest.approx(106.1)


def test_a_path_without_waiting() -> None:
    """Takes what its frame takes."""
    assert worst_case_s(AlarmPath(sense_interval_s=0, frame_s=0.2)) == 0.2


def test_measured_without_pause() -> None:
    """The on-delay is then exact."""
    assert worst_case_s(AlarmPath(sense_interval_s=0, on_delay_s=15)) == 15


def played_s(path: AlarmPath, at_random: Random) -> float:
    """Play one alarm through: clocks of measuring, reporting and polling at chance, the last try succeeds."""

    def next_tick(now_s: float, interval_s: float, phase_s: float) -> float:
        return phase_s + ceil((now_s - phase_s) / interval_s) * interval_s if interval_s else now_s

    def phase(interval_s: float) -> float:
        return at_random.uniform(-interval_s, 0)

    sense_phase_s = phase(path.sense_interval_s)
    first_s = seen_s = next_tick(0, path.sense_interval_s, sense_phase_s)
    while seen_s - first_s < path.on_delay_s - 1e-9:
        seen_s += path.sense_interval_s or path.on_delay_s
    sent_s = next_tick(seen_s, path.report_interval_s, phase(path.report_interval_s))
    for _ in range(path.tries - 1):
        sent_s += path.frame_s + at_random.uniform(0, path.retry_wait_s)
    there_s = sent_s + path.frame_s + path.gateway_s
    polled_s = next_tick(there_s, path.host_poll_s, phase(path.host_poll_s))
    return polled_s + (path.host_polls - 1) * path.host_poll_s + path.host_s


@given(path=PATHS, seed=st.integers(0, 10**6))
def test_no_alarm_is_later_than_the_worst_case(path: AlarmPath, seed: int) -> None:
    """Whatever the clocks."""
    assert played_s(path, Random(seed)) <= worst_case_s(path) + 1e-6


def test_the_worst_case_is_nearly_reached() -> None:
    """It is no idle bound: of 20 000 alarms the latest comes within a tenth of it."""
    at_random = Random(20260331)
    latest_s = max(played_s(PATH, at_random) for _ in range(20_000))
    assert worst_case_s(PATH) * 0.9 < latest_s <= worst_case_s(PATH)


@given(path=PATHS)
def test_the_steps_add_up(path: AlarmPath) -> None:
    """Their sum is the worst case, and none is below 0."""
    times = steps_s(path)
    assert sum(times.values()) == pytest.approx(worst_case_s(path))
    assert min(times.values()) >= 0
    assert times["on-delay"] >= path.on_delay_s - 1e-9


@given(tenths=st.integers(1, 100), times=st.integers(0, 100))
def test_an_on_delay_of_whole_measurements_is_not_lengthened(tenths: int, times: int) -> None:
    """11 × 0.1 s are 1.1 s, not 1.2."""
    sense_s = tenths / 10
    path = AlarmPath(sense_interval_s=sense_s, on_delay_s=times * sense_s)
    assert steps_s(path)["on-delay"] == pytest.approx(times * sense_s)


def test_silence() -> None:
    """From a node's last report: on its way, on the host's poll, the timeout, and shown."""
    assert silence_s(PATH, 180) == pytest.approx(4.6 + 1 + 10 + 180 + 0.5)


@pytest.mark.parametrize("wrong", NEGATIVE)
@pytest.mark.parametrize(
    "name",
    ["sense_interval_s", "on_delay_s", "report_interval_s", "frame_s", "retry_wait_s", "gateway_s",
     "host_poll_s", "host_s"],
)  # fmt: skip
def test_times_are_not_negative(name: str, wrong: float) -> None:
    """The argument is named."""
    times = {"sense_interval_s": 1.0, name: wrong}
    with pytest.raises(ValueError, match=name):
        AlarmPath(**times)  # type: ignore[arg-type]


def test_there_is_a_try_and_a_poll() -> None:
    """An alarm that is never sent has no worst case."""
    with pytest.raises(ValueError, match="tries is 0"):
        AlarmPath(sense_interval_s=1, tries=0)
    with pytest.raises(ValueError, match="host_polls is 0"):
        AlarmPath(sense_interval_s=1, host_polls=0)
    with pytest.raises(ValueError, match="host_timeout_s"):
        silence_s(PATH, -1)
