"""Entry files: what `asfound check` makes of readings typed in by hand, and of damaged files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import InputProblems, Problem
from audit.model.device import DeviceType
from audit.model.table import HIDDEN
from audit.reading.entries import TORN_MARK, read_entries
from audit.reading.entry_table import entry_table
from audit.reading.files import FileBytes
from audit.reading.vocabulary import vocabulary
from tests.entry_lines import as_lines, at, entry, skipped
from tests.refusing import assert_refused, refusal
from tests.small_site import ACCESS_CODE, SETTINGS, SmallSite, small_site

WORDS = vocabulary(
    [DeviceType.model_validate({"asfound": "device-type/1", "name": "node",
                                "settings": tuple(dict(setting) for setting in SETTINGS)})]
)  # fmt: skip


def with_entries(folder: Path, *entries: dict[str, Any], **bent: Any) -> SmallSite:
    """Return a site whose readback is a CSV as planned, with some entries that come after it."""
    site = small_site(folder, **bent)
    site.readbacks.append(site.write("more.jsonl", as_lines(*entries)))
    return site


# What counts


def test_entries_are_read_without_a_mapping(tmp_path: Path) -> None:
    """A device of which every setting was entered is read back, and as planned."""
    site = small_site(tmp_path)
    settings = {"serial": "100001", "channel": "7", "network_id": "A7", "address": "11",
                "range_low": "0", "range_high": "1000", "high_alarm": "780,0"}  # fmt: skip
    site.read("found.jsonl", as_lines(*(entry("N-1", name, value) for name, value in settings.items())))

    result = site.result()

    assert (result["counts"]["devices_read"], result["counts"]["verified"]) == (1, 6)
    assert "N-1" not in {finding["node"] for finding in result["findings"]}


def test_a_difference_quotes_file_line_and_text(tmp_path: Path) -> None:
    """What was typed is quoted as it was typed, with its line, and shown as understood, in both units."""
    site = with_entries(tmp_path, entry("N-2", "channel", "7"), entry("N-2", "high_alarm", "2,8", unit="bar"))

    undated, finding = site.result()["findings"]

    assert undated["rule"] == "readings-disagree"  # the small site's sheet says nothing of when
    assert finding["caused_by"] == undated["id"]
    assert (finding["rule"], finding["raw"], finding["found"]) == (
        "alarm-off-plan",
        "2,8 bar",
        "2.8 bar = 280 kPa",
    )
    place = finding["evidence"][0]
    assert (Path(place["file"]).name, place["row"], place["column"]) == ("more.jsonl", 2, "value")


def test_the_newest_reading_counts_and_a_second_one_is_no_disagreement(tmp_path: Path) -> None:
    """A value that was read again is not a finding: the later reading is as planned."""
    site = with_entries(
        tmp_path,
        entry("N-2", "channel", "8", read_at=at(15)),
        entry("N-2", "channel", "7", read_at=at(16), reading=2),
    )

    assert site.rules_found() == []


def test_both_readings_stay_as_evidence(tmp_path: Path) -> None:
    """Both lines are in the table, each with its place, the newer one last."""
    lines = as_lines(entry("N-2", "channel", "8"), entry("N-2", "channel", "9", read_at=at(16), reading=2))
    table = entry_table(read_entries(as_file(lines), WORDS))

    places = [table.place(row, "channel") for row in range(2)]

    assert [(place.row, place.raw) for place in places] == [(1, "8"), (2, "9")]


def test_a_skip_withdraws_the_reading_before_it(tmp_path: Path) -> None:
    """Skipping a setting after reading it withdraws the reading: it counts as not read."""
    site = small_site(tmp_path)
    read = [entry("N-1", name, value) for name, value in (("channel", "7"), ("network_id", "A7"))]
    site.read("found.jsonl", as_lines(*read, skipped("N-1", "channel", "display went blank")))

    unread = {f["setting"] for f in site.result()["findings"] if f["rule"] == "setting-not-read"}

    assert "channel" in unread
    assert "network_id" not in unread


def test_reports_tell_why_a_setting_was_left_out(tmp_path: Path) -> None:
    """The finding has the reason, and the evidence the place where it was typed; never what may be a code."""
    site = small_site(tmp_path)
    lines = (entry("N-1", "network_id", "A7"), skipped("N-1", "channel", "display is dark"),
             skipped("N-1", "address"), skipped("N-1", "range_low", "access code is 4711"),
             skipped("N-1", "range_high", " 4711"),
             skipped("N-2", "serial", "hangs above the furnace"))  # fmt: skip
    site.read("found.jsonl", as_lines(*lines))

    result = site.result()
    findings = {(f["node"], f["setting"]): f for f in result["findings"] if "left out" in f["message"]}

    told = {key: finding["message"].split("; ")[-1] for key, finding in findings.items()}
    assert told == {
        ("N-1", "channel"): "it was left out by hand: 'display is dark'",
        ("N-1", "address"): "it was left out by hand, no reason given",
        ("N-1", "range_low"): f"it was left out by hand: {HIDDEN}",
        ("N-1", "range_high"): f"it was left out by hand: {HIDDEN}",
        ("N-2", None): "serial was left out by hand: 'hangs above the furnace'",
    }
    assert "4711" not in json.dumps(result)
    assert (2, "skipped") in [(e["row"], e["column"]) for e in findings["N-1", "channel"]["evidence"]]


def test_a_value_after_a_skip_counts(tmp_path: Path) -> None:
    """A setting that was skipped at first and read later counts as read."""
    lines = as_lines(skipped("N-2", "channel"), entry("N-2", "channel", "7"))
    table = entry_table(read_entries(as_file(lines), WORDS))

    assert list(table.texts("channel")) == ["7"]


def test_notes_alone_do_not_count_as_reading_a_device(tmp_path: Path) -> None:
    """A device with a note, a photo and skipped settings was not read, whatever was written about it."""
    lines = as_lines(
        entry("N-1", "note", "no access"),
        entry("N-1", "photo", "1.jpg"),
        skipped("N-1", "channel"),
        entry("N-2", "channel", "7"),
        entry("N-2", "note", "wet"),
    )
    table = entry_table(read_entries(as_file(lines), WORDS))

    assert list(table.texts("tag")) == ["N-2", "N-2"]
    assert list(table.texts("note")) == ["", "wet"]


def test_the_newest_serial_number_says_whose_readings_they_are(tmp_path: Path) -> None:
    """A device mounted in another's place is found by its serial number, for all of its settings."""
    site = with_entries(
        tmp_path,
        entry("N-1", "channel", "8", read_at=at(15)),
        entry("N-1", "serial", "100099", read_at=at(16)),
        entry("N-1", "serial", "100002", read_at=at(17), reading=2),
        readback_rows=[{"tag": "GW-1", "serial": "900001", "network": "Main"}],
    )

    (finding,) = (f for f in site.result()["findings"] if f["rule"] == "channel-differs")

    assert finding["node"] == "N-2"


