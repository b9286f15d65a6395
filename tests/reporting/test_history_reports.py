"""Histories as text, table and page: what each of them says of the same baselines."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from audit.history.telling import read_all, tell
from audit.model.history import History, Standing
from audit.reporting import history_csv, history_html, history_text
from tests.histories import Devices, chain


def history(folder: Path, *years: Devices) -> History:
    """Return the history of baselines a year apart."""
    return tell(read_all(chain(folder, years)))


def test_what_went_back_and_forth_has_its_unit_in_the_table_and_a_mark_on_the_page(tmp_path: Path) -> None:
    """The mark stands at the setting of that node alone."""
    still = {"high_alarm": "8", "range_high": "10"}
    made = history(tmp_path, *({"LT-1": still | {"high_alarm": high}, "LT-2": still} for high in "898"))

    (row,) = (row for row in csv.DictReader(io.StringIO(history_csv.render(made)))
              if row["what"] == "back and forth")  # fmt: skip
    assert (row["node"], row["setting"], row["before"], row["after"], row["unit"]) == (
        "LT-1", "high_alarm", "9", "8", "m",
    )  # fmt: skip
    assert history_html.render(made).count('<b class="x">back and forth</b>') == 2


def test_what_was_not_read_is_told_with_the_baseline(tmp_path: Path) -> None:
    """Whole devices by name, and how many settings of the others."""
    read = {"high_alarm": "8", "range_high": "10"}
    made = history(tmp_path, {"LT-1": read, "LT-2": read}, {"LT-1": {"high_alarm": "8"}, "LT-2": {}})

    text = " ".join(history_text.render(made).split())

    assert "2021-05-10: devices: North LT-2; 1 setting on devices that were read" in text


def test_a_finding_that_was_open_for_one_day(tmp_path: Path) -> None:
    """One day is no days."""
    stood = Standing(
        rule="setting-differs", level="error", network="North", node="LT-1", settings=["high_alarm"],
        since="2020-05-10", gone_by="2020-05-11", days=1, waived=None,
    )  # fmt: skip
    made = history(tmp_path, {"LT-1": {"high_alarm": "8"}}).model_copy(update={"standing": [stood]})

    assert 'error setting-differs, 1 day"' in history_csv.render(made)
