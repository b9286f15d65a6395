"""What answers lead to: those that are refused, and the commands for moving about."""

from __future__ import annotations

import pytest

from audit.entering.answering import answer, onward
from audit.entering.devices import SERIAL, Device, Step, ToRead
from audit.entering.progress import Progress
from audit.entering.state import Here, State, Work
from audit.model.device import DeviceType
from audit.model.value import Value
from tests.entering.talks import AS_PLANNED, Talk, without_settings

NODE = DeviceType(asfound="device-type/1", name="node")

# What is not taken


REFUSED = [
    ("", "nothing was typed"),
    ("-", "'-' is not a value"),
    ("n/a", "'n/a' is not a value"),
    ("seven", "'seven' is not a number"),
    ("7.5", "is not a whole number"),
    ("0", "0 is below 1, the lowest"),
    ("41", "41 is above 40, the highest"),
    ("007", "has more digits than the display, which shows 2"),
    ("9" * 30, "is beyond any whole number"),
    ("1" * 300, "longer than 200 characters"),
    ("skip", "if you mean the command, type /skip"),
    ("/skp", "there is no command /skp; nearest: /skip"),
    ("/", "there is no command /; known: /back, "),
    ("/keep", "there is no refused value to keep"),
    ("/note", "write the text after /note"),
    ("/photo ", "write the file's name after /photo"),
    ("/node N-9", "there is no device 'N-9'; nearest: N-1, N-2, N-3"),
    ("/node GW-2", "there is no device 'GW-2'; nearest: GW-1"),
    ("/network X", "there is no network and no device 'X'"),
    ("/note " + "x" * 1001, "longer than 1000 characters"),
    ("/skip " + "x" * 1001, "longer than 1000 characters"),
    ("/note the code is 4711", "may contain an access code, and codes are never saved"),
    ("/skip PIN 4711 refused", "may contain an access code"),
]


@pytest.mark.parametrize(("answer", "says"), REFUSED)
def test_what_is_not_taken_is_told_and_asked_again(talk: Talk, answer: str, says: str) -> None:
    """An answer is refused with a reason, goes into no file, and the same question is asked again."""
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


def test_the_serial_number_of_another_device_asks_where_the_person_stands(talk: Talk) -> None:
    """One device is easily mistaken for the next: nothing is recorded until the person says where."""
    shown = talk.answer("N-1", "100002", "/node N-2", "100002")

    assert "  That is the serial number of N-2: are you at N-2?" in shown
    assert "  /node N-2 goes there. If N-1 really has it, /keep records it." in shown
    assert talk.typed() == [("N-2", "serial", "100002")]


def test_a_device_whose_tag_occurs_twice_is_named_with_its_network() -> None:
    """The way that is told leads to the device with that serial number, not to its namesake nearby."""
    device, namesake, other = (
        Device(network, tag, "", NODE, (Step(SERIAL, Value(serial, shown=serial)),), None, 0)  # type: ignore[arg-type]
        for network, tag, serial in (("A", "N-1", "100001"), ("A", "N-2", "100002"), ("B", "N-2", "200002"))
    )
    work = Work(ToRead("S", "", (device, namesake, other)))
    reply = answer(Here(work, Progress(), State("A", device)), "200002")

    assert reply.say == (
        "  That is the serial number of N-2 in network B: are you at N-2?",
        "  /network B and then N-2 goes there. If N-1 really has it, /keep records it.",
    )
    assert answer(Here(work, Progress(), State("B")), "N-2").state.device is other


def test_back_from_the_choice_of_a_device_leads_to_that_of_a_network() -> None:
    """Where there are several."""
    work = Work(ToRead("S", "", without_settings("North", "South")))

    assert answer(Here(work, Progress(), State("North")), "/back").state == State()


def test_where_no_network_was_chosen_a_device_is_looked_for_in_all() -> None:
    """The hint names the nearest tag of the site."""
    here = Here(Work(ToRead("S", "", without_settings("North", "Hill"))), Progress(), State())

    assert answer(here, "/node Nroth").say == ("  there is no device 'Nroth'; nearest: North.",)