def test_all_rows_have_the_newest_serial_number() -> None:
    """Also that of the older number, which was mistyped."""
    lines = as_lines(entry("N-1", "serial", "100099"), entry("N-1", "channel", "8"),
                     entry("N-1", "serial", "100002", reading=2))  # fmt: skip
    table = entry_table(read_entries(as_file(lines), WORDS))

    assert list(table.texts("serial")) == ["100002"] * 3


def test_a_label_and_another_case_name_a_setting(tmp_path: Path) -> None:
    """A file written by hand may name settings as the display does."""
    lines = as_lines(entry("N-2", "NET ID", "A8"), entry("N-2", "Photo", "a.jpg"))

    assert [line.name for line in read_entries(as_file(lines), WORDS).lines] == ["network_id", "photo"]


def test_a_folder_of_readbacks_may_hold_entries(tmp_path: Path) -> None:
    """Entries are found in a folder like any other readback."""
    site = small_site(tmp_path)
    site.write("readbacks/a.jsonl", as_lines(entry("N-2", "channel", "8")))
    site.write("readbacks/.a.jsonl.lock", "")  # what `asfound enter` leaves beside it
    site.readbacks[:] = [tmp_path / "readbacks"]

    assert "channel-differs" in site.rules_found()
    assert not any("lock" in file["file"] for file in site.result()["inputs"])


