"""Battery lives against published worked examples, and self-discharge against a solver.

Sources:

- TUTORIAL: a hobby tutorial on the battery life of a temperature sensor (read): 28 mA for 0.65 s, 31 mA for
  50 ms, 0.12 mA for 15 minutes: 0.142 mA; 2000 mAh last 14 101 hours.
- TANK: a course page on a water tank's sensor (read): 18 messages a day, each three times 2 s at 40 mA, 1 µA
  asleep, 6000 mAh: 4902 days, 13.4 years.
- OWN: 19 Ah of which 80 % count, 10 µA asleep, 30 mA for half a second a minute; calculated independently
  of the code.
- LINDEN: Linden's Handbook of Batteries, figure 14.17, page 14.30, capacities of a D-size Li/SOCl₂ bobbin
  battery at 25 °C by current (text of the figure read): it is largest at 4 mA. It is smaller at 0.2 mA,
  owing to self-discharge over the years that this takes, and at 20 mA.
- scipy.integrate.solve_ivp: dQ/dt = −I − s Q.
"""

from __future__ import annotations

from math import log

import pytest
from scipy.integrate import solve_ivp

from audit.engineering.battery import (
    HOURS_A_YEAR,
    Draw,
    average_current_ma,
    life_h,
    life_years,
    transmitting,
    usable_capacity_ah,
)
from audit.engineering.curves import at

LINDEN = [(0.2, 17.0), (1.0, 18.4), (2.0, 18.8), (4.0, 19.0), (20.0, 13.5), (35.0, 7.0)]
"""Current in mA → capacity in Ah."""


def test_the_tutorial() -> None:
    """TUTORIAL: one cycle is the sleep and both draws together."""
    round_s = 900 + 0.65 + 0.05
    average_ma = average_current_ma(0.12, [Draw(28, 0.65, round_s), transmitting(31, 0.05, round_s)])
    assert average_ma == pytest.approx(0.142, abs=5e-4)
    assert life_h(2, average_ma) == pytest.approx(14_101, abs=0.5)


def test_the_tank() -> None:
    """TANK: a message is a single report, sent three times."""
    average_ma = average_current_ma(0.001, [transmitting(40, 2, 86_400 / 18, tries=3)])
    hours = life_h(6, average_ma)
    assert hours / 24 == pytest.approx(4902, abs=1)
    assert life_years(6, average_ma) == pytest.approx(13.4, abs=0.05)


def test_our_own_node() -> None:
    """OWN: 0.2599167 mA, 58 480.3 hours, 6.6713 years of 8766 hours."""
    average_ma = average_current_ma(0.010, [transmitting(30, 0.5, 60)])
    capacity_ah = usable_capacity_ah(19, current=0.8)
    assert average_ma == pytest.approx(0.2599167, abs=5e-8)
    assert life_h(capacity_ah, average_ma) == pytest.approx(58_480.3, abs=0.05)
    assert life_years(capacity_ah, average_ma) == pytest.approx(6.6713, abs=5e-5)


@pytest.mark.parametrize("left_out", LINDEN[1:-1], ids=[f"{current} mA" for current, _ in LINDEN[1:-1]])
def test_a_capacity_between_those_of_the_figure(left_out: tuple[float, float]) -> None:
    """LINDEN: the straight line between its neighbours gives each capacity to within 0.8 Ah of 19.

    So few points of a curve allow no better.
    """
    current_ma, capacity_ah = left_out
    rated_ah = max(capacity for _, capacity in LINDEN)
    shares = [(current, capacity / rated_ah) for current, capacity in LINDEN if current != current_ma]

    found_ah = usable_capacity_ah(rated_ah, current=at(shares, current_ma))

    assert found_ah == pytest.approx(capacity_ah, abs=0.8)


@pytest.mark.parametrize("lost", [0.005, 0.01, 0.03, 0.2])
@pytest.mark.parametrize(("capacity_ah", "average_ma"), [(19, 0.26), (2.4, 0.05), (6, 0.02)])
def test_self_discharge_against_a_solver(capacity_ah: float, average_ma: float, lost: float) -> None:
    """By the solver, the charge is used up at the end of the calculated life."""
    rate_per_h = -log(1 - lost) / HOURS_A_YEAR
    hours = life_h(capacity_ah, average_ma, lost)
    solved = solve_ivp(
        lambda _, charge: -average_ma / 1000 - rate_per_h * charge,
        (0, hours),
        [capacity_ah],
        rtol=1e-10,
        atol=1e-12,
    )
    assert solved.y[0][-1] == pytest.approx(0, abs=1e-7 * capacity_ah)