def test_the_help_says_where_a_device_goes_that_is_not_in_the_plan() -> None:
    """It is refused here, and must not be lost."""
    here = Here(Work(ToRead("S", "", without_settings("North"))), Progress(), State("North"))

    assert (
        "A device that is not in the plan goes into a sheet, which has rows for it." in answer(here, "?").say
    )


def test_a_serial_number_that_is_planned_twice_is_taken_at_both() -> None:
    """The plan is wrong then, which the check says; the person stands where the plan says."""
    first, second = (
        Device("A", tag, "", NODE, (Step(SERIAL, Value("100001", shown="100001")),), None, 0)  # type: ignore[arg-type]
        for tag in ("N-1", "N-2")
    )
    reply = answer(Here(Work(ToRead("S", "", (first, second))), Progress(), State("A", second)), "100001")

    assert (reply.refused, reply.say) == (False, ())


def test_a_box_that_hangs_in_the_place_of_another_is_kept_without_a_slip(talk: Talk) -> None:
    """Serial numbers that are one apart are two devices: nobody has mistyped one for the other."""
    shown = talk.answer("N-1", "100002", "/keep", "")

    assert ("N-1", "serial", "100002") in talk.typed()
    assert "  100002 differs from the plan." in shown
    assert not [line for line in shown if "slip" in line]


def test_what_no_device_can_hold_cannot_be_kept(talk: Talk) -> None:
    """A number beyond 64 bits would stop every later check of the file."""
    talk.answer("N-1", "100001", "9" * 30, "/keep")

    assert [name for _, name, _ in talk.typed()] == ["serial"]


def test_what_somebody_else_has_read_meanwhile_is_passed_over_by_name(talk: Talk) -> None:
    """Two people are at one device: whoever types without looking would answer another question."""
    talk.answer("N-1", "100001")
    talk.by = "B. Example"
    of_one = talk.answer("N-1", "17", "0Q7Z")
    talk.by = "R. Sample"
    of_another = talk.answer("N-1", "/back", "/back", "/back", "100001")
    talk.answer("N-1", "812.5")
    of_himself = talk.answer("N-1", "/back", "812.5")

    assert of_another[-3:-1] == [
        "  Already read by B. Example: channel, network_id.",
        "N-1  4 of 7  range_high (IN > URV): 0 to 1600 kPa, steps of 0.5",
    ]
    assert not [line for line in of_one + of_himself if "Already read" in line]


def test_a_refusal_is_kept_only_at_its_own_setting(talk: Talk) -> None:
    """A refused value is gone once another answer was accepted."""
    talk.answer("N-1", "100001", "41", "17", "/keep")

    assert [name for _, name, _ in talk.typed()] == ["serial", "channel"]


def test_a_word_of_a_command_can_be_a_value(talk: Talk) -> None:
    """An option with the name of a command is taken as it is; other such texts need quotes."""
    talk.answer("N-1", "100001", "17", '"quit"', "", "812.5", "back", "")

    assert ("N-1", "network_id", "quit") in talk.typed()
    assert ("N-1", "unit", "back") in talk.typed()


# Going about


def test_skip_leaves_a_setting_out_with_its_reason(talk: Talk) -> None:
    """The reason is in the file; without one the line still says that it was left out."""
    talk.answer("N-1", "/skip label torn off", "/skip", "0Q7Z")

    assert [line.get("skipped") for line in talk.lines()] == ["label torn off", "", None]


def test_a_device_that_is_done_tells_how_many_settings_were_left_out(talk: Talk) -> None:
    """They are not read: who goes on to the next device should know that."""
    shown = talk.answer("N-1", "/skip label torn off", *AS_PLANNED[1:])

    assert "N-1 is done: 7 settings, 1 left out." in shown


def test_back_goes_to_the_setting_before(talk: Talk) -> None:
    """A setting that was read is shown as read, without its value, and may be kept."""
    shown = talk.answer("N-1", "100001", "17", "/back", "")

    assert "  already read, 2026-03-31 12:00 by R. Sample; Enter alone keeps it" in shown
    assert shown[-1] == "NET ID> "
    assert len(talk.lines()) == 2


