"""Slips in CSV, JSON and YAML readbacks: reported with row and column if the file cannot be read.

If the file can be read but a reading makes no sense, that is a finding, exit code 1.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.refusing import assert_refused, refusal
from tests.small_site import NAME, run, small_site

LONG_WORD = "7" * 10_000_000
MEGABYTE = "7" * 1_000_000

CSV_SLIPS = [
    # the heading row
    pytest.param("tag,chanel\nN-1,7\n", "1:B", "unknown column 'chanel'", "channel", id="unknown column"),
    pytest.param("tag,wibble\nN-1,7\n", "1:B", "unknown column 'wibble'", "tag, serial, channel",
                 id="column like nothing known"),
    pytest.param("tag,,channel\nN-1,x,7\n", "1:B", "a column has no heading", "heading",
                 id="column without a heading"),
    pytest.param("tag,channel,CH\nN-1,7,8\n", "1:C", "'channel' and 'CH' both mean 'channel'", "ignore one",
                 id="two columns for one setting"),
    pytest.param("tag,channel,channel\nN-1,7,8\n", "1:C", "both mean 'channel'", "give each its own",
                 id="one column twice"),
    pytest.param("channel,high_alarm\n7,780\n", "", "no column says which device a row is", "tag or serial",
                 id="nothing says which device"),
    pytest.param("Check sheet,,\n,,\ntag,channel,address\nN-1,7,11\n", "1:A", "'Check sheet'",
                 "`skip_rows: 2` in a mapping if the headings are in row 3",
                 id="title above the headings"),
    pytest.param("Check sheet\n\ntag,channel,address\nN-1,7,11\nN-2,7,12\n", "1",
                 "'Check sheet' has 1 cell, but line 3 has more", "`skip_rows: 2`",
                 id="title without commas"),
    pytest.param("Check sheet\n\ntag;channel;address\nN-1;7;11\n", "1:A", "unknown column 'Check sheet'",
                 "if it is a title, state in a mapping how many rows to skip (`skip_rows`)",
                 id="title above headings with semicolons"),
    pytest.param("Check sheet, Monday\n\ntag,channel,address,note\nN-1,7,11,x\nN-2,7,12,y\n", "1",
                 "begins with 'Check sheet' has 2 cells, but line 3 has more", "`skip_rows: 2`",
                 id="title with a comma"),
    pytest.param("Check sheet\ntag;channel;high_alarm;low_alarm\nN-1;7;780,5;280,5\nN-2;7;780,5;280,5\n", "1",
                 "'Check sheet' has 1 cell, but line 2 has more", "`skip_rows: 1`",
                 id="title above semicolons and decimal commas"),
    pytest.param("Check sheet;Lower;\ntag;channel;address;note\nN-1;7;11;x\nN-2;7;12;y\n", "1",
                 "'Check sheet' has 2 cells, but line 2 has more", "`skip_rows: 1`",
                 id="title filled up with semicolons"),
    pytest.param("tag channel\nN-1 7\n", "1:A", "'tag channel'", "", id="blanks between cells"),
    pytest.param("tag,channel\n", "", "has no rows below its heading row", "a template", id="header only"),
    # the rows
    pytest.param('tag,note,channel\nN-1,"x,7\nN-2,y,8\nN-3,z,7\n', "2", "quotation mark", "quotation marks",
                 id="quotation mark never closed"),
    pytest.param('tag,note,channel\nN-1,"x"y,7\n', "2", "is not a well-formed CSV", "quotation marks",
                 id="text after a quotation mark"),
    pytest.param("tag,channel\nN-1,7,8,9\n", "2", "the row has 4 cells, but the heading row has 2",
                 "delimiter", id="too many cells"),
    pytest.param("tag,channel,address\nN-1,7,11\nN-2,7,12\nN-3,8", "4", "seems to be cut off", "export or",
                 id="cut off"),
    pytest.param("tag,range_high\nN-1,1000,5\n", "2", "the row has 3 cells", "quotation marks",
                 id="decimal comma between commas"),
    pytest.param(f"tag,channel\nN-1,{LONG_WORD}\n", "2", "100,000 characters", "quotation marks",
                 id="line of 10 MB"),
    pytest.param("a," * 5_000_000, "1", "its heading row has 5,000,001 cells", "right file",
                 id="heading row of 10 MB"),
    pytest.param("tag,channel\nN-1,99999999999999999999\n", "2:B",
                 "channel of N-1: '99999999999999999999' is beyond any whole number", "read it again",
                 id="whole number beyond 64 bits"),
    pytest.param("tag,channel,read_at\nN-1,7,24.03.2026 8:10\n", "2:C", "'24.03.2026 8:10'",
                 "2026-03-31T09:15", id="time in another form"),
    pytest.param("tag,channel,read_at\nN-1,7,yesterday\n", "2:C", "'yesterday'", "2026-03-31T09:15",
                 id="time in words"),
    # long form
    pytest.param("tag,setting,value\nN-1,chanel,7\nN-2,chanel,7\n", "2:B", "unknown setting 'chanel'",
                 "channel", id="unknown setting in a long table"),
    pytest.param("tag,setting,value\nN-1,,7\n", "2:B", "the row names no setting", "name it; known: ",
                 id="no setting in a long table"),
    pytest.param("tag,setting\nN-1,channel\n", "1", "value", "value", id="long table without values"),
    # another site
    pytest.param("tag,site,channel\nN-1,Big Site,7\n", "2:B",
                 f"the site 'Big Site', but the plan is for '{NAME}'", "readback of this site",
                 id="another site by its name"),
    pytest.param("tag,channel\nX-1,7\nX-2,7\n", "2:A",
                 f"none of the 2 devices read is known at '{NAME}'", "readback of this site",
                 id="another site by its tags"),
]  # fmt: skip


@pytest.mark.parametrize(("content", "place", "says", "mend"), CSV_SLIPS)
def test_slips_in_a_csv(tmp_path: Path, content: str, place: str, says: str, mend: str) -> None:
    """A CSV that cannot be read is reported with line, column and raw text."""
    site = small_site(tmp_path).read("found.csv", content)

    assert_refused(site, at=f"found.csv:{place}".rstrip(":"), says=says, mend=mend)


@pytest.mark.parametrize(
    ("content", "count"),
    [
        ("tag,chanel,adress\nN-1,7,11\n", 2),
        ("tag,setting,value\nN-1,chanel,7\nN-1,adress,11\nN-2,chanel,7\nN-2,adress,12\n", 2),
        ("tag,channel\nN-1,7,8\nN-2,7\nN-3,7,5\n", 2),
        ("tag,channel\nN-1,99999999999999999999\nN-2,99999999999999999998\n", 2),
        ("tag,channel,read_at\nN-1,7,1.4.2026\nN-2,7,Friday\nN-3,7,2026-04-01\n", 2),
    ],
    ids=["columns", "settings of a long table", "rows", "numbers", "times"],
)
def test_every_problem_of_a_file_is_reported_once(tmp_path: Path, content: str, count: int) -> None:
    """All problems of a file are reported in one run, each once; those that are alike together."""
    assert f"no verdict: {count} problem" in refusal(small_site(tmp_path).read("found.csv", content)).stderr


@pytest.mark.parametrize(
    "content",
    [
        "tag," + "x" * 5000 + "\nN-1,7\n",
        "tag,site\nN-1," + "x" * 5000 + "\n",
        "tag,read_at\nN-1," + "x" * 5000,
    ],
    ids=["heading", "site", "time"],
)
def test_long_raw_text_is_cut(tmp_path: Path, content: str) -> None:
    """Long raw text is quoted only in part, so that it does not bury the message."""
    assert "xxxxxxxxxx" in refusal(small_site(tmp_path).read("found.csv", content)).stderr


def test_control_characters_are_written_out(tmp_path: Path) -> None:
    """A heading that would colour the terminal, or break the line, is quoted without doing so."""
    site = small_site(tmp_path).read("found.csv", 'tag,"ch\x1b[31man\nnel"\nN-1,7\n')

    assert_refused(site, at="found.csv:1:B", says=r"'ch\x1b[31man\nnel'", mend="")


def test_an_empty_column_without_a_heading_is_passed_over(tmp_path: Path) -> None:
    """A comma at the end of every line makes an empty column, which spreadsheets often export."""
    site = small_site(tmp_path)
    lines = (tmp_path / "found.csv").read_text(encoding="utf-8").splitlines()

    assert site.read("found.csv", "".join(f"{line},\n" for line in lines)).check().code == 0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1000,0", "has a comma where the decimal mark is declared as '.'"),
        ("1O00", "'1O00'"),
        ("1000 ?", "'1000 ?'"),
        ("2026-03-04", "is a date, not a number"),
        ("1000 m3", "cannot be converted to kPa"),
        ("1000 furlong", "is not a number with a known unit"),
    ],
)
def test_a_reading_that_makes_no_sense_is_a_finding(tmp_path: Path, text: str, says: str) -> None:
    """An impossible value is a finding about the reading, exit code 1, not an error in the input."""
    site = small_site(tmp_path, found={"N-2": {"range_high": text}})

    (finding,) = site.result()["findings"]

    assert (finding["rule"], finding["node"], finding["raw"]) == ("reading-unclear", "N-2", text)
    assert says in finding["message"]
    assert site.check().code == 1


@pytest.mark.parametrize(
    "headings", ["tag,channel,8352", "tag,channel,8352,8352", "tag,8352,8353,8354,8355,8356,8357"]
)
def test_a_number_as_a_heading_is_not_shown(tmp_path: Path, headings: str) -> None:
    """It may be an access code that has slipped into the wrong row; its place is enough to find it."""
    site = small_site(tmp_path).read("found.csv", f"{headings}\nN-1,{'7,' * headings.count(',')}\n")

    problems = "\n".join(refusal(site).problems).replace(tmp_path.as_posix(), "")  # may be numbered so itself
    assert "not shown" in problems
    assert "835" not in problems


def test_decimal_commas_say_how_to_declare_them(tmp_path: Path) -> None:
    """A semicolon CSV with decimal commas is not guessed at: the finding names the key to declare."""
    site = small_site(tmp_path, found={"N-1": {"high_alarm": "780,5"}}, delimiter=";")

    (finding,) = site.result()["findings"]

    assert "state `decimal: ','` in a mapping" in finding["message"]


# JSON and YAML

RECORD_SLIPS = [
    pytest.param("found.json", '[{"tag": "N-1",}]', ":1", "is not JSON", "quotes, commas and brackets",
                 id="a comma too many"),
    pytest.param("found.json", '[{"tag": "N-1"', ":1", "it ends too early", "copy it again", id="cut off"),
    pytest.param("found.json", '[{"tag": "N-', ":1", "it ends too early", "copy it again",
                 id="cut off in a text"),
    pytest.param("found.json", '[{"tag": "N-1", "channel": 7.', ":1", "it ends too early", "copy it again",
                 id="cut off in a number"),
    pytest.param("found.json", '[{"tag": "N-1", "encryption": tru', ":1", "it ends too early",
                 "copy it again", id="cut off in a word"),
    pytest.param("found.json", '[{"tag": "N-1"}] end', ":1", "is not JSON: Extra data",
                 "quotes, commas and brackets", id="a word behind the last bracket"),
    pytest.param("found.json", '[\n{"tag": "N-1",\n "tag": "N-2"}]', ":3", "'tag' is given twice", "keep one",
                 id="key given twice"),
    pytest.param("found.json", '[\n{"tag": "N-1", "channel": NaN}]', ":2", "NaN is not JSON", "null",
                 id="not a number"),
    pytest.param("found.json", "[" * 100_000, "", "is nested too deeply", "", id="deep nesting"),
    pytest.param("found.json", '{"asfound": "readback/1", "devices": ' + "[" * 500 + "]" * 500 + "}", "",
                 "is nested too deeply", "", id="own form, deep nesting"),
    pytest.param("found.json", '[{"tag": "N-1", "channel": ' + MEGABYTE + "}]", ":1", "100,000 characters",
                 "", id="value of 1 MB"),
    pytest.param("found.json", '[{"tag": "N-1", "x' + MEGABYTE + '": 7}]', "", "unknown column 'x77", "",
                 id="key of 1 MB"),
    pytest.param("found.json", "[]", "", "its list of records is empty", "the export", id="nothing"),
    pytest.param("found.json", "7", "", "has no list of records at its top", "`records`", id="a number"),
    pytest.param("found.json", '[["N-1", 7]]', "", "record 1 is a list", "`records`", id="rows as lists"),
    pytest.param("found.json", '[{"tag": "N-1", "channel": 7}, {"tag": "N-2", "channel": [7]}]', ":1",
                 "record 2: 'channel' has a list", "`ignore`", id="list for a value"),
    pytest.param("found.json", '[{"tag": "N-1", "chanel": 7}]', "", "unknown", "channel",
                 id="unknown key"),
    pytest.param("found.json", '{"asfound": "readback/1", "site": "Little Site", "devices": []}', "",
                 "devices", "", id="own form without devices"),
    pytest.param("found.yaml", "asfound: readback/1\nsite: Big Site\ndevices:\n- {tag: N-1}\n", ":2",
                 f"the site 'Big Site', but the plan is for '{NAME}'", "readback of this site",
                 id="own form of another site"),
    pytest.param("found.yaml", "asfound: readback/1\nsite: Little Site\ndevices:\n"
                 "- {tag: N-1, settings: {chanel: 7}}\n", ":4", "'chanel'", "channel",
                 id="own form, unknown setting"),
    pytest.param("found.yaml", "asfound: readback/1\nsite: Little Site\ndevices:\n"
                 "- {tag: N-1, chanel: 7}\n", ":4", "unknown key 'chanel'", "settings",
                 id="own form, setting beside the tag"),
    pytest.param("found.yaml", "asfound: readback/1\nsite: Little Site\ndevices:\n"
                 "- {tag: N-1, read_at: 24/3/26, settings: {channel: 7}}\n", ":4", "'24/3/26'", "2026-03-31",
                 id="own form, time in another form"),
    pytest.param("found.yaml", "asfound: readback/1\ndevices:\n- tag: N-1\n", ":1", "'site' is missing",
                 "add it", id="own form without its site"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "content", "place", "says", "mend"), RECORD_SLIPS)
def test_slips_in_records(tmp_path: Path, name: str, content: str, place: str, says: str, mend: str) -> None:
    """A JSON or YAML readback that cannot be read is reported with its line, or its record."""
    site = small_site(tmp_path).read(name, content)

    assert_refused(site, at=name + place, says=says, mend=mend)


def test_half_a_character_is_written_out(tmp_path: Path) -> None:
    """Half a character, and a file name that is not UTF-8, are shown as escapes and do not stop the run."""
    site = small_site(tmp_path)
    rows = '[{"tag": "N-9", "serial": "X\\ud800Y", "channel": "7"}, {"tag": "N-1"}]'
    site.read(os.fsdecode(b"no\xffdes.json"), rows)
    result = site.result()

    shown = json.dumps(result)
    assert "X\\\\ud800Y" in shown
    assert "no\\\\udcffdes.json" in shown


def test_a_photo_whose_name_is_not_utf_8_does_not_stop_a_seal(tmp_path: Path) -> None:
    """The name of what was passed over goes into the baseline, which is UTF-8."""
    site, baseline = small_site(tmp_path), tmp_path / "b.json"
    site.write("found/found.csv", site.readbacks[0].read_bytes())
    site.write(os.fsdecode(b"found/h\xf6he.jpg"), b"")
    outcome = run("seal", site.plan, tmp_path / "found", "--signed-by", "R. Sample", "--out", baseline)

    assert (outcome.code, outcome.stderr) == (0, "")
    assert "h\\\\udcf6he.jpg" in baseline.read_text(encoding="utf-8")
