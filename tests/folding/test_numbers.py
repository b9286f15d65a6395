"""Folding of columns of numbers in another unit, or with the decimal point moved."""

from __future__ import annotations

import tempfile
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from audit.reading.units import convert
from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, fold, nodes
from tests.random_sites import QUICK

UNIT, POINT = "column-in-other-unit", "decimal-point-moved"
QUANTITIES_OF: dict[str, Any] = {
    "flow": {"kind": "decimal", "unit": "m³/h", "step": 0.1},
    "temperature": {"kind": "decimal", "unit": "°C", "step": 0.1},
    "pressure": {"kind": "decimal", "unit": "kPa g", "step": 0.1},
}


def site(**columns: tuple[list[Any], list[Any]]) -> dict[str, Any]:
    """Return a site with these columns, each with planned and found values."""
    count = len(next(iter(columns.values()))[0])
    return {"planned": nodes(count, **{name: planned for name, (planned, _) in columns.items()}),
            "found": nodes(count, **{name: found for name, (_, found) in columns.items()})}  # fmt: skip


def test_a_column_in_psi_is_one_cause(tmp_path: Path) -> None:
    """Ranges and alarms of three nodes, all entered in psi, are one slip, which names the unit."""
    cause = fold(
        tmp_path,
        UNIT,
        **site(
            unit=(["kPa g"] * 3, ["kPa g"] * 3),
            range_high=([1000, 900, 600], ["145.0", "130.5", "87.0"]),
            alarm_high=([900, 800, 500], ["130.5", "116.0", "72.5"]),
        ),
    )

    assert cause.message == (
        "range_high and alarm_high on 3 nodes seem to be in psi, where kPa g is planned (the devices show "
        "kPa g): 145 for 1000, 130.5 for 900, 87 for 600 …"
    )
    assert cause.others == ["N01", "N02", "N03"]
    assert sorted(d.split("/")[0] for d in cause.dependents) == ["alarm-off-plan"] * 3 + ["range-differs"] * 3


def test_a_lost_zero_is_no_unit_that_lies_near_it(tmp_path: Path) -> None:
    """250 kPa is 25.49 mH2O, but 25 is exactly a tenth. Two settings that lost a zero are one slip."""
    cause = fold(
        tmp_path,
        POINT,
        **site(
            alarm_low=([250, 250, 250], ["25", "25", "25"]),
            alarm_high=([600, 500, 600], ["60", "50", "60"]),
        ),
    )

    assert cause.message.startswith(
        "alarm_low and alarm_high on 3 nodes have their decimal point 1 place too far to the left: 25 for 250"
    )


def test_three_settings_and_three_examples_are_all_shown(tmp_path: Path) -> None:
    """No ellipsis where nothing is left out; names as in a sentence."""
    cause = fold(
        tmp_path,
        UNIT,
        **site(
            range_high=([1000, 1000], ["145.0", "145.0"]),
            alarm_low=([600, 600], ["87.0", "87.0"]),
            alarm_high=([900, 900], ["130.5", "130.5"]),
        ),
    )

    assert cause.message.startswith("range_high, alarm_low and alarm_high on 2 nodes seem to be in psi")
    assert cause.message.endswith(": 145 for 1000, 87 for 600, 130.5 for 900")
    assert len(cause.evidence) == 1


def test_one_node_keyed_in_another_unit_all_through_is_one_cause(tmp_path: Path) -> None:
    """Three different numbers of one device, off by the same factor, are not chance."""
    cause = fold(tmp_path, UNIT, **site(range_high=([1000], ["145.0"]), alarm_low=([600], ["87.0"]),
                                        alarm_high=([900], ["130.5"])))  # fmt: skip

    assert cause.message.startswith("range_high, alarm_low and alarm_high of N01 seem to be in psi")


def test_the_plan_may_be_the_side_in_the_other_unit(tmp_path: Path) -> None:
    """Devices that show the planned number times 6.895 were set as if the plan were in psi."""
    cause = fold(tmp_path, UNIT, **site(range_high=([100, 150], ["689.5", "1034.2"])))

    assert cause.message.startswith(
        "range_high on 2 nodes is as if the planned numbers were in psi and not in kPa g"
    )


def test_a_device_found_in_the_other_unit_is_the_cause_itself(tmp_path: Path) -> None:
    """Where the unit was read as psi, that is what is wrong; the column needs no guess."""
    columns: dict[str, Any] = {
        "unit": (["kPa g"] * 3, ["psi"] * 3),
        "range_high": ([1000, 900, 600], ["145", "130.5", "87"]),
    }

    rules = {f.rule for f in causes(tmp_path, **site(**columns))}

    assert rules == {"same-on-many-nodes"}


def test_a_factor_of_a_hundred_is_a_unit_where_the_device_has_it(tmp_path: Path) -> None:
    """800 kPa shown as 8 may be bar or a moved decimal point: the message says both."""
    cause = fold(tmp_path, UNIT, **site(range_high=([800, 500], ["8", "5"])))

    assert "seems to be in bar, where kPa g is planned, or their decimal point has moved" in cause.message
    assert "the unit on the devices was not read" in cause.message


@pytest.mark.parametrize(
    ("planned", "found", "says"),
    [
        (
            [125.0, 80.5],
            ["1250.0", "805.0"],
            "has its decimal point 1 place too far to the right, or is in mbar",
        ),
        (
            [805.0, 990.0],
            ["80.5", "99.0"],
            "has its decimal point 1 place too far to the left: 80.5 for 805",
        ),
        (
            [125.0] * 3,
            ["12.5"] * 3,
            "range_high on 3 nodes has its decimal point 1 place too far to the left: 12.5",
        ),
    ],
    ids=["ten times", "a tenth", "three alike"],
)
def test_a_decimal_point_that_moved_down_a_column_is_one_cause(
    planned: list[float], found: list[str], says: str, tmp_path: Path
) -> None:
    """Ten times the plan all down a column is one slip, which may also be a unit."""
    assert says in fold(tmp_path, POINT, **site(range_high=(planned, found))).message


