"""Figures as text."""

from __future__ import annotations

from pathlib import Path

from audit.reporting.figures_text import BEYOND, render
from tests.figures.test_listing import SITE, figures


def test_a_limit_that_all_have_stands_below_the_table(tmp_path: Path) -> None:
    """What is beyond it is marked in the table."""
    text = render(figures(tmp_path, **SITE))

    assert "A     27 dB" in text
    assert "B     ! 10 dB" in text
    assert "link margin: at least 10 dB" in text


def test_figures_of_a_network_stand_one_below_the_other(tmp_path: Path) -> None:
    """At a terminal, only one beyond its limit is set off; what does not fit in a line goes on further in."""
    made = figures(tmp_path, **SITE)
    of_network = [line.model_copy(update={"node": None}) for line in made.lines]

    text = render(made.model_copy(update={"lines": of_network}), width=44, colour=True)

    bright = [line for line in text.splitlines() if "\x1b[31" in line]
    assert f"  {BEYOND} link margin 10 dB" in bright[0]
    assert not any("link margin 27 dB" in line for line in bright)
    assert "\n  link margin 27 dB, at least 10 dB: 14 dBm\n      − 91.2 dB over" in text


def test_limits_that_differ_are_seen_device_by_device(tmp_path: Path) -> None:
    """As where each node has its own time to respond."""
    rows = [
        {"report_interval": 60, "air_rate": "9.6", "alarm_high": 10, "response_time_s": s} for s in (90, 60)
    ]
    site = {"planned": rows, "type_keys": {"message": {"bits": 480}}}
    table = render(figures(tmp_path / "table", **site))
    sums = render(figures(tmp_path / "sums", **site), sums=True)

    assert "time from event to alarm: limits differ; --only shows them" in table
    assert "at most 90 s" in sums
    assert "! time from event to alarm" in sums
    assert "at most 60 s" in sums


def test_what_was_not_worked_out_comes_last(tmp_path: Path) -> None:
    """Two figures of one title are told apart."""
    text = render(figures(tmp_path, **SITE))
    _, _, lacking = text.partition("NOT WORKED OUT")

    assert "airtime: needs the channel access in the plan (access), or the airtime of a" in lacking
    assert "battery (battery-volts): needs" in lacking
    assert "battery (battery-volts-when-warm): needs" in lacking
    assert "a survey and measurements" in lacking


def test_where_all_was_worked_out_nothing_is_said_to_lack(tmp_path: Path) -> None:
    """No heading stands over nothing."""
    made = figures(tmp_path, **SITE)

    assert "NOT WORKED OUT" not in render(made.model_copy(update={"gaps": []}))


def test_a_site_without_numbers_is_told_what_they_would_be(tmp_path: Path) -> None:
    """Instead of an empty list."""
    text = render(figures(tmp_path, planned={"tag": "A"}))

    assert "nothing could be worked out; below is what each figure needs" in text
    assert "expected signal: needs a radio power, for 1 device" in text


def test_figures_that_do_not_fit_beside_each_other_go_into_a_further_table(tmp_path: Path) -> None:
    """With nine of them at 80 columns, words of the headings and even the tags were cut in two."""
    made = figures(tmp_path, **SITE)

    beside, below = (
        [line.strip() for line in render(made, width=width).splitlines() if line.startswith(("  A ", "  B "))]
        for width in (40, 24)
    )

    assert [line.split()[0] for line in beside] == ["A", "B"]
    assert [" ".join(line.split()) for line in below] == ["A 27 dB", "B ! 10 dB", "A -77 dBm", "B -94 dBm"]
