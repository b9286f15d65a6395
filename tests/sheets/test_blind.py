"""Blank sheets hold no planned values: no cell, hint, limit or hidden part shows one."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.sheets.filling import blank, planned_node, rich_site
from tests.small_site import SmallSite

FILES = ["sheets.xlsx", "sheets.csv", "cards.html"]
TELLING: dict[str, Any] = {"address": 173, "chamber": "7-Q", "range_high": 1847.3, "range_low": -63.7}
"""Planned values that appear nowhere else."""
HUB = {"tag": "GW-1", "type": "gateway", "serial": "SN-90817263", "location": "Mast",
       "settings": {"channel": 37, "network_id": "ZQX7", "joining": "closed"}}  # fmt: skip


def content(file: Path) -> bytes:
    """Return all bytes of a file; of a workbook, those of its parts, unpacked."""
    data = file.read_bytes()
    if file.suffix != ".xlsx":
        return data
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return b"\n".join(archive.read(name) for name in archive.namelist())


def telling_site(folder: Path) -> SmallSite:
    """Return a site whose planned values can be looked for."""
    node = planned_node(1) | {"serial": "SN-55443322", "settings": TELLING}
    return rich_site(folder, nodes=[node], gateway=HUB)


@pytest.mark.parametrize("name", FILES)
def test_no_planned_value_is_in_the_bytes(tmp_path: Path, name: str) -> None:
    """Neither settings nor serial numbers of the plan appear anywhere in the file."""
    told = content(blank(telling_site(tmp_path), name))

    for text in ("173", "7-Q", "1847", "63.7", "63,7", "ZQX7", "SN-90817263", "SN-55443322"):
        assert text.encode() not in told, text
    assert b"N-1" in told


@pytest.mark.parametrize("name", FILES)
def test_with_plan_the_values_are_shown_and_the_sheet_says_what_that_means(tmp_path: Path, name: str) -> None:
    """If asked for, planned values are there, with the warning; serial numbers still are not."""
    told = content(blank(telling_site(tmp_path), name, "--with-plan"))

    for text in ("173", "7-Q", "1847.3 kPa", "ZQX7"):
        assert text.encode() in told, text
    assert b"A readback copied from the plan proves nothing." in told
    assert b"SN-55443322" not in told


PLANNED = st.fixed_dictionaries(
    {
        "address": st.integers(1, 247),
        "channel": st.integers(1, 40),
        "chamber": st.text("0123456789-AB", min_size=1, max_size=8).filter(lambda text: text != "-"),
        "range_high": st.integers(-1000, 20000).map(lambda tenths: tenths / 10),
        "air_rate": st.sampled_from(["4.8", "9.6", "50"]),
        "encryption": st.booleans(),
    }
)


@given(first=PLANNED, second=PLANNED)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_plans_that_differ_in_values_alone_make_the_same_sheets(
    tmp_path: Path, first: dict[str, Any], second: dict[str, Any]
) -> None:
    """Whatever is planned, the bytes are the same: what does not depend on a value cannot show it."""
    made = []
    for number, values in enumerate((first, second)):
        folder = tmp_path / str(number)
        folder.mkdir(exist_ok=True)
        quoted = {**values, "chamber": f"c{values['chamber']}"}
        site = rich_site(folder, nodes=[planned_node(1) | {"settings": quoted, "serial": f"s{number}"}])
        made.append([content(blank(site, name, "--replace")) for name in FILES])

    assert made[0] == made[1]


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("with_plan", [False, True], ids=["blind", "with plan"])
def test_access_codes_are_not_asked_for_nor_shown(tmp_path: Path, name: str, with_plan: bool) -> None:
    """A setting that holds a code appears nowhere, with its name, label, default or planned value."""
    site = rich_site(tmp_path, nodes=[planned_node(1) | {"settings": {"access_code": "83917"}}])

    told = content(blank(site, name, *(["--with-plan"] if with_plan else [])))

    for text in (b"83917", b"1234", b"CODE", b"access_code", b"access code<"):
        assert text not in told
