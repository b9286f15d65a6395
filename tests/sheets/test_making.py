"""What a sheet asks for: each device type's settings in the order it shows them, in known words."""

from __future__ import annotations

from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from audit.asking import in_turn
from audit.errors import InputProblems
from audit.model.device import DeviceType, Setting
from audit.phrases import clean
from audit.reading.identifiers import bare
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from audit.reading.vocabulary import heading_and_unit, vocabulary
from audit.sheets.headings import heading, where_to_read
from audit.sheets.layout import rows
from audit.sheets.making import book_of
from audit.sheets.model import Book
from audit.sheets.ordering import in_one_order
from tests.sheets.filling import HUB_SETTINGS, NODE_SETTINGS, planned_node, rich_site
from tests.the_examples import EXAMPLES


def setting(name: str, **more: Any) -> Setting:
    """Return a setting, a text unless stated."""
    return Setting(**{"name": name, "kind": "text", **more})


def kind(name: str, *settings: Setting) -> DeviceType:
    """Return a device type."""
    return DeviceType(asfound="device-type/1", name=name, settings=settings)


def order(*kinds: str) -> str:
    """Return the order in which settings named by letters are put together."""
    return "".join(in_one_order([[setting(letter) for letter in letters] for letters in kinds]))


def book(folder: Path, *, networks: tuple[str, ...] = (), with_plan: bool = False, **parts: Any) -> Book:
    """Return the sheets of the rich site."""
    plan = read_plan(rich_site(folder, **parts).plan, Inputs())
    return book_of(plan, networks, with_plan=with_plan)


# Order


@pytest.mark.parametrize(
    ("kinds", "expected"),
    [
        (["abcd"], "abcd"),
        (["abcd", "abd"], "abcd"),
        (["abd", "abcd"], "abcd"),
        (["abc", "xyz"], "abcxyz"),
        (["abc", "axc", "ayc"], "abxyc"),
        (["abc", "cba"], "abc"),
        ([], ""),
    ],
)
def test_the_order_of_several_types(kinds: list[str], expected: str) -> None:
    """The first type's order holds; what another type adds goes before what follows it there."""
    assert order(*kinds) == expected


@given(st.lists(st.lists(st.integers(0, 9), unique=True).map(sorted), min_size=1, max_size=5))
def test_types_of_one_family_keep_their_orders(kinds: list[list[int]]) -> None:
    """If the types do not contradict one another, the columns keep the order of each."""
    letters = ["".join("abcdefghij"[i] for i in numbers) for numbers in kinds]
    merged = order(*letters)

    assert sorted(merged) == sorted(set("".join(letters)))
    first = letters[0]
    assert "".join(letter for letter in merged if letter in first) == first


def test_the_default_code_is_tried_last_at_the_device_and_what_is_elsewhere_comes_behind() -> None:
    """The person at the device reads straight through, and then tries the default code."""
    settings = [
        setting("refused", role="default_refused", kind="option", options=("yes", "no", "not tried")),
        setting("heard", read_at="gateway"),
        setting("channel"),
        setting("host_low", read_at="host"),
        setting("serial_plate", read_at="label"),
    ]
    expected = ["channel", "serial_plate", "refused", "heard", "host_low"]

    assert [one.name for one in in_turn(kind("node", *settings).settings)] == expected
    assert in_one_order([settings]) == expected


def test_the_gateway_comes_first(tmp_path: Path) -> None:
    """The first row is the gateway; nodes follow in the order of the plan."""
    (sheet,) = book(tmp_path).sheets

    assert [device.tag for _, device in sheet.devices] == ["GW-1", "N-1", "N-2", "N-3"]


