"""The talk: what is asked in which order, what answers lead to, and what stands in the file then."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from audit.entering.saving import EntryFile, NotSaved, Signature
from audit.entering.state import Draft
from audit.errors import InputProblems
from audit.reading.entries import Line
from audit.reading.files import whole_characters
from tests.entering.talks import AS_PLANNED, ORDER, Talk
from tests.small_site import NAME, run


@pytest.fixture
def talk(tmp_path: Path) -> Talk:
    """Return a talk with nothing typed yet."""
    return Talk(tmp_path)


def test_settings_are_asked_in_the_order_of_the_display(talk: Talk) -> None:
    """First the serial number, then the display from top to bottom, then what is read elsewhere; no code."""
    shown = talk.answer("N-1", *AS_PLANNED)

    assert [name for _, name, _ in talk.typed()] == list(ORDER)
    assert not any("access_code" in line or "CODE" in line for line in shown)
    assert "N-1 is done: 7 settings." in shown


def test_the_place_to_look_is_named(talk: Talk) -> None:
    """Each question says where the setting stands, and what it takes."""
    shown = talk.answer("N-1", *AS_PLANNED)

    assert "N-1  2 of 7  channel (RADIO > CH): 1 to 40" in shown
    assert "N-1  4 of 7  range_high (IN > URV): 0 to 1600 kPa, steps of 0.5" in shown
    assert "N-1  5 of 7  unit (at the display): one of: kPa, bar, back" in shown
    assert "N-1  7 of 7  joined_gateway (at the gateway): as it is shown" in shown


def test_an_entry_says_who_when_where_and_how(talk: Talk) -> None:
    """A line of the file has all that evidence needs."""
    talk.answer("N-1", "100001", "17")

    assert talk.lines()[1] == {
        "asfound": "entry/1", "site": NAME, "plan_revision": "A", "network": "Main", "tag": "N-1",
        "setting": "channel", "value": "17", "unit": "", "read_at": "2026-03-31T12:00:02.000+00:00",
        "read_by": "R. Sample", "read_how": "at the display", "reading": 1,
    }  # fmt: skip


# Blind


def test_the_plan_is_never_shown(talk: Talk) -> None:
    """Whatever is typed, right or wrong, no planned value appears that was not typed."""
    wrong = ("100009", "", "18", "18", "0Q7A", "0Q7B", "", "813.5", "", "bar", "", "off", "", "GW-2", "")

    shown = "\n".join(talk.answer("N-1", *wrong, "N-2", "/list", "/help", "/back", "/node N-3"))

    for planned in ("100001", "100002", "0Q7Z", "812.5", "GW-1  "):
        assert planned not in shown
    assert "17" not in shown.replace("1 to 40", "")
    assert "18 differs from the plan." in shown


def test_completion_offers_what_can_be_set_and_not_what_is_planned(talk: Talk) -> None:
    """Options in the order of the display, and the commands."""
    offered = talk.person("N-1", *AS_PLANNED).offered

    assert offered[0][:4] == ("GW-1", "N-1", "N-2", "N-3")
    assert offered[5][:4] == ("kPa", "bar", "back", "/skip")
    assert not any("0Q7Z" in words for words in offered)


# Values that differ


def test_a_value_that_differs_is_asked_for_again_and_both_readings_are_kept(talk: Talk) -> None:
    """The second reading is as planned: it counts, and the first one stays in the file."""
    shown = talk.answer("N-1", "100001", "18", "17")

    assert "  18 differs from the plan." in shown
    assert any(line.startswith("  Likely slip: one digit is one step off (") for line in shown)
    assert "CH again> " in shown
    assert "  This one is as planned. Both readings are kept, and this one counts." in shown
    readings = [(line["value"], line["reading"]) for line in talk.lines() if line["setting"] == "channel"]
    assert readings == [("18", 1), ("17", 2)]


def test_a_difference_that_is_read_twice_stays(talk: Talk) -> None:
    """What is read twice alike is what the device shows; it is not asked for a third time."""
    shown = talk.answer("N-1", "100001", "18", "18")

    assert "  Read as 18 again: it differs from the plan, and stays as found." in shown
    assert shown[-1] == "NET ID> "


def test_two_readings_that_differ_are_asked_for_a_third(talk: Talk) -> None:
    """As long as the readings differ from each other and from the plan, it is not settled."""
    shown = talk.answer("N-1", "100001", "18", "19", "19")

    assert "  19 differs from the plan, and from the reading before." in shown
    assert [value for _, name, value in talk.typed() if name == "channel"] == ["18", "19", "19"]
    assert shown[-1] == "NET ID> "


@pytest.mark.parametrize("answer", ["", "/skip", "/skip no time"])
def test_it_may_be_left_at_one_reading(talk: Talk, answer: str) -> None:
    """Whoever does not look again leaves the reading as it is."""
    shown = talk.answer("N-1", "100001", "18", answer)

    assert [value for _, name, value in talk.typed() if name == "channel"] == ["18"]
    assert shown[-1] == "NET ID> "


def test_a_serial_number_in_another_spelling_is_the_same(talk: Talk) -> None:
    """Zeros that a label has in front of its number tell nothing; another number does."""
    assert not any("differs" in line for line in talk.answer("N-1", "00100001", "17"))
    assert any("differs" in line for line in talk.answer("N-2", "100001"))


# What is not taken


REFUSED = [
    ("", "nothing was typed"),
    ("-", "'-' is no value"),
    ("n/a", "'n/a' is no value"),
    ("seven", "'seven' is not a number"),
    ("7.5", "is not a whole number"),
    ("0", "0 is below 1, the lowest"),
    ("41", "41 is above 40, the highest"),
    ("007", "has more digits than the display, which shows 2"),
    ("9" * 30, "is beyond any whole number"),
    ("1" * 300, "longer than 200 characters"),
    ("skip", "if you mean the command, type /skip"),
    ("/skp", "there is no command /skp; nearest: skip"),
    ("/", "there is no command //"),
    ("/keep", "nothing was refused"),
    ("/note", "write the text behind /note"),
    ("/photo ", "write the file's name behind /photo"),
    ("/node N-9", "there is no device 'N-9'; known: GW-1, N-1"),
    ("/node GW-2", "there is no device 'GW-2'; nearest: GW-1"),
    ("/network X", "there is no network 'X'"),
    ("/note " + "x" * 1001, "longer than 1000 characters"),
    ("/skip " + "x" * 1001, "longer than 1000 characters"),
    ("/note the code is 4711", "may hold an access code, which stands in no file"),
    ("/skip PIN 4711 refused", "may hold an access code"),
]


@pytest.mark.parametrize(("answer", "says"), REFUSED)
def test_what_is_not_taken_is_told_and_asked_again(talk: Talk, answer: str, says: str) -> None:
    """A refused answer is told with its reason, is in no file, and the same question comes again."""
    shown = talk.answer("N-1", "100001", answer)

    told, *question = shown[-3:]
    assert says in told
    assert question == ["N-1  2 of 7  channel (RADIO > CH): 1 to 40", "CH> "]
    assert [name for _, name, _ in talk.typed()] == ["serial"]


def test_keep_records_what_the_device_really_shows(talk: Talk) -> None:
    """A value outside the device type's limits is recorded once the person insists."""
    shown = talk.answer("N-1", "100001", "41", "/keep", "")

    assert ("N-1", "channel", "41") in talk.typed()
    assert "  41 differs from the plan." in shown