def test_no_list_of_nodes_is_read_from_entries(tmp_path: Path) -> None:
    """Entries are readings; for a node table with that ending, the kinds of table read are listed."""
    site = small_site(tmp_path, network_extra={"node_tables": [{"file": "more.jsonl"}]})
    site.write("more.jsonl", as_lines(entry("N-9", "channel", "7")))

    assert_refused(site, at="more.jsonl", says="is a kind of file that is not read (.jsonl)", mend=".xlsx")


# Torn records


WHOLE = as_lines(entry("N-2", "channel", "8"))


@pytest.mark.parametrize(
    "torn",
    [b'{"asfound": "entry/1", "tag": "N-2", "sett', b'{"note": "gr\xc3', b"\x00" * 40, b"{", b'{"a": "\\u00'],
    ids=["cut off", "half a character", "zeros", "one character", "half an escape"],
)
@pytest.mark.parametrize("closed", [False, True], ids=["as it was", "closed off"])
def test_a_torn_record_is_told_and_what_stands_around_it_counts(
    tmp_path: Path, torn: bytes, closed: bool
) -> None:
    """A torn record is a warning with its line and its text, at once and in the result."""
    site = small_site(tmp_path)
    after = TORN_MARK.encode() + b"\n" + as_lines(entry("N-3", "channel", "9")).encode() if closed else b""
    site.read("found.jsonl", WHOLE.encode() + torn + after)

    outcome = site.check()
    result = site.result()

    assert outcome.code == 1
    assert outcome.stderr.startswith(f"{tmp_path.as_posix()}/found.jsonl:2: warning: a torn record, left out")
    assert outcome.stderr.splitlines()[1] == "    fix: read that setting again at the device"
    assert "line 2: a torn record" in result["inputs"][-1]["note"]
    channels = [f["node"] for f in result["findings"] if f["rule"] == "channel-differs"]
    assert channels == ["N-2", "N-3"] if closed else ["N-2"]


@given(st.integers(0, len(WHOLE) - 2))
def test_a_record_cut_off_anywhere_is_torn(length: int) -> None:
    """Wherever the power failed, the records before are kept, and the rest is not a reading."""
    entries = read_entries(as_file(WHOLE + WHOLE[:length]), WORDS)

    assert (len(entries.lines), len(entries.warnings)) == (1, 1 if length else 0)


def test_a_whole_record_without_its_newline_counts() -> None:
    """A file written by hand may end without a newline."""
    entries = read_entries(as_file(WHOLE + WHOLE.rstrip("\n")), WORDS)

    assert (len(entries.lines), entries.warnings) == (2, ())


def test_a_torn_record_shows_no_access_code(tmp_path: Path) -> None:
    """Whatever is in a torn record, a word for an access code hides it."""
    site = small_site(tmp_path)
    site.read("found.jsonl", WHOLE + '{"setting": "access code", "value": "4711')

    assert "4711" not in site.check().written


def test_readings_of_a_setting_that_is_no_longer_there_are_left_out(tmp_path: Path) -> None:
    """A device type that loses a setting must not make a year's entries useless; what is left out is told."""
    site = small_site(tmp_path)
    gone = [entry(tag, "damping", "1") for tag in ("N-1", "N-2")]
    path = site.write("found.jsonl", WHOLE + as_lines(*gone))

    outcome = site.check(path)
    told = "found.jsonl:2: warning: left out 2 readings of the setting 'damping', which no device type has"
    assert told in " ".join(outcome.stderr.split())
    assert outcome.code == site.check(site.write("less.jsonl", WHOLE)).code == 1

    path.write_text(WHOLE + as_lines(entry("N-1", "tag", "7")), encoding="utf-8")
    assert "unknown setting 'tag'" in site.check(path).stderr