@pytest.mark.parametrize(("found", "rounded"), [(["116", "145"], True), (["115", "144"], False)])
def test_whole_numbers_are_taken_as_rounded_to_the_last_digit_written(
    found: list[str], rounded: bool, tmp_path: Path
) -> None:
    """800 and 1000 kPa are 116.03 and 145.04 psi: 116 and 145 are the same numbers, 115 and 144 are not."""
    told = {f.rule for f in causes(tmp_path, **site(range_high=([800, 1000], found)))}

    assert (UNIT in told) == rounded


def test_zeros_that_went_behind_the_number_are_named(tmp_path: Path) -> None:
    """Addresses 021 and 022 that became 210 and 220 were typed from the left of the field."""
    cause = fold(tmp_path, POINT, **site(address=([21, 22], [210, 220])))

    assert cause.message == (
        "address on 2 nodes has 1 more zero at the end than planned, as if typed from the left of the field: "
        "210 for 21, 220 for 22"
    )


QUANTITIES = st.sampled_from(
    [("pressure", "kPa g", "psi"), ("pressure", "kPa g", "mH2O"), ("flow", "m³/h", "L/s"),
     ("flow", "m³/h", "gpm"), ("temperature", "°C", "°F")]
)  # fmt: skip


@QUICK
@given(QUANTITIES, st.lists(st.integers(200, 4000), min_size=2, max_size=5, unique=True), st.booleans())
def test_whatever_the_numbers_the_unit_is_found(
    quantity: tuple[str, str, str], numbers: list[int], at_the_display: bool
) -> None:
    """Numbers that were converted, and rounded as people and displays do, are recognised.

    Not 20 for 200, which is 20.4 mH2O and may as well be a decimal point.
    """
    name, ours, other = quantity
    converted = [convert(Decimal(n), ours, other) or Decimal(0) for n in numbers]
    step = Decimal("0.1") if at_the_display else Decimal(1)
    shown = [str(n.quantize(step, ROUND_HALF_UP)) for n in converted]
    assume(not any(Decimal(text) * 10 == n for text, n in zip(shown, numbers, strict=True)))
    with tempfile.TemporaryDirectory() as folder:
        found = causes(Path(folder), settings=QUANTITIES_OF, **site(**{name: (numbers, shown)}))

    assert [(f.rule, len(f.dependents)) for f in found] == [(UNIT, len(numbers))]
    assert f"seems to be in {other}, where {ours} is planned" in found[0].message


TENFOLD = site(range_high=([100] * 3, [1000] * 3))


def at_default(default: str) -> dict[str, Any]:
    """Return TENFOLD where what was found is the factory default, as a device type writes it."""
    range_high = {"kind": "decimal", "unit": "kPa g", "step": 0.1, "default": default}
    return {**TENFOLD, "settings": {"range_high": range_high, "default_refused": None}}


PSI = site(range_high=([800, 1000, 600], [116, 145, 87]))
TEN = site(range_high=([125.0, 80.5, 60], ["1250", "805", "600"]))
FIRES: list[Fires] = [
    fires(UNIT, "psi in a column of kPa", "range_high", node=None, others=["N01", "N02", "N03"], **PSI,
          says="range_high on 3 nodes seems to be in psi, where kPa g is", at=[("found.csv", 2, "B")]),
    fires(POINT, "ten times", "range_high", node=None, others=["N01", "N02", "N03"], **TEN,
          says="1250 for 125, 805 for 80.5, 600 for 60", at=[("found.csv", 2, "B")]),
    fires(POINT, "ten times, and another factory default", "range_high", node=None,
          others=["N01", "N02", "N03"], **at_default("2000")),
]  # fmt: skip

SILENT: list[Silent] = [
    silent(UNIT, "one node", idle=None, **site(range_high=([1600, 1000], [232, 1000]))),
    silent(UNIT, "two nodes with one value", idle=None, **site(range_high=([1600, 1600], [232, 232]))),
    silent(UNIT, "a unit was stated", idle=None, **site(range_high=([1600, 1000, 600], ["2.32 bar"] * 3))),
    silent(UNIT, "numbers too small to tell", idle=None, **site(range_high=([7, 8, 9], ["1", "1.2", "1.3"]))),
    silent(UNIT, "other factors", idle=None, **site(range_high=([1600, 1000, 600], [320, 200, 120]))),
    silent(UNIT, "the factory default", idle=None,
           **site(report_interval=([3600, 60, 180], [60, 1, 3])),
           settings={"report_interval": {"kind": "integer", "unit": "s", "default": 60},
                     "default_refused": None}),
    silent(POINT, "the factory default", idle=None, **at_default("1000.0")),
    silent(POINT, "the factory default, given with its unit", idle=None, **at_default("1000 kPa g")),
    silent(POINT, "the factory default, given in another unit", idle=None, **at_default("10 bar")),
    silent(POINT, "one node", idle=None, **site(range_high=([125.0, 80.5], ["1250", "80.5"]))),
    silent(POINT, "each another power", idle=None,
           **site(range_high=([125.0, 80.5, 60], ["1250", "8050", "6"]))),
    silent(POINT, "two nodes with one value", idle=None, **site(range_high=([125.0] * 2, ["1250"] * 2))),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the network, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