def test_what_no_device_can_hold_cannot_be_kept(talk: Talk) -> None:
    """A number beyond 64 bits would stop every later check of the file."""
    talk.answer("N-1", "100001", "9" * 30, "/keep")

    assert [name for _, name, _ in talk.typed()] == ["serial"]


def test_a_refusal_is_kept_only_at_its_own_setting(talk: Talk) -> None:
    """What was refused before another answer was taken is gone."""
    talk.answer("N-1", "100001", "41", "17", "/keep")

    assert [name for _, name, _ in talk.typed()] == ["serial", "channel"]


def test_a_word_of_a_command_can_be_a_value(talk: Talk) -> None:
    """An option that is called like a command is taken as it is; other texts stand between quotes."""
    talk.answer("N-1", "100001", "17", '"quit"', "", "812.5", "back", "")

    assert ("N-1", "network_id", "quit") in talk.typed()
    assert ("N-1", "unit", "back") in talk.typed()


# Going about


def test_skip_leaves_a_setting_out_with_its_reason(talk: Talk) -> None:
    """The reason stands in the file; without one the line says so too."""
    talk.answer("N-1", "/skip label torn off", "/skip", "0Q7Z")

    assert [line.get("skipped") for line in talk.lines()] == ["label torn off", "", None]


def test_back_goes_to_the_setting_before(talk: Talk) -> None:
    """A setting that was read is shown as read, without its value, and may stay as it is."""
    shown = talk.answer("N-1", "100001", "17", "/back", "")

    assert "  read before, 2026-03-31 12:00 by R. Sample; Enter alone leaves it so" in shown
    assert shown[-1] == "NET ID> "
    assert len(talk.lines()) == 2


