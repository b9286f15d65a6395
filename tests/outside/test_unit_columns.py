"""Columns in another unit, with numbers converted by hand from published factors.

Source: NIST Special Publication 811 (2008), appendix B.8 / B.9: psi 6.894757 E+03 Pa, bar 1.0 E+05 Pa,
'conventional' metre of water 9.80665 E+03 Pa (a thousand of the table's mmH2O), litre 1.0 E-03 m3, hour
3.6 E+03 s, gallon (U.S.) 3.785412 E-03 m3, t/degC = (t/degF - 32) / 1.8. Read, in a transcription of the
tables. The numbers below are calculated from those factors, and rounded as a display would show them.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.folding.sites import causes, nodes

SETTINGS: dict[str, Any] = {
    "pressure": {"kind": "decimal", "unit": "kPa g", "step": 0.1},
    "flow": {"kind": "decimal", "unit": "m³/h", "step": 0.1},
    "temperature": {"kind": "decimal", "unit": "°C", "step": 0.1},
    "difference": {"kind": "decimal", "unit": "°C", "step": 0.1, "role": "deadband", "input": "second"},
}
WORKED = [
    ("pressure", "psi", {"1600": "232.1", "1000": "145.0", "280": "40.6"}),  # ÷ 6.894757
    ("pressure", "mH2O", {"1600": "163.2", "1000": "102.0", "280": "28.6"}),  # ÷ 9.80665
    ("flow", "L/s", {"4500": "1250.0", "360": "100.0", "90": "25.0"}),  # ÷ 3.6
    ("flow", "gpm", {"100": "440.3", "50": "220.1", "12": "52.8"}),  # ÷ (3.785412E-03 × 60)
    ("temperature", "°F", {"150": "302.0", "100": "212.0", "0": "32.0"}),  # × 1.8 + 32
    ("difference", "°F", {"10": "18.0", "5": "9.0", "2": "3.6"}),  # × 1.8: a difference has no zero
]


@pytest.mark.parametrize(("name", "unit", "worked"), WORKED, ids=[f"{n} in {u}" for n, u, _ in WORKED])
def test_a_column_in_another_unit(name: str, unit: str, worked: dict[str, str], tmp_path: Path) -> None:
    """A column of published conversions is reported as one in another unit, with every node under it."""
    planned, found = nodes(3, **{name: list(worked)}), nodes(3, **{name: list(worked.values())})

    (cause,) = causes(tmp_path, settings=SETTINGS, planned=planned, found=found)

    assert cause.rule == "column-in-other-unit"
    assert (
        f"{name} on 3 nodes seems to be in {unit}, where {SETTINGS[name]['unit']} is planned" in cause.message
    )
    assert len(cause.dependents) == 3
