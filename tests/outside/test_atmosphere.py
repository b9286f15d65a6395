"""The pressure of the air by height, and pressures that differ by the pressure of the air.

Sources:

- ISO 2533:1975, 'Standard Atmosphere': 101.325 kPa and 288.15 K at sea level, 6.5 K less a kilometre up to
  11 km; the values at heights are its table's (memory; they are those of the U.S. Standard Atmosphere, 1976,
  whose lower layers are the same).
- The library `ambiance` is an independent implementation of ISO 2533, and is the reference at any height.
"""

from __future__ import annotations

import pytest
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st

from audit.engineering.atmosphere import pressure_kpa
from audit.slips import Around
from tests.slips.cases import fitting

TABLE = [(0, 101.325), (500, 95.461), (1000, 89.876), (2000, 79.501), (3000, 70.121), (5000, 54.048)]
"""Height in metres, pressure in kPa."""


@pytest.mark.parametrize(("height_m", "kpa"), TABLE)
def test_the_table_of_the_standard(height_m: int, kpa: float) -> None:
    """Pressures agree with the table to the last digit printed."""
    assert round(pressure_kpa(height_m), 3) == kpa


@given(st.floats(-1990, 10_990))
def test_any_height_by_another_implementation(height_m: float) -> None:
    """Pressures agree to one part in a million at every height of the layer."""
    (reference,) = Atmosphere(height_m).pressure

    assert pressure_kpa(height_m) * 1000 == pytest.approx(reference, rel=1e-6)


def test_heights_outside_the_layer_count_as_its_ends() -> None:
    """There are no sites at such heights, but a slip in the plan must not make the run fail."""
    assert pressure_kpa(-1e9) == pressure_kpa(-2000)
    assert pressure_kpa(1e9) == pressure_kpa(11_000)


@pytest.mark.parametrize(("height_m", "kpa"), TABLE)
@pytest.mark.parametrize("weather_kpa", [-2.4, 0, 2.4])
def test_gauge_for_absolute_at_any_height(height_m: int, kpa: float, weather_kpa: float) -> None:
    """Gauge taken for absolute, or the other way round, is recognised at any height and in any weather."""
    pressure = {"kind": "decimal", "unit": "kPa", "step": 1}
    around = Around(elevation_m=height_m)

    assert "gauge-absolute" in fitting(pressure, "280", str(round(280 + kpa + weather_kpa)), around)
    assert "gauge-absolute" in fitting(pressure, "280", str(round(280 - kpa + weather_kpa)), around)
    assert "gauge-absolute" not in fitting(pressure, "280", str(round(280 + kpa + 6)), around)