def test_back_goes_up_to_the_device_and_the_network(talk: Talk) -> None:
    """In front of the first setting stands the choice of the device; there, with one network, it ends."""
    shown = talk.answer("N-1", "/back", "/back")

    assert shown[-3].strip() == "there is nothing to go back to."
    assert shown[-1] == "node> "


def test_a_value_may_be_read_anew_after_going_back(talk: Talk) -> None:
    """The new reading counts, and the old one stays."""
    shown = talk.answer("N-1", "100001", "17", "/back", "18", "")

    assert [value for _, name, value in talk.typed() if name == "channel"] == ["17", "18"]
    assert "  18 differs from the plan." in shown


def test_skip_takes_a_reading_back(talk: Talk) -> None:
    """After going back, /skip withdraws what was read there."""
    shown = talk.answer("N-1", "100001", "17", "/back", "/skip display unclear")

    assert "  The reading before is taken back." in shown
    assert talk.lines()[-1] | {"value": "", "skipped": "display unclear"} == talk.lines()[-1]


def test_notes_and_photos_belong_to_the_device(talk: Talk) -> None:
    """They may be given at any setting, which is asked again behind them."""
    shown = talk.answer("N-1", "100001", "/note cover cracked; water in it", "/photo IMG 0012.jpg", "17")

    assert talk.typed()[1:3] == [
        ("N-1", "note", "cover cracked; water in it"),
        ("N-1", "photo", "IMG 0012.jpg"),
    ]
    assert shown.count("CH> ") == 3


def test_a_note_needs_a_device(talk: Talk) -> None:
    """Before a device is chosen there is nothing that a note is of."""
    assert "  choose the device first that the note is of." in talk.answer("/note wet")


def test_list_shows_every_device_with_its_progress(talk: Talk) -> None:
    """The list tells settings done of settings there are."""
    shown = talk.answer("N-2", "100002", "/skip", "/list")

    assert "  GW-1 0/2   N-1 0/7    N-2 2/7    N-3 0/7" in shown


def test_a_tag_may_be_typed_in_another_spelling(talk: Talk) -> None:
    """Case, hyphens and leading zeros do not matter."""
    talk.answer("n02", "100002")

    assert talk.typed() == [("N-2", "serial", "100002")]


def test_enter_alone_takes_the_next_device(talk: Talk) -> None:
    """The gateway first, then node after node; behind a device the one that follows it."""
    shown = talk.answer("", "900001", "17", "", "100001", "/node")

    assert [tag for tag, _, _ in talk.typed()] == ["GW-1", "GW-1", "N-1"]
    assert shown[-2] == "Main: 1 of 4 devices done, 1 begun. /list lists them; Enter alone takes N-1."


def test_it_goes_on_where_it_was_left(talk: Talk) -> None:
    """Another start with the same file asks for the first setting that is open."""
    talk.answer("N-1", "100001", "/skip", "0Q7Z")

    shown = talk.answer("N-1")

    assert shown[-2].startswith("N-1  4 of 7  range_high")