# What cannot be read


SLIPS = [
    pytest.param(entry("N-1", "chanel", "7"), ":1", "unknown setting 'chanel'", "channel", id="setting"),
    pytest.param(entry("N-1", "tag", "7"), ":1", "unknown setting 'tag'", "known: address", id="a field"),
    pytest.param(entry("N-1", "channel", 7), ":1", "found 7 (in value)", "quotes", id="number"),  # type: ignore[arg-type]
    pytest.param(entry("N-1", "channel", " "), ":1", "the value is blank", "skipped", id="blank"),
    pytest.param(skipped("N-1", "channel", "") | {"value": "7"}, ":1", "both a value and `skipped`",
                 "leave one", id="skipped with a value"),
    pytest.param(entry("N-1", "channel", "7", colour="red"), ":1", "unknown key 'colour'", "reading",
                 id="unknown key"),
    pytest.param(entry("N-1", "channel", "7", read_at="9 o'clock"), ":1", "is not a date or time",
                 "2026-03-31T09:15", id="time"),
    pytest.param(entry("N-1", "channel", "7", reading=0), ":1", "0 (in reading)", "at least 1", id="count"),
    pytest.param(entry("", "channel", "7"), ":1", "the text is empty (in tag)", "at least 1 character",
                 id="no tag"),
    pytest.param(entry("N-1", "channel", "7", site="Big Site"), ":1", "the site 'Big Site'", "this site",
                 id="another site"),
    pytest.param(entry("X-1", "channel", "7"), ":1", "the device read is not known at", "it belongs to",
                 id="no device of the plan"),
    pytest.param(entry("N-1", "channel", "9" * 30), ":1", "beyond any whole number", "read it again",
                 id="no number of a device"),
    pytest.param(entry("N-1", "note", "x" * 2000), ":1", "is too long (in value)", "at most 1,000 characters",
                 id="long note"),
]  # fmt: skip


@pytest.mark.parametrize(("slip", "place", "says", "mend"), SLIPS)
def test_slips_in_an_entry(tmp_path: Path, slip: dict[str, Any], place: str, says: str, mend: str) -> None:
    """An entry that cannot be read is reported with its line, and how to correct it."""
    site = small_site(tmp_path).read("found.jsonl", as_lines(slip))

    assert_refused(site, at=f"found.jsonl{place}", says=says, mend=mend)


FILES = [
    pytest.param("", "", "is empty", "enter readings", id="empty"),
    pytest.param("\n\n", "", "is empty", "enter readings", id="blank lines"),
    pytest.param("tag,channel\nN-1,7\n", "", "is not a file of entries", "asfound enter", id="a CSV"),
    pytest.param('{\n "asfound": "readback/1",\n "devices": []\n}\n', "", "is not a file of entries", "form",
                 id="a readback in JSON"),
    pytest.param(WHOLE.encode("utf-16"), "", "UTF-16", "UTF-8", id="UTF-16"),
    pytest.param(WHOLE.encode() + b'{"asfound": "entry/1", "tag": "\xff"}\n', ":2", "byte 0xff is not UTF-8",
                 "UTF-8", id="another encoding"),
    pytest.param(WHOLE + WHOLE[:-3] + "\n" + WHOLE, ":2", "is not JSON", "quotes",
                 id="damaged in the middle"),
    pytest.param(WHOLE + WHOLE.rstrip() + WHOLE, ":2", "is not JSON: Extra data", "brackets",
                 id="two in one line"),
    pytest.param(WHOLE + '["asfound"]\n', ":2", "is not a reading", "entry/1", id="a list"),
    pytest.param(WHOLE + WHOLE.replace("entry/1", "readback/1"), ":2", "is a readback", "reading",
                 id="another form"),
    pytest.param(WHOLE.replace('"tag"', '"tag": "N-1", "tag"'), ":1", "the key 'tag' is given twice",
                 "keep one", id="key given twice"),
    pytest.param(WHOLE + "[" * 90_000 + "\n", ":2", "is nested too deeply", "flatten", id="nesting"),
    pytest.param(WHOLE + "7" * 200_000 + "\n", ":2", "longer than 100,000 bytes", "right file",
                 id="long line"),
    pytest.param(as_lines(skipped("N-1", "channel")), "", "everything in it was left out", "at least one",
                 id="nothing but skips"),
    pytest.param('{"asfound": "entry/1", "tag', "", "has no readings", "at least one",
                 id="nothing but torn"),
]  # fmt: skip