def test_back_goes_up_to_the_device_and_the_network(talk: Talk) -> None:
    """Before the first setting comes the choice of the device; with one network, nothing comes before."""
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

    assert "  The earlier reading is withdrawn." in shown
    assert talk.lines()[-1] | {"value": "", "skipped": "display unclear"} == talk.lines()[-1]


def test_notes_and_photos_belong_to_the_device(talk: Talk) -> None:
    """They may be given at any setting, which is asked for again after them."""
    shown = talk.answer("N-1", "100001", "/note cover cracked; water in it", "/photo IMG 0012.jpg", "17")

    assert talk.typed()[1:3] == [
        ("N-1", "note", "cover cracked; water in it"),
        ("N-1", "photo", "IMG 0012.jpg"),
    ]
    assert shown.count("CH> ") == 3


def test_a_note_needs_a_device(talk: Talk) -> None:
    """Before a device is chosen there is nothing to note anything about."""
    assert "  choose the device of the note first." in talk.answer("/note wet")


def test_list_shows_every_device_with_its_progress(talk: Talk) -> None:
    """The list shows how many of all settings are done."""
    shown = talk.answer("N-2", "100002", "/skip", "/list")

    assert "  GW-1 0/2   N-1 0/7    N-2 2/7    N-3 0/7" in shown


def test_a_tag_may_be_typed_in_another_spelling(talk: Talk) -> None:
    """Case, hyphens and leading zeros do not matter."""
    talk.answer("n02", "100002")

    assert talk.typed() == [("N-2", "serial", "100002")]


def test_enter_alone_takes_the_next_device(talk: Talk) -> None:
    """The gateway first, then node after node; after a device comes the next one."""
    shown = talk.answer("", "900001", "17", "", "100001", "/node")

    assert [tag for tag, _, _ in talk.typed()] == ["GW-1", "GW-1", "N-1"]
    assert shown[-2] == "Main: 1 of 4 devices done, 1 begun. /list lists them; Enter alone takes N-1."


def test_it_goes_on_where_it_was_left(talk: Talk) -> None:
    """Another run with the same file asks for the first open setting."""
    talk.answer("N-1", "100001", "/skip", "0Q7Z")

    shown = talk.answer("N-1")

    assert shown[-2].startswith("N-1  4 of 7  range_high")


def test_a_finished_device_may_be_read_anew(talk: Talk) -> None:
    """It is asked from its first setting on; Enter alone keeps a reading."""
    talk.answer("N-1", *AS_PLANNED)

    shown = talk.answer("N-1", "", "18", "18", "", "", "", "", "")

    assert "  It was read before; Enter alone keeps an earlier reading." in shown
    assert len(talk.lines()) == 9
    assert shown[-3] == "N-1 is done: 7 settings."


def test_when_all_is_done_it_says_so(talk: Talk) -> None:
    """With nothing left to read, Enter leads to the networks, and they say that all is done."""
    talk.answer("", "900001", "17")
    for n in (1, 2, 3):
        talk.answer(f"N-{n}", f"10000{n}", *AS_PLANNED[1:])

    shown = talk.answer("", "")

    assert "Everything was read or left out. /quit ends; a network's name goes back to its devices." in shown


def test_quit_ends(talk: Talk) -> None:
    """Nothing after /quit is accepted."""
    assert talk.person("N-1", "100001", "/quit", "17").answers == 3
    assert len(talk.lines()) == 1


def test_a_network_that_may_be_two_is_asked_for_again() -> None:
    """If two names are spelt alike, the person has to say which one is meant."""
    here = Here(Work(ToRead("S", "", without_settings("North 1", "North-1"))), Progress(), State())

    assert answer(here, "north1").refused
    assert answer(here, "North-1").state.network == "North-1"


def test_a_device_with_its_serial_number_alone_to_read() -> None:
    """One setting is told of as one."""
    steps = (Step(SERIAL, Value("100001", shown="100001")),)
    device = Device("North", "N-1", "", NODE, steps, None, 0)  # type: ignore[arg-type]

    assert onward(Progress(), State("North", device, rereading=True)).say == ("N-1 is done: 1 setting.",)