def test_every_device_of_an_example_is_asked_all_it_has(tmp_path: Path) -> None:
    """Each device of each network is on the sheet once, with all its settings except the codes."""
    plan = read_plan(EXAMPLES / "ostervik/plan.yaml", Inputs())
    made = book_of(plan)

    assert [sheet.network for sheet in made.sheets] == ["North", "Harbour", "Market", "Hill"]
    assert sum(len(sheet.devices) for sheet in made.sheets) == len(made.whole.devices) == 94
    for sheet in (*made.sheets, made.whole):
        for _, device in sheet.devices:
            names = [found.name for column in sheet.columns if (found := column.of(device))]
            assert sorted(names) == sorted(one.name for one in device.type.settings)


# Headings

UNITS = ["", "kPa", "m3/h", "°C", "kPa (abs)", "1/min", "%"]
LABELS = ["", "CH", "NET ID", "P (1)", "T [2]", "H [kPa]", "tag", "note", "  L  ", "a" * 90, "RATE", "x_b"]


@example(label="", unit="\r", other="")
@given(
    label=st.sampled_from(LABELS) | st.text(max_size=12),
    unit=st.sampled_from(UNITS) | st.text(max_size=5),
    other=st.sampled_from(LABELS) | st.text(max_size=12),
)
def test_every_heading_is_understood(label: str, unit: str, other: str) -> None:
    """Whatever a device calls its settings, the heading is read as the setting, in its unit."""
    mine = setting("range_high", label=label, unit=unit, role="range_high", kind="integer")
    words = vocabulary([kind("a", mine, setting("x_b", label=other))])

    text = heading([mine], words)

    assert clean(text) == text
    if words.field(text) is None:
        name, its_unit = heading_and_unit(text)
        assert (words.field(name), its_unit) == ("range_high", bare(unit))
    else:
        assert words.field(text) == "range_high"


@pytest.mark.parametrize(
    ("mine", "expected"),
    [
        (setting("range_high", label="URV", unit="kPa"), "URV [kPa]"),
        (setting("range_high", unit="kPa"), "range high [kPa]"),
        (setting("range_high", label="note", unit="kPa"), "range high [kPa]"),
        (setting("range_high", label="URV", unit="kPa (abs)"), "URV"),
        (setting("channel", label="CH"), "CH"),
        (setting("channel", label="CH (1)"), "CH (1)"),
        (setting("channel", label="OTHER"), "channel"),
    ],
)
def test_headings(mine: Setting, expected: str) -> None:
    """The label with its unit, or else the name; a heading that would be misread is not used."""
    words = vocabulary([kind("a", mine), kind("b", setting("x_other", label="OTHER"))])

    assert heading([mine], words) == expected


def test_types_that_differ_in_the_unit_share_a_heading_without_one() -> None:
    """A unit that does not apply to all rows is in the line below, with the types that it applies to."""
    kinds = [kind("a", setting("h", label="H", unit="m")), kind("b", setting("h", label="H", unit="kPa"))]
    both = [(one.name, one.settings[0]) for one in kinds]

    assert heading([one for _, one in both], vocabulary(kinds)) == "H"
    assert where_to_read(both, "H") == "in m (a); kPa (b)"


def test_types_that_differ_in_the_label_share_the_name_as_their_heading() -> None:
    """Neither label would be found on the devices of the other type."""
    both = [setting("range_high", label=label, unit="kPa") for label in ("URV", "SPAN")]
    words = vocabulary([kind("a", both[0]), kind("b", both[1])])

    assert heading(both, words) == "range high [kPa]"


@pytest.mark.parametrize(
    ("settings", "expected"),
    [
        ([("a", setting("c", label="CH", where="RADIO > CH"))], "RADIO > CH"),
        ([("a", setting("c", label="CHAN", where="RADIO"))], "CHAN, RADIO"),
        ([("a", setting("c", label="CH", read_at="host", where="export"))], "at the host: export"),
        ([("a", setting("c", label="CH"))], ""),
        (
            [("a", setting("c", label="CH", where="R > CH")), ("b", setting("c", label="CH", where="NET"))],
            "R > CH (a); NET (b)",
        ),
    ],
)
def test_where_to_read(settings: list[tuple[str, Setting]], expected: str) -> None:
    """The way through the menu; the label if the heading does not show it; types where they differ."""
    assert where_to_read(settings, "CH") == expected


