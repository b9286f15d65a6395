"""When a gateway last heard a node: spans, times and words as in readbacks."""

from __future__ import annotations

import datetime

import pytest

from audit.model.device import DeviceType, Setting
from audit.model.mapping import Mapping
from audit.model.table import RawColumn
from audit.reading.csv_grid import read_csv
from audit.reading.gateway_lists import list_words
from audit.reading.heard import are_spans, seconds_ago
from audit.reading.tables import to_table
from audit.reading.values import parse
from audit.reading.vocabulary import vocabulary
from tests.reading.made import file

HEARD = Setting(name="last_heard", kind="integer", role="last_heard", unit="min", label="AGE")
WORDS = vocabulary([DeviceType(asfound="device-type/1", name="node", settings=(HEARD,))])

EIGHT = datetime.datetime(2026, 4, 1, 8)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("02:31:00", 9060.0), ("0:00:20", 20.0), ("2026-04-01T07:59", 60.0),
        ("2026-04-01T08:01", 0.0), ("never", None), ("a while", None),
        ("2 h 31 min", 9060.0), ("1 day, 02:00:00", 93600.0), ("2H31M", 9060.0), ("2 hm 1 s", None),
        ("2 hours 31 minutes", 9060.0), ("3 days 1 hour 5 secs", 262805.0), ("2026-03-31", 28800.0),
        ("2026-04-01", None), ("151 min", None), ("02:75:00", None), ("20260401", None),
    ],
)  # fmt: skip
def test_how_long_ago(text: str, seconds: float | None) -> None:
    """A span or a moment; a clock that is fast makes nothing negative; a day alone may have been its end."""
    assert seconds_ago(text, EIGHT, spans=True) == seconds


@pytest.mark.parametrize("at", ["2026-04-01T08:00+02:00", "2026-04-01T08:00-05:00", "2026-04-01T08:00Z"])
def test_a_time_without_an_offset_is_of_the_clock_of_its_row(at: str) -> None:
    """A list whose rows state an offset, and whose nodes were heard at times that do not."""
    written = datetime.datetime.fromisoformat(at)
    assert seconds_ago("2026-04-01T07:59", written, spans=True) == 60.0
    assert heard("A;2026-04-01T07:59;" + at).texts == ["60 s"]
    assert heard("A;2026-04-01T05:59Z;2026-04-01T08:00+02:00").texts == ["60 s"]
    assert are_spans((text, written) for text in ("07:59:40", "07:59:20", "02:31:00")) is False


@pytest.mark.parametrize(
    ("texts", "at", "spans"),
    [
        (["00:00:20", "00:00:40", "02:31:00"], EIGHT, True),
        (["07:59:40", "07:59:20", "02:31:00"], EIGHT, False),
        (["02:00:00", "02:00:00"], EIGHT, True),
        (["00:00:20"], None, True),
        (["07:59:40"], None, False),
        (["243:35:00", "00:09:29"], None, True),
        (["27:40:00", "07:59:20", "07:59:40"], EIGHT, True),
        (["20"], EIGHT, True),
    ],
)
def test_a_span_is_told_from_a_time_of_the_day(
    texts: list[str], at: datetime.datetime | None, spans: bool
) -> None:
    """As times of day, most nodes of the first list would have been heard eight hours before it."""
    assert are_spans((text, at) for text in texts) == spans


def heard(*rows: str, **mapping: str) -> RawColumn:
    """Return the column AGE of a list with such rows of tag, age and time of reading."""
    options = Mapping(**mapping)  # type: ignore[arg-type]
    text = "\n".join(("tag;AGE;read_at", *rows))
    return to_table(read_csv(file("list.csv", text), options), options, WORDS).columns["last_heard"]


def test_times_become_seconds_and_are_shown_as_written() -> None:
    """In the unit of the setting, whatever it is."""
    column = heard("A;2026-04-01T07:30;2026-04-01T08:00", "B;12;2026-04-01T08:00")
    a, b = (parse(text, HEARD, column.style) for text in column.texts)

    assert (a.content, b.content) == (30, 12)
    assert column.raw == ["2026-04-01T07:30", "12"]


def test_times_in_a_declared_form_become_seconds() -> None:
    """The form applies to all dates of the file."""
    column = heard("A;01.04.2026 07:59;01.04.2026 08:00", dates="DD.MM.YYYY")
    assert column.texts == ["60 s"]


@pytest.mark.parametrize("text", [" 02:31:00", "2 h 31 min "])
@pytest.mark.parametrize("dates", ["", "DD.MM.YYYY"])
def test_blanks_around_a_span_mean_nothing(text: str, dates: str) -> None:
    """Whether the mapping declares how dates are written, or not."""
    assert heard(f"A;{text};2026-04-01 08:00", dates=dates).texts == ["9060 s"]