def test_a_finished_device_may_be_read_anew(talk: Talk) -> None:
    """It is asked from its first setting on; Enter alone keeps a reading."""
    talk.answer("N-1", *AS_PLANNED)

    shown = talk.answer("N-1", "", "18", "18", "", "", "", "", "")

    assert "  It was read before; Enter alone leaves a reading as it is." in shown
    assert len(talk.lines()) == 9
    assert shown[-3] == "N-1 is done: 7 settings."


def test_when_all_is_done_it_says_so(talk: Talk) -> None:
    """With nothing left to read, Enter leads to the networks, and they say that all is done."""
    talk.answer("", "900001", "17")
    for n in (1, 2, 3):
        talk.answer(f"N-{n}", f"10000{n}", *AS_PLANNED[1:])

    shown = talk.answer("", "")

    assert "Everything was read or left out. /quit ends; a name goes back to its devices." in shown


def test_quit_ends(talk: Talk) -> None:
    """Nothing behind /quit is taken."""
    assert talk.person("N-1", "100001", "/quit", "17").answers == 3
    assert len(talk.lines()) == 1


# Numbers as they are typed


def test_a_unit_is_kept_apart_and_converted_only_for_the_check(talk: Talk) -> None:
    """8.125 bar is 812.5 kPa: as planned, and in the file as it was typed."""
    shown = talk.answer("N-1", "100001", "17", "0Q7Z", "8.125 bar")

    assert (talk.lines()[-1]["value"], talk.lines()[-1]["unit"]) == ("8.125", "bar")
    assert not any("differs" in line for line in shown)


def test_decimal_commas_are_taken_where_they_are_declared(tmp_path: Path) -> None:
    """With the comma as decimal mark a point is refused, and the text stays as typed."""
    talk = Talk(tmp_path, decimal=",")

    shown = talk.answer("N-1", "100001", "17", "0Q7Z", "812.5", "812,5")

    assert "  '812.5' has a point; the decimal mark here is the comma." in " ".join(shown) + "."
    assert talk.lines()[-1]["value"] == "812,5"
    assert not any("differs" in line for line in shown)


# From a pipe


def test_a_pipe_is_not_asked_twice(talk: Talk) -> None:
    """A value that differs is told, and the next answer is the next setting's."""
    shown = talk.answer("N-1", "100001", "18", "0Q7Z", patient=False)

    assert "  18 differs from the plan." in shown
    assert talk.typed()[1:] == [("N-1", "channel", "18"), ("N-1", "network_id", "0Q7Z")]


def test_an_answer_that_is_not_taken_stops_a_pipe(talk: Talk) -> None:
    """The answers behind it would go to other settings than was meant."""
    with pytest.raises(InputProblems) as stopped:
        talk.answer("N-1", "100001", "99", "0Q7Z", patient=False)

    (problem,) = stopped.value.problems
    assert (problem.file, problem.line) == ("standard input", 3)
    assert "99 is above 40" in problem.message
    assert len(talk.lines()) == 1


# What cannot be saved


class FullDisk:
    """A file on a disk that is full for a while."""

    def __init__(self, talk: Talk, times: int) -> None:
        self.file = talk.open()
        self.read, self.times, self.really = self.file.read, times, self.file.append
        self.path = self.file.path

    def append(self, *args: object) -> object:
        """Fail as often as was said, then append."""
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


def test_a_value_from_a_pipe_that_is_not_saved_stops_the_run(talk: Talk) -> None:
    """The value and its line are told."""
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
    """Return a text as a file of ours holds it: halves of characters written out."""
    return text if text is None else whole_characters(text)


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(
    scripts=st.lists(st.lists(ANSWERS, max_size=25), min_size=1, max_size=3), decimal=st.sampled_from(".,")
)
def test_what_was_accepted_is_in_the_file_in_order_and_is_read(
    tmp_path_factory: pytest.TempPathFactory,
    monkeypatch: pytest.MonkeyPatch,
    scripts: list[list[str]],
    decimal: str,
) -> None:
    """Whatever is typed, in one talk or several: each draft is a line, in order, and the file is read."""
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
        nothing = "holds no readings: everything in it was left out" in outcome.stderr
        assert outcome.code in (0, 1) or nothing, outcome.stderr
