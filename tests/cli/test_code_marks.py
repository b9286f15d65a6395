"""check --code-marks: access codes compared with those of other sites and years, without keeping any."""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import re
from pathlib import Path

import pytest

from audit import locking
from audit.checks.code_marks import OF_MARKS
from audit.locking import lock_of
from audit.reading.rules import read_rulebook
from tests.exported_codes import site_with_codes
from tests.small_site import Outcome, SmallSite

KEY = "5f" * 32
CODES = {"N-1": {"access_code": "8068"}, "N-2": {"access_code": "3917"}}


@pytest.fixture
def key(tmp_path: Path) -> Path:
    """Return a key file in a folder of its own."""
    path = tmp_path / "keys/site.key"
    path.parent.mkdir()
    path.write_text(KEY + "\n")
    return path


def a_site(folder: Path, **found: dict[str, str]) -> SmallSite:
    """Return a site with a folder of its own, and codes as exported."""
    folder.mkdir()
    return site_with_codes(folder, found=CODES | found)


def check(site: SmallSite, marks: Path, key: Path, on: str = "2026-03-31", *more: str | Path) -> Outcome:
    """Check with marks."""
    return site.check("--code-marks", marks, "--code-key", key, "--on", on, "--fail-on", "note", *more)


def rules(outcome: Outcome, *wanted: str) -> list[str]:
    """Return which of some rules an outcome names."""
    return [rule for rule in wanted if f"rule: {rule}" in outcome.stdout]


def test_a_code_that_has_not_changed_in_a_year(tmp_path: Path, key: Path) -> None:
    """The same device has the same code in another year; a code that was changed is not reported."""
    marks = tmp_path / "marks.json"
    first = check(a_site(tmp_path / "a"), marks, key)
    same_day = check(a_site(tmp_path / "b"), marks, key)
    later = check(a_site(tmp_path / "c", **{"N-2": {"access_code": "7744"}}), marks, key, "2027-03-30")

    assert rules(first, "code-unchanged") == rules(same_day, "code-unchanged") == []
    assert rules(later, "code-unchanged") == ["code-unchanged"]
    assert "N-1: the access code is still the one that was read on 2026-03-31" in " ".join(
        later.stdout.split()
    )
    assert "N-2: the access code is still" not in " ".join(later.stdout.split())
    kept = json.loads(marks.read_text())["marks"]
    assert {(m["node"], m["first_read_on"], m["last_read_on"]) for m in kept} == {
        ("N-1", "2026-03-31", "2027-03-30"),
        ("N-2", "2026-03-31", "2026-03-31"),
        ("N-2", "2027-03-30", "2027-03-30"),
    }


@pytest.mark.parametrize("marks", ["", "new.json"], ids=["without marks", "a new file of marks"])
def test_an_unchanged_code_is_not_gone_where_no_marks_show_it(marks: str, tmp_path: Path, key: Path) -> None:
    """The code may well be the same: nothing was compared with it."""
    check(a_site(tmp_path / "a"), tmp_path / "marks.json", key)
    earlier = tmp_path / "earlier.json"
    check(a_site(tmp_path / "b"), tmp_path / "marks.json", key, "2027-03-30", "--out", earlier)
    site, since = a_site(tmp_path / "c"), ("--since", earlier, "--on", "2027-04-02")

    given = ("--code-marks", tmp_path / marks, "--code-key", key) if marks else ()
    told = " ".join(site.check(*since, *given).stdout.split())

    assert "- not read again: Main N-1: the access code is still the one" in told
    assert "- gone: " not in told


def test_the_rules_that_need_marks_are_known_by_name() -> None:
    """They are left out without marks, so no result says that they were not checked."""
    book = read_rulebook((), None, work=None)

    assert {rule.id for rule in book.rules if rule.check.kind == "code-marks"} == set(OF_MARKS)


def test_a_mark_is_of_the_day_on_which_the_code_was_read(tmp_path: Path, key: Path) -> None:
    """However often a sheet is given; an older file of marks gains the serial numbers."""
    marks = tmp_path / "marks.json"
    site = a_site(tmp_path / "a", **{"N-1": {"access_code": "8068", "read_at": "2026-03-02T10:00"}})
    check(site, marks, key)
    old = json.loads(marks.read_text())
    old["marks"] = [{k: v for k, v in m.items() if k != "serial"} for m in old["marks"]]
    marks.write_text(json.dumps(old))
    again = check(site, marks, key, "2027-03-30")

    assert "N-1: the access code is still" not in " ".join(again.stdout.split())
    kept = [m for m in json.loads(marks.read_text())["marks"] if m["node"] == "N-1"]
    assert [(m["serial"], m["first_read_on"], m["last_read_on"]) for m in kept] == [
        ("100001", "2026-03-02", "2026-03-02")
    ]


