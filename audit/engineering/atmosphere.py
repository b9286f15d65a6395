"""The standard atmosphere: air pressure at a height."""

from __future__ import annotations

SEA_LEVEL_KPA = 101.325
SEA_LEVEL_K = 288.15
LAPSE_K_PER_M = 0.0065
GRAVITY_M_PER_S2 = 9.80665
GAS_J_PER_KG_K = 287.05287
EARTH_RADIUS_M = 6_356_766.0
LOWEST_M, HIGHEST_M = -2_000.0, 11_000.0
"""Range of the formula: the standard's tables begin at the lower end, its lowest layer ends at the upper."""


def pressure_kpa(elevation_m: float) -> float:
    """Return the standard pressure of the air, in kPa, at a height above sea level in metres.

    ISO 2533:1975, 'Standard Atmosphere', the layer of constant gradient from -2 km to 11 km; from memory, in
    agreement with an independent implementation of it (tests/outside/test_atmosphere.py). Heights outside
    it count as its ends. Weather moves the real pressure some 3 kPa up or down: judgement.
    """
    inside_m = min(max(elevation_m, LOWEST_M), HIGHEST_M)
    height_m = EARTH_RADIUS_M * inside_m / (EARTH_RADIUS_M + inside_m)  # geopotential
    exponent = GRAVITY_M_PER_S2 / (GAS_J_PER_KG_K * LAPSE_K_PER_M)
    return SEA_LEVEL_KPA * float((1 - LAPSE_K_PER_M * height_m / SEA_LEVEL_K) ** exponent)
