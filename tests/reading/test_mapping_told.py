"""What a mapping makes of a file, as the list of inputs tells it: changed, supplied, left out, renamed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.exported_codes import DIGITS, WORD, codes_in, everything, site_with_codes
from tests.small_site import DEFAULT_REFUSED, SETTINGS, as_csv, as_planned, small_site

TRIED: dict[str, Any] = {"settings": [*SETTINGS, DEFAULT_REFUSED]}


def rows(**of_n2: str) -> list[dict[str, str]]:
    """Return a readback as planned but for node N-2, read by somebody on a day."""
    return [{**row, "read_at": "2026-03-30"} for row in as_planned(found={"N-2": of_n2})]


def headed(old: str, new: str) -> str:
    """Return a readback as planned with another heading for a column."""
    return as_csv(rows()).replace(old, new, 1)


def long() -> str:
    """Return a readback as planned, a row for each setting."""
    about = ("tag", "serial", "network", "read_at")
    return as_csv(
        [{**{key: row.get(key, "") for key in about}, "setting": name, "value": value}
         for row in rows() for name, value in row.items() if name not in (*about, "read_by")]
    )  # fmt: skip


TOLD: list[Any] = [
    pytest.param("found.csv", as_csv(rows(high_alarm="870")), {"values": {"high_alarm": {"870": "780"}}},
                 "read otherwise than written, by its mapping: high_alarm '870' as '780' (1)",
                 id="one value as another"),
    pytest.param("found.csv", as_csv(rows(serial="100009")), {"values": {"serial": {"100009": "100002"}}},
                 "serial '100009' as '100002' (1)", id="one device as another"),
    pytest.param("found.csv", as_csv(rows(high_alarm="870")), {"values": {"high_alarm": {"870": ""}}},
                 "high_alarm '870' as not read (1)", id="a value as none"),
    pytest.param("found.csv", as_csv(rows(high_alarm="ok")), {"values": {"high_alarm": {"ok": "780"}}},
                 "high_alarm 'ok' as '780' (1)", id="a word as a number that it does not give"),
    pytest.param("found.csv", as_csv(rows(high_alarm="870")), {"blanks": ["", "870"]},
                 "high_alarm '870' as not read (1)", id="a value among the blanks"),
    pytest.param("found.json", json.dumps(rows(channel="9")), {"values": {"channel": {"9": "7"}}},
                 "channel '9' as '7' (1)", id="records"),
    pytest.param("found.csv", as_csv(rows()), {"constants": {"read_how": "export", "plan_revision": "B"}},
                 "supplied by its mapping: read_how 'export', plan_revision 'B'", id="how it was read"),
    pytest.param("found.csv", as_csv([{k: v for k, v in row.items() if k != "channel"} for row in rows()]),
                 {"constants": {"channel": 7}}, "supplied by its mapping: channel '7'", id="a reading"),
    pytest.param("found.csv", as_csv([{k: v for k, v in row.items() if k != "channel"} for row in rows()]),
                 {"constants": {"CH": 7}}, "supplied by its mapping: channel '7'", id="one by its label"),
    pytest.param("found.csv", as_csv(rows(channel="-")), {"constants": {"channel": 7}},
                 "supplied by its mapping: channel '7' (where the file is blank: 1 of 4)",
                 id="a reading that most rows have"),
    pytest.param("found.csv", as_csv(rows()), {"ignore": ["high_alarm"]},
                 "columns left out by its mapping: 'high_alarm'", id="a column"),
    pytest.param("found.csv", headed("high_alarm", "High alarm [kPa]"), {"ignore": ["High alarm [kPa]"]},
                 "columns left out by its mapping: 'High alarm [kPa]'", id="a column with a unit"),
    pytest.param("found.csv", long(), {"ignore": ["H", "high_alarm"]},
                 "columns left out by its mapping: 'high_alarm'", id="the rows of a setting"),
    pytest.param("found.csv", headed("range_high", "range_high [psi]"), {"units": {"range_high": "kPa"}},
                 "columns read otherwise than headed, by its mapping: 'range_high [psi]' in kPa",
                 id="a unit"),
    pytest.param("found.csv", as_csv(rows()),
                 {"columns": {"range_high": "high_alarm", "high_alarm": "range_high"}},
                 "'range_high' as high_alarm, 'high_alarm' as range_high", id="columns exchanged"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "content", "mapping", "told"), TOLD)
def test_what_a_mapping_turns_into_something_else_is_told_with_the_inputs(
    tmp_path: Path, name: str, content: str, mapping: dict[str, Any], told: str
) -> None:
    """No finding shows it, and whoever reads the report does not see the mapping."""
    site = small_site(tmp_path).read(name, content)
    own = site.mapping(**mapping)

    outcome = site.check("--mapping", own, "--on", "2026-04-01", "--width", "200")

    assert told in " ".join(outcome.stdout.split())


QUIET: list[Any] = [
    pytest.param(as_csv([{**row, "default_refused": "ja"} for row in rows()]),
                 {"values": {"default_refused": {"ja": "yes", "nein": "no"}}}, TRIED, id="another language"),
    pytest.param(as_csv(rows(range_high="1000 kPas")), {"values": {"range_high": {"1000 kPas": "1000"}}}, {},
                 id="what is no value"),
    pytest.param(as_csv(rows(range_high="1,000 k")), {"values": {"range_high": {"1,000 k": "1000"}}}, {},
                 id="what is no value, with a comma"),
    pytest.param(as_csv(rows(high_alarm="780.0")), {"values": {"high_alarm": {"780.0": "780"}}}, {},
                 id="the same value"),
    pytest.param(as_csv(rows(high_alarm="unread")), {"blanks": ["", "unread"]}, {},
                 id="a word among the blanks"),
    pytest.param(as_csv(rows()), {"values": {"high_alarm": {"870": "780"}}}, {}, id="a text not in the file"),
    pytest.param(as_csv([{**row, "Remark": "damp"} for row in rows()]), {"ignore": ["Remark", "Initials"]},
                 {}, id="an unknown column"),
    pytest.param(as_csv([{**row, "location": "here"} for row in rows()]), {"ignore": ["location"]}, {},
                 id="where it is"),
    pytest.param(as_csv([{**row, "configured_by": ""} for row in rows()]), {"ignore": ["configured_by"]}, {},
                 id="an empty column"),
    pytest.param(headed("high_alarm", "Alarm"), {"columns": {"Alarm": "high_alarm"}}, {},
                 id="a heading of its own"),
    pytest.param(headed("range_high", "range_high [kPa]"), {"units": {"range_high": "kPa"}}, {},
                 id="the same unit"),
    pytest.param(headed("range_high", "URV"), {"units": {"range_high": "kPa"}}, {},
                 id="no unit in the heading"),
    pytest.param(as_csv([{k: v for k, v in row.items() if k != "network"} for row in rows()]),
                 {"constants": {"network": "North"}}, {}, id="which network"),
    pytest.param(as_csv(rows()), {"constants": {"channel": 7, "read_by": "B. Example"}}, {},
                 id="what every row says itself"),
]  # fmt: skip


@pytest.mark.parametrize(("content", "mapping", "bent"), QUIET)
def test_what_a_mapping_only_puts_into_our_words_is_not_told(
    tmp_path: Path, content: str, mapping: dict[str, Any], bent: dict[str, Any]
) -> None:
    """Other words for the same thing are what mappings are for."""
    site = small_site(tmp_path, **bent).read("found.csv", content)

    result = site.result("--mapping", site.mapping(**mapping), "--on", "2026-04-01")

    assert {one["note"] for one in result["inputs"]} == {None}


def test_of_many_translations_the_first_are_named(tmp_path: Path) -> None:
    """A list of tags in other words would bury everything else."""
    tags = {f"N-{n}": f"PT/{n}" for n in range(1, 10)}
    content = as_csv([{**row, "tag": tags.get(row["tag"], row["tag"])} for row in rows()])
    content += "".join(f"PT/{n}\n" for n in range(4, 10))
    site = small_site(tmp_path).read("found.csv", content)

    result = site.result("--mapping", site.mapping(values={"tag": {new: old for old, new in tags.items()}}))

    (note,) = filter(None, (one["note"] for one in result["inputs"]))
    assert note.startswith("read otherwise than written, by its mapping: tag 'PT/1' as 'N-1' (1), ")
    assert note.endswith(" and 4 more")


def test_no_access_code_is_told(tmp_path: Path) -> None:
    """Neither one that a mapping translates, nor one that it supplies, nor a column of them."""
    of_n2 = {"N-2": {"access_code": WORD}}
    site = site_with_codes(tmp_path).read("found.csv", as_csv(as_planned(found=of_n2)))
    translating = site.mapping(values={"access_code": {WORD: DIGITS}}, constants={"read_how": "export"})
    translated = everything(site, "--mapping", translating)
    ignored = everything(site, "--mapping", site.mapping(ignore=["access_code"]))
    supplied = everything(
        site, "--mapping", site.mapping(constants={"access_code": WORD}, ignore=["access_code"])
    )

    assert "supplied by its mapping: read_how 'export'" in translated
    assert "columns left out" not in ignored
    assert codes_in(translated + ignored + supplied) == []


def test_what_a_mapping_supplies_is_evidence_at_its_key(tmp_path: Path) -> None:
    """That is where a person looks for it, wherever the value stands."""
    site = small_site(tmp_path).read("found.csv", "tag,address\nN-1,11\n")
    text = "asfound: mapping/1\nmappings:\n- constants:\n    channel:\n      8\n"
    result = site.result("--mapping", site.write("mapping.yaml", text))

    ((row, column),) = {
        (place["row"], place["column"])
        for finding in result["findings"] if finding["rule"] == "channel-differs"
        for place in finding["evidence"] if place["file"].endswith("mapping.yaml")
    }  # fmt: skip
    assert (row, column) == (4, "5")