@pytest.mark.parametrize(("content", "place", "says", "mend"), FILES)
def test_files_that_cannot_be_read(
    tmp_path: Path, content: str | bytes, place: str, says: str, mend: str
) -> None:
    """A file without usable entries is reported in one message."""
    site = small_site(tmp_path).read("found.jsonl", content)

    assert_refused(site, at=f"found.jsonl{place}", says=says, mend=mend)


def test_every_problem_of_a_file_is_told(tmp_path: Path) -> None:
    """All slips of a file come in one run, in the order of its lines."""
    slips: list[Any] = [case.values[0] for case in SLIPS[:9]]
    site = small_site(tmp_path).read("found.jsonl", as_lines(*slips))

    problems = refusal(site).problems

    behind = [problem.removeprefix(f"{tmp_path.as_posix()}/found.jsonl:") for problem in problems]
    assert [rest.split(":")[0] for rest in behind] == [str(n) for n in range(1, 10)]


def test_a_byte_order_mark_and_windows_newlines_are_no_problem(tmp_path: Path) -> None:
    """An editor may have put them there."""
    text = WHOLE.replace("\n", "\r\n")
    site = small_site(tmp_path).read("found.jsonl", b"\xef\xbb\xbf" + text.encode())

    assert "channel-differs" in site.rules_found()


# Access codes


@pytest.mark.parametrize("setting", ["access_code", "CODE", "Access Code", "pin", "access code 4711"])
@pytest.mark.parametrize("value", ["4711", 4711])
def test_an_access_code_stops_the_run_and_is_not_shown(
    tmp_path: Path, setting: str, value: str | int
) -> None:
    """Codes must never be in entries: the line is reported, but no part of the code."""
    site = small_site(tmp_path, settings=[*SETTINGS, ACCESS_CODE])
    site.read("found.jsonl", as_lines(entry("N-1", setting, value)))  # type: ignore[arg-type]

    problem = assert_refused(site, at="found.jsonl:1", says="access code", mend="default_refused")

    assert "4711" not in problem


def as_file(content: str | bytes) -> FileBytes:
    """Return a content as the bytes of a file."""
    data = content.encode() if isinstance(content, str) else content
    return FileBytes("found.jsonl", Path("found.jsonl"), data, "")


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)
a_line = st.one_of(
    st.text(max_size=30).map(str.encode),
    st.binary(max_size=30),
    anything.map(lambda data: json.dumps(data).encode()),
    st.tuples(st.sampled_from(list(entry("N-1", "channel", "7"))), anything).map(
        lambda change: json.dumps(entry("N-1", "channel", "7") | {change[0]: change[1]}).encode()
    ),
)


@given(st.lists(a_line, max_size=5))
def test_junk_is_read_or_refused_in_words(lines: list[bytes]) -> None:
    """Whatever is in a file, it gives entries, or problems with a message, advice and the file's name."""
    problems: tuple[Problem, ...] = ()
    try:
        problems = read_entries(as_file(b"\n".join(lines)), WORDS).warnings
    except InputProblems as refused:
        problems = refused.problems

    assert all(problem.message and problem.mend and problem.file == "found.jsonl" for problem in problems)
