"""The matrix of nodes by settings: what is shown, what is left out, and what each cell shows."""

from __future__ import annotations

from audit.model.detail import DeviceDetail, SettingDetail
from audit.reporting.matrix import Matrix, matrix
from tests.reporting.detailed import detailed, setting


def device(tag: str, *settings: SettingDetail, state: str = "as planned") -> DeviceDetail:
    """Return a node with some settings."""
    blank = (detailed(1).devices or [])[1]
    return blank.model_copy(update={"tag": tag, "settings": list(settings), "state": state})


def texts(made: Matrix) -> dict[str, list[str]]:
    """Return the cells of a matrix by tag, those of all parts in a row."""
    rows: dict[str, list[str]] = {}
    for part in made.parts:
        for row in part.rows:
            rows.setdefault(row.device.tag, []).extend(cell.text for cell in row.cells)
    return rows


SAME = setting("channel", "7")
OTHER = setting("channel", "7", "9")
MISSING = setting("firmware", "2.4.1", None)
UNCLEAR = setting("firmware", "2.4.1", "2,4").model_copy(update={"state": "unclear"})
UNPLANNED = setting("menu_lock", None, "off")


def test_each_outcome_has_its_sign() -> None:
    """As planned, a different value, not read and unclear can be told apart without colour."""
    made = matrix(
        [
            device("A", SAME, MISSING),
            device("B", OTHER, UNCLEAR, state="differs"),
            device("C", UNPLANNED),
        ],
        set(),
        whole=True,
    )

    assert texts(made) == {"A": ["·", "?"], "B": ["≠ 9", "! 2,4"], "C": ["", ""]}


def test_a_finding_about_something_not_planned_shows() -> None:
    """A factory code that is accepted is not against the plan, but it is still marked."""
    made = matrix([device("A", SAME, UNPLANNED)], {("Area", "A", "menu_lock")}, whole=True)

    assert texts(made) == {"A": ["·", "× off"]}


def test_a_device_that_was_not_read_has_no_cells() -> None:
    """One statement covers the whole row."""
    made = matrix([device("A", SAME), device("B", MISSING, state="not read")], set(), whole=True)

    assert [(row.device.tag, bool(row.cells)) for row in made.parts[0].rows] == [("A", True), ("B", False)]


def test_of_many_only_what_has_something_to_say_is_shown() -> None:
    """Devices and settings that are as planned are counted instead."""
    devices = [device(f"N{n}", SAME, setting("contrast", "40")) for n in range(99)]
    made = matrix(
        [*devices, device("A", OTHER, setting("contrast", "40"), state="differs")], set(), whole=False
    )

    assert texts(made) == {"A": ["≠ 9"]}
    assert made.parts[0].columns == ["channel"]
    assert (made.devices_left_out, made.settings_left_out) == (99, 1)


def test_many_columns_are_parted_so_that_a_page_holds_them() -> None:
    """Sixty settings do not fit side by side: each is in one part, with only the rows that show something."""
    names = [f"setting_{n}" for n in range(60)]
    everything = [SAME.model_copy(update={"name": name}) for name in names]
    made = matrix([device("A", *everything), device("B", everything[0])], set(), whole=True)

    assert [name for part in made.parts for name in part.columns] == names
    assert len(made.parts) > 1
    assert [row.device.tag for row in made.parts[-1].rows] == ["A"]


def test_long_values_are_cut() -> None:
    """A cell stays narrow; the whole value is among the findings."""
    made = matrix([device("A", setting("channel", "7", "x" * 300), state="differs")], set(), whole=True)

    assert texts(made) == {"A": ["≠ " + "x" * 11 + "…"]}


def test_nothing_to_say_is_no_table() -> None:
    """If all are as planned, there is a count and no empty table."""
    made = matrix([device(f"N{n}", SAME) for n in range(200)], set(), whole=False)

    assert made.parts == []
    assert made.devices_left_out == 200
