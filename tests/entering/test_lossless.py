"""Nothing that was accepted is lost: answers from a pipe, full disks, and anything that can be typed."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from audit.entering.saving import EntryFile, NotSaved, Signature
from audit.entering.state import Draft
from audit.entering.talking import UNCONFIRMED
from audit.errors import InputProblems
from audit.reading.entries import Line
from audit.reading.files import whole_characters
from tests.disks import lacking
from tests.entering.talks import AS_PLANNED, Talk
from tests.small_site import run

# From a pipe


def test_a_pipe_is_not_asked_twice(talk: Talk) -> None:
    """A difference is reported, and the next answer is for the next setting."""
    shown = talk.answer("N-1", "100001", "18", "0Q7Z", patient=False)

    assert "  18 differs from the plan." in shown
    assert talk.typed()[1:] == [("N-1", "channel", "18"), ("N-1", "network_id", "0Q7Z")]


def test_an_answer_that_is_not_taken_stops_a_pipe(talk: Talk) -> None:
    """The answers after it would go to the wrong settings."""
    with pytest.raises(InputProblems) as stopped:
        talk.answer("N-1", "100001", "99", "0Q7Z", patient=False)

    (problem,) = stopped.value.problems
    assert (problem.file, problem.line) == ("standard input", 3)
    assert "99 is above 40" in problem.message
    assert len(talk.lines()) == 1

    assert "put a line with N-1 before it" in problem.mend
    talk.answer("N-1", "17", "0Q7Z", patient=False)
    assert talk.typed()[1:] == [("N-1", "channel", "17"), ("N-1", "network_id", "0Q7Z")]


# What cannot be saved


class FullDisk:
    """A file on a disk that is full for a while."""

    confirmed = True

    def __init__(self, talk: Talk, times: int) -> None:
        self.file = talk.open()
        self.read, self.times, self.really = self.file.read, times, self.file.append
        self.path = self.file.path

    def append(self, *args: object) -> object:
        """Fail the given number of times, then append."""
        if self.times:
            self.times -= 1
            raise NotSaved("No space left on device")
        return self.really(*args)  # type: ignore[arg-type]


def test_a_value_that_is_not_saved_is_shown_and_asked_again(talk: Talk) -> None:
    """What was typed is on the screen, so that it is not lost, and the same question comes again."""
    shown = talk.person("N-1", "100001", "100001", file=FullDisk(talk, 1)).seen  # type: ignore[arg-type]

    assert "  NOT SAVED: '100001'. No space left on device." in shown
    assert shown.count("serial> ") == 2
    assert talk.typed() == [("N-1", "serial", "100001")]


def test_a_disk_that_confirms_nothing_is_told_once(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each value is said to be on the disk, and some network shares cannot say whether it is."""
    lacking(monkeypatch, "os.fsync")
    shown = talk.answer("N-1", "100001", "17")

    assert shown.count(UNCONFIRMED[0]) == 1
    assert talk.typed() == [("N-1", "serial", "100001"), ("N-1", "channel", "17")]


def test_a_value_from_a_pipe_that_is_not_saved_stops_the_run(talk: Talk) -> None:
    """The message gives the value and its line."""
    with pytest.raises(InputProblems) as stopped:
        talk.person("N-1", "100001", patient=False, file=FullDisk(talk, 1))  # type: ignore[arg-type]

    assert str(stopped.value).startswith("standard input:2: '100001' is not saved: No space left on device")


# Anything


ANSWERS = st.one_of(
    st.sampled_from(
        [*AS_PLANNED, "N-1", "N-2", "N-3", "GW-1", "18", "2.8 bar", "0017", "1O", "812,5", "", "-"]
    ),
    st.sampled_from(
        ["/skip", "/skip dark", "/back", "/keep", "/node", "/node N-2", "/network", "/list", "?"]
    ),
    st.sampled_from(
        ["/note über 3 m", "/photo a b.jpg", "/quit", '"skip"', "skip", "\x00", "ü\u2028", "\ud800"]
    ),
    st.text(max_size=12),
)


def as_written(text: str | None) -> str | None:
    """Return a text as our files hold it: halves of characters as escapes."""
    return text if text is None else whole_characters(text)


@settings(max_examples=75, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(
    scripts=st.lists(st.lists(ANSWERS, max_size=25), min_size=1, max_size=3), decimal=st.sampled_from(".,")
)
def test_what_was_accepted_is_in_the_file_in_order_and_is_read(
    tmp_path_factory: pytest.TempPathFactory,
    monkeypatch: pytest.MonkeyPatch,
    scripts: list[list[str]],
    decimal: str,
) -> None:
    """Whatever is typed, in one session or several: each draft becomes a line, in order, and can be read."""
    monkeypatch.setattr(os, "fsync", lambda _: None)  # thousands of lines; other tests see to the disk
    talk = Talk(tmp_path_factory.mktemp("talk"), decimal=decimal)
    drafts: list[Draft] = []
    append = EntryFile.append

    def keeping(file: EntryFile, draft: Draft, signature: Signature) -> list[Line]:
        drafts.append(draft)
        return append(file, draft, signature)

    with monkeypatch.context() as patched:
        patched.setattr(EntryFile, "append", keeping)
        for script in scripts:
            talk.person("N-1", *script)

    written = [(x["tag"], x["setting"], x["value"], x["unit"], x.get("skipped")) for x in talk.lines()]
    assert written == [
        (d.device.tag, d.name, as_written(d.value), as_written(d.unit), as_written(d.skipped)) for d in drafts
    ]
    if drafts:
        outcome = run("check", talk.site.plan, talk.path)
        nothing = "has no readings: everything in it was left out" in outcome.stderr
        assert outcome.code in (0, 1) or nothing, outcome.stderr