@pytest.mark.parametrize("name", ["note", "serial", "read_by"])
def test_a_setting_that_can_never_be_read(tmp_path: Path, name: str) -> None:
    """A setting named like another column of a readback is reported, with the names in use."""
    with pytest.raises(InputProblems, match=f"'{name}' is a column of readbacks"):
        book(tmp_path, settings=[*NODE_SETTINGS, {"name": name, "kind": "text"}])


# Networks


def test_an_unknown_network(tmp_path: Path) -> None:
    """A network that is not in the plan is refused, and the nearest is named."""
    with pytest.raises(InputProblems, match=r"unknown network 'Mian'\n.*Main"):
        book(tmp_path, networks=("Mian",))


def test_networks_come_in_the_plans_order() -> None:
    """However they are named on the command line."""
    plan = read_plan(EXAMPLES / "merrow-vale/plan.yaml", Inputs())
    for names in permutations(["Upper", "Lower"]):
        made = book_of(plan, names)
        assert [sheet.network for sheet in made.sheets] == ["Upper", "Lower"]
        assert len(made.whole.devices) == 34


def test_planned_values_belong_to_their_device(tmp_path: Path) -> None:
    """With planned values, each device has its own, those it inherits, and no others."""
    made = book(tmp_path, with_plan=True)
    planned = {device.tag: dict(device.planned) for _, device in made.whole.devices}

    assert planned["GW-1"] == {
        "channel": "7", "air_rate": "9.6 kbit/s", "network_id": "00A7", "joining": "closed",
    }  # fmt: skip
    for number in (1, 2, 3):
        mine = planned[f"N-{number}"]
        assert (mine["address"], mine["chamber"]) == (f"{10 + number}", f"3-{number}")
        assert (mine["channel"], mine["range_low"]) == ("7", "-2.5 kPa")


def test_planned_values_are_in_rows_that_are_told_from_those_to_fill_in(tmp_path: Path) -> None:
    """A workbook shows these in another style; a blind one has none."""
    for with_plan, expected in ((True, [True, False] * 4), (False, [False] * 4)):
        made = book(tmp_path, with_plan=with_plan)
        assert [row.planned for row in rows(made.whole, made)] == expected


def test_a_node_that_is_planned_twice_is_one_row_and_moves_no_other_node_s_values(tmp_path: Path) -> None:
    """What is planned for the node after the second entry is with that node."""
    nodes = [planned_node(1), planned_node(1), planned_node(2)]
    made = book(tmp_path, with_plan=True, nodes=nodes)

    asked = [(device.tag, device.planned.get("address")) for _, device in made.sheets[0].devices[1:]]

    assert asked == [("N-1", "11"), ("N-2", "12")]


def test_planned_values_of_the_examples_are_those_of_the_check() -> None:
    """Node tables, several types and inherited values come out as in the check itself."""
    from audit.pairing.planning import planned_blocks
    from audit.reading.meanings import Meanings

    for site in ("merrow-vale", "tarnbeck", "ostervik"):
        plan = read_plan(EXAMPLES / site / "plan.yaml", Inputs())
        planned = {device.tag: device.planned for _, device in book_of(plan, with_plan=True).whole.devices}
        for block in planned_blocks(plan, Meanings()):
            for i, tag in enumerate(block.tags):
                assert planned[tag] == {name: values[i].shown for name, values in block.planned.items()}


def test_hub_settings_are_a_part_of_the_columns(tmp_path: Path) -> None:
    """Settings that only the gateway has are columns too, empty and locked for nodes."""
    (sheet,) = book(tmp_path).sheets
    joining = next(column for column in sheet.columns if column.heading == "JOIN")
    by_tag = {device.tag: device for _, device in sheet.devices}

    assert joining.of(by_tag["GW-1"]) is not None
    assert joining.of(by_tag["N-1"]) is None
    assert len(HUB_SETTINGS) == sum(column.of(by_tag["GW-1"]) is not None for column in sheet.columns)
