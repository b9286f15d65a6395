"""Planned texts that are not values of their settings: told while the plan is read, each once."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.errors import InputProblems
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from tests.reading.test_plan import GATEWAY, NODE, PLAN, write

URV = "{name: urv, kind: decimal, step: 1, unit: kPa, role: range_high}"
OPTION = "{name: urv, kind: option, options: [low, high]}"
OTHER = NODE.replace("name: node", "name: other").replace(URV, OPTION)


def told(path: Path) -> list[str]:
    """Return what is wrong with a plan, in the order in which it is told."""
    with pytest.raises(InputProblems) as error:
        read_plan(path, Inputs())
    return [f"line {p.line}: {p.message}" for p in error.value.problems]


def test_a_default_is_told_once_for_all_nodes_that_take_it(tmp_path: Path) -> None:
    """The fault is in one place, however many nodes take the default; the first of them is named."""
    plan = PLAN.replace("urv: 1000", "urv: 10oo").replace(", urv: 2.5 bar", "")

    assert told(write(tmp_path, plan=plan)) == ["line 9: urv of A: '10oo' is not a number with a known unit"]


@pytest.mark.parametrize(
    ("role", "unit", "planned", "mend"),
    [
        ("alarm_high", "'%'", "9.5 m", "give a number in %, worked out from the range"),
        ("deadband", "m", "2 %", "give a number in m, worked out from the range"),
        ("range_high", "m", "80 %", "give a number, in m or followed by its unit"),
    ],
)
def test_a_setpoint_and_its_percentage_of_the_range_are_worked_out_by_hand(
    role: str, unit: str, planned: str, mend: str, tmp_path: Path
) -> None:
    """The register has metres where the display has percent, or the other way round."""
    node = NODE.replace(URV, f"{{name: urv, kind: decimal, step: 0.1, unit: {unit}, role: {role}}}")
    plan = PLAN.replace("urv: 1000", f"urv: {planned}").replace(", urv: 2.5 bar", "")

    with pytest.raises(InputProblems) as error:
        read_plan(write(tmp_path, plan=plan, node=node), Inputs())
    assert error.value.problems[0].mend.startswith(mend)


@pytest.mark.parametrize("unit", ["", "unit: kpascal, "])
def test_where_the_device_type_is_at_fault_its_unit_is_to_be_corrected(unit: str, tmp_path: Path) -> None:
    """The plan gives a number with its unit; to give one in a unit that there is not would mend nothing."""
    plan = PLAN.replace("urv: 1000", "urv: 10 bar").replace(", urv: 2.5 bar", "")
    node = NODE.replace(URV, URV.replace("unit: kPa, ", unit))

    with pytest.raises(InputProblems) as error:
        read_plan(write(tmp_path, plan=plan, node=node), Inputs())
    assert error.value.problems[0].mend.startswith("correct the unit of urv in the device type")


def test_a_default_that_no_node_takes_is_no_matter(tmp_path: Path) -> None:
    """Where every node has a value of its own, nobody gets the default."""
    plan = PLAN.replace("urv: 1000", "urv: 10oo").replace("address: 007", "address: 7, urv: 900")

    assert len(read_plan(write(tmp_path, plan=plan), Inputs()).nodes) == 1


def test_a_default_is_judged_by_each_type_that_takes_it(tmp_path: Path) -> None:
    """`high` is an option of one device type, and no number for the other."""
    plan = PLAN.replace("node.yaml]", "node.yaml, other.yaml]").replace("urv: 1000", "urv: high")
    plan = plan.replace("{tag: A, ", "{tag: A, type: other, ").replace(", urv: 2.5 bar", "")

    assert told(write(tmp_path, plan=plan, other=OTHER)) == ["line 9: urv of B: 'high' is not a number"]


def test_what_a_node_takes_from_its_gateway_is_told_where_the_gateway_says_it(tmp_path: Path) -> None:
    """The gateway may have a channel that nodes of this type cannot have: words instead of a number."""
    gateway = GATEWAY.replace("kind: integer, role: channel, low: 1, high: 40", "kind: text, role: channel")

    assert told(write(tmp_path, gw=gateway, plan=PLAN.replace("016", "sixteen"))) == [
        "line 7: channel of A: 'sixteen' is not a number"
    ]


def test_a_default_that_is_nothing_for_two_types_is_told_of_each(tmp_path: Path) -> None:
    """Each type expects something else of it, so that one mend may leave the other fault."""
    other = OTHER.replace(OPTION, "{name: urv, kind: flag}")
    plan = PLAN.replace("node.yaml]", "node.yaml, other.yaml]").replace("urv: 1000", "urv: 10oo")
    plan = plan.replace("{tag: A, ", "{tag: A, type: other, ").replace(", urv: 2.5 bar", "")

    assert told(write(tmp_path, plan=plan, other=other)) == [
        "line 9: urv of A: '10oo' is neither on nor off, yes nor no",
        "line 9: urv of B: '10oo' is not a number with a known unit",
    ]


def test_what_nodes_take_from_their_gateway_is_told_of_the_gateway(tmp_path: Path) -> None:
    """It stands there, and is mended there."""
    assert told(write(tmp_path, plan=PLAN.replace("016", "sixteen"))) == [
        "line 7: channel of G: 'sixteen' is not a number"
    ]


def test_the_values_of_an_unknown_type_are_passed_over(tmp_path: Path) -> None:
    """What they mean is not known before the type is; the other nodes are still read."""
    plan = PLAN.replace("{tag: A, ", "{tag: A, type: nodd, ").replace("address: 007", "address: 7x")

    assert told(write(tmp_path, plan=plan.replace("address: 8", "address: 8x"))) == [
        "line 11: unknown device type 'nodd'",
        "line 12: address of B: '8x' is not a number with a known unit",
    ]


def test_a_constant_that_is_no_value_is_told_where_the_mapping_says_it(tmp_path: Path) -> None:
    """It is written once, in the mapping of the table, and is mended there."""
    plan = PLAN.rstrip() + "\n    node_tables:\n      - {file: more.csv, mapping: m.yaml}\n"
    (tmp_path / "more.csv").write_text("tag,address\nC,9\nD,10\nE,11\n")
    (tmp_path / "m.yaml").write_text(
        "asfound: mapping/1\nmappings:\n  - constants: {urv: 10oo, interval: '1,5'}\n"
    )

    assert told(write(tmp_path, plan=plan)) == [
        "line 3: interval of C: '1,5' has a comma where the decimal mark is declared as '.'",
        "line 3: urv of C: '10oo' is not a number with a known unit",
    ]