def test_marks_are_hmac_sha_256_under_the_key(tmp_path: Path, key: Path) -> None:
    """As in FIPS 198-1, by the standard library: whoever has the key can check, nobody else."""
    marks = tmp_path / "marks.json"
    check(a_site(tmp_path / "a"), marks, key)
    kept = {m["node"]: m["mark"] for m in json.loads(marks.read_text())["marks"]}

    assert kept["N-1"] == hmac.new(KEY.encode(), b"asfound access code\x008068", hashlib.sha256).hexdigest()


def test_the_key_may_come_from_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The way in which pipelines keep secrets."""
    monkeypatch.setenv("ASFOUND_CODE_KEY", KEY)
    outcome = a_site(tmp_path / "a").check("--code-marks", tmp_path / "marks.json")

    assert outcome.code in (0, 1)
    assert (tmp_path / "marks.json").exists()


def test_runs_that_end_together_change_the_file_one_after_the_other(
    tmp_path: Path, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else the last of several sites in a pipeline would take away the marks of the others."""
    monkeypatch.setattr(locking, "SECONDS", 0.05)
    site, marks = a_site(tmp_path / "a"), tmp_path / "marks.json"
    with lock_of(marks):
        held = check(site, marks, key, "2026-03-31", "--out", tmp_path / "result.json")
    free = check(site, marks, key)

    assert (held.code, free.code) == (2, 1)
    assert not (tmp_path / "result.json").exists()
    assert "marks.json: not brought up to date: another program is holding the file" in held.stderr


def test_what_is_refused(tmp_path: Path, key: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No key, a short one, one beside the data, a different one than before, a file that holds no marks."""
    monkeypatch.delenv("ASFOUND_CODE_KEY", raising=False)
    site, marks = a_site(tmp_path / "a"), tmp_path / "marks.json"
    short, beside = tmp_path / "keys/short", tmp_path / "a/key"
    short.write_text("8068")
    beside.write_text(KEY)
    other = tmp_path / "keys/other"
    other.write_text("6e" * 32)
    junk = tmp_path / "junk.json"
    junk.write_text("[]")

    assert "ASFOUND_CODE_KEY is not set" in site.check("--code-marks", marks).stderr
    assert "fewer than 32" in check(site, marks, short).stderr
    assert "with the data that it protects" in check(site, marks, beside).stderr
    assert check(site, junk, key).code == 2
    assert "--code-key needs --code-marks" in site.check("--code-key", key).stderr
    assert not marks.exists()
    check(site, marks, key)
    outcome = check(site, marks, other)
    assert outcome.code == 2
    assert "made with another key" in outcome.stderr


def test_no_output_lets_a_code_be_guessed(tmp_path: Path, key: Path) -> None:
    """Whoever has everything that was written, but not the key, tries all ten thousand codes in vain.

    Tried are the plain digests of each code, those of the export with that code in it, and keyed ones under
    keys that anybody would try.
    """
    site = a_site(tmp_path / "a", **{"N-2": {"access_code": "8068"}})
    export = next(path for path in site.readbacks).read_bytes()
    formats = ["r.json", "r.html", "r.csv", "r.sarif", "r.xml", "r.md", "r.txt"]
    out = [word for name in formats for word in ("--out", tmp_path / name)]
    outcome = check(site, tmp_path / "marks.json", key, "2026-03-31", "--detail", *out)
    written = "".join((tmp_path / name).read_text(encoding="utf-8") for name in [*formats, "marks.json"])
    all_of_it = (written + outcome.stdout + outcome.stderr).lower()
    words = {all_of_it[i : i + 16] for i in range(len(all_of_it))}

    assert b"8068" in export
    guessed = [
        number
        for number in range(10_000)
        for digest in _guesses(f"{number:04}".encode(), export)
        for text in (digest.hex(), base64.b64encode(digest).decode().lower())
        if text[:16] in words
    ]
    assert guessed == []
    # Digests of other files may hold these four digits by chance; they were looked at above.
    assert "8068" not in re.sub(r"[0-9a-f]{16,}", "", written.replace(export.decode(), ""))


def _guesses(code: bytes, export: bytes) -> list[bytes]:
    plain = [hashlib.new(name, code, usedforsecurity=False).digest() for name in ("md5", "sha1", "sha256")]
    keyed = [
        hmac.digest(word, b"asfound access code\0" + code, "sha256") for word in (b"\0", b"asfound", b"site")
    ]
    return [*plain, *keyed, hashlib.sha256(export.replace(b"8068", code)).digest()]
