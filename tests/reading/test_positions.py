"""Positions: half a position is none; their numbers are read as those of settings are."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.model.base import Position
from audit.run import Order, audited
from tests.refusing import assert_refused
from tests.small_site import as_xlsx, small_site

HEADINGS = ["tag", "x_m", "y_m", "height_m", "response_time_s"]


def test_a_coordinate_without_the_other_in_the_plan(tmp_path: Path) -> None:
    """It is reported where it is written, not skipped as if none had been given."""
    site = small_site(tmp_path).replace("tag: N-1\n", "tag: N-1\n    position: {x_m: 800}\n")

    assert_refused(site, at=site.at("800"), says="N-1: a position has x_m but no y_m", mend="give y_m")


def test_coordinates_without_the_others_in_a_node_table(tmp_path: Path) -> None:
    """One correction is for all of them, so it is one problem; a row without any position is not one."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", "tag,latitude,longitude\nN-1,51.1,7.0\nN-2,,7.0\nN-3,,\nN-4,,7.2\n")

    assert_refused(site, at="nodes.csv:3:C", says="N-2, N-4: a position has longitude but no latitude",
                   mend="give latitude")  # fmt: skip


@pytest.mark.parametrize(
    ("name", "rows", "keys"),
    [("nodes.csv", [["N-1", "1.250,5", "−7", "2,5", "90,5"], ["N-2", "-", "-", "-", "-"]],
      {"decimal": ",", "grouping": ".", "delimiter": ";"}),
     ("nodes.xlsx", [["N-1", 1250.5, -7, "2,5", 90.5], ["N-2", "-", None, None, None]], {"decimal": ","})],
)  # fmt: skip
def test_coordinates_have_the_marks_that_the_mapping_declares(
    tmp_path: Path, name: str, rows: list[list[Any]], keys: dict[str, str]
) -> None:
    """A register with decimal commas has them in its coordinates too, and a dash where there is none."""
    site = small_site(tmp_path, nodes=[], network_extra={
        "node_tables": [{"file": name, "mapping": "mapping.yaml"}]
    })  # fmt: skip
    site.mapping(**keys)
    table = [HEADINGS, *rows]
    site.write(name, as_xlsx({"S": table}) if name.endswith("xlsx") else "\n".join(map(";".join, table)))

    (block,) = (block for block in audited(Order(site.plan)).site.blocks if not block.gateway)

    assert list(block.positions) == [Position(x_m=1250.5, y_m=-7, height_m=2.5), None]
    assert list(block.response_times) == ["90.5", ""]


def test_undeclared_decimal_commas_are_told_once_a_column(tmp_path: Path) -> None:
    """Each cell of a register would be a problem of its own, and none would say what to state."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", "tag;x_m;y_m\nN-1;0,5;1\nN-2;1,5;2\nN-3;2,5;3\n")

    assert_refused(site, at="nodes.csv:2:B", says="'0,5' has a comma where the decimal mark is declared as "
                   "'.'; 2 more rows like it", mend="state `decimal: ','` in a mapping")  # fmt: skip