@pytest.mark.parametrize("text", ["2026-04-01T07:30", "07:30"])
def test_a_time_without_one_of_reading_says_what_it_lacks(text: str) -> None:
    """It is not a number that a spreadsheet has spoilt."""
    value = parse(heard(f"A;{text};").texts[0], HEARD, heard("A;1;").style)
    assert "does not say how long ago" in value.note


def test_a_blank_in_a_list_is_told_where_other_rows_have_a_time() -> None:
    """The text is left as it is; in a list without any times, a blank stays blank."""
    column = heard("A;20;", "B;-;", "C;;")
    assert list(column.texts) == ["20", "no time, as others have", "no time, as others have"]
    assert list(column.raw) == ["20", "-", ""]
    assert list(heard("A;-;", "B;;").texts) == ["-", ""]


@pytest.mark.parametrize("text", ["yesterday", "2:31:00 h", "31 apples", "2026-04-01"])
def test_what_is_not_understood_is_told_with_all_forms(text: str) -> None:
    """One sentence whatever the text: nobody has to try the forms one by one."""
    value = parse(text, HEARD, heard("A;1;").style)
    assert value.note == (
        f"{text!r} does not say how long ago; write seconds, hh:mm:ss, 2 h 31 min or never, "
        "or date and time beside a read_at"
    )


@pytest.mark.parametrize(
    ("read_at", "ages"),
    [
        ("2026-04-01T08:00", [0, 3000, 90000]),  # the gateway's clock is an hour ahead
        ("2026-04-01T10:00", [3700, 6700, 93700]),
        ("2026-04-01", [0, 3000, 90000]),  # a day alone: not before the newest time of that day
        ("2026-03-31", [0, 0, 0]),  # what is of the next day is a mistake
        ("2026-03-31T10:00", [0, 0, 7300]),  # no clock is a day ahead
        ("2026-04-01T08:00Z", [0, 3000, 90000]),
    ],
)
def test_a_list_is_not_older_than_the_newest_time_in_it(read_at: str, ages: list[int]) -> None:
    """Or a node that has been silent would count as heard just now. Another gateway's clock is another."""
    times = ("2026-04-01T08:58:20", "2026-04-01T08:08:20", "2026-03-31T07:58:20")
    assert heard(*(f"A;{time};{read_at}" for time in times)).texts == [f"{age} s" for age in ages]


def test_a_list_of_a_day_alone_may_be_of_its_last_hour() -> None:
    """No time of that day is a mistake of the gateway's clock."""
    times = ("2026-04-01T23:00:00", "2026-04-01T21:00:00")
    assert heard(*(f"A;{time};2026-04-01" for time in times)).texts == ["0 s", "7200 s"]


def test_the_clock_of_a_gateway_is_its_own() -> None:
    """The one that is ahead says nothing of the list of the other."""
    text = "tag;gateway;AGE;read_at\nA;G1;2026-04-01T08:59;{0}\nB;G2;2026-04-01T07:59;{0}"
    table = read_csv(file("list.csv", text.format("2026-04-01T08:00")), Mapping())
    words = list_words(WORDS)
    assert to_table(table, Mapping(), words).columns["last_heard"].texts == ["0 s", "60 s"]


def test_what_may_be_a_time_of_the_day_is_not_asked_for_in_the_form_it_has() -> None:
    """The list has no time of reading, by which a span could be told from a time of the day."""
    value = parse(heard("A;07:59:40;").texts[0], HEARD, heard("A;1;").style)
    assert value.note == (
        "'07:59:40' may be a time of day or a span; write it as 2 h 31 min, or put date and time into read_at"
    )


def test_a_date_in_another_order_lacks_its_form() -> None:
    """The time of reading is there; the order of the date is missing. Once declared, it is a moment."""
    row = "A;01.04.2026 07:59;2026-04-01T08:00"
    value = parse(heard(row).texts[0], HEARD, heard("A;1;").style)
    assert value.note.endswith(
        "is a date not written like 2026-03-31; state `dates:`, such as DD.MM.YYYY, in a mapping"
    )

    said = heard("A;01.04.2026 07:59;", dates="DD.MM.YYYY")
    assert "beside a read_at" in parse(said.texts[0], HEARD, said.style).note


def test_a_number_with_the_other_mark_says_so() -> None:
    """That is a matter of the whole file."""
    assert "state `decimal: ','` in a mapping" in parse("1,5 min", HEARD, heard("A;1;").style).note


@pytest.mark.parametrize("text", ["never", "Offline"])
def test_a_word_for_not_heard_is_read(text: str) -> None:
    """It has no number, and is not a slip."""
    value = parse(text, HEARD, heard("A;1;").style)
    assert (value.read, value.content, value.shown, value.number) == (True, "never", text, None)
