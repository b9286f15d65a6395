"""What an answer means at the question that was asked, and what it leads to."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from audit.entering.accepting import Accepted, Refused, accept, agrees, meaning_of
from audit.entering.asking import device_lines
from audit.entering.choosing import choose_device, choose_network, refuse
from audit.entering.commands import COMMANDS, HELP, is_bare_word, split, unquoted
from audit.entering.devices import SERIAL, Device
from audit.entering.progress import Progress
from audit.entering.slip_words import slip_words
from audit.entering.state import Draft, Here, Reply, State, Work
from audit.errors import nearest
from audit.model.device import READ_AT_WORDS
from audit.phrases import counted
from audit.reading.quoting import holds_code

LONGEST_TEXT = 1000
"""Longest note, name of a photo, or reason that an entry takes."""


def answer(here: Here, text: str) -> Reply:
    """Return what an answer leads to. This changes nothing: the reply holds what is to be saved."""
    state = here.state
    command, rest = split(text)
    if command:
        if command not in COMMANDS:
            named = f"/{command.strip('/')}"
            known = nearest(named, [f"/{one}" for one in COMMANDS])
            return refuse(state, f"there is no command {named}; {known}")
        return _COMMANDS[command](here, rest)
    if state.device is not None:
        return _value(here, rest)
    return choose_device(here, rest) if state.network else choose_network(here, rest)


def start(work: Work) -> State:
    """Return where the work begins: at the only network, or at the choice of one."""
    names = work.wanted.networks()
    return State(names[0] if len(names) == 1 else "")


# A value


def _value(here: Here, text: str) -> Reply:
    work, progress, state = here
    device, step = state.at()
    if not text:
        if state.again or progress.status(device, step) != "open":
            return Reply(state, onward=True)
        return refuse(state, "nothing was typed; type what is shown, or /skip")
    if is_bare_word(text) and text not in step.setting.options:
        return refuse(state, f"if you mean the command, type /{text.strip().casefold()}; "
                              f'if that is what is shown, type "{text.strip()}"')  # fmt: skip
    found = accept(unquoted(text), step.setting, work.decimal)
    if isinstance(found, Refused):
        there = "" if work.asks_again else " at a terminal"  # from a pipe, the run stops here
        keep = f". If the device really shows that, /keep records it{there}" if found.kept else ""
        return replace(refuse(state, found.why + keep), state=replace(state, refused=found.kept))
    planned_here = agrees(found.meaning, step.planned, step.setting)
    elsewhere = work.wanted.with_serial(found.value) if step.setting is SERIAL and not planned_here else None
    if elsewhere and work.asks_again:
        return Reply(replace(state, refused=found), _are_you_at(work, device, elsewhere), refused=True)
    return _taken(here, found)


def _are_you_at(work: Work, device: Device, other: Device) -> tuple[str, str]:
    """Return the question whether a person is at the device with this serial number, and the way there."""
    name, way = other.tag, f"/node {other.tag} goes there"
    if (work.wanted.named(other.tag, device.network) or work.wanted.named(other.tag)) != [other]:
        name = f"{other.tag} in network {other.network}"
        way = f"/network {other.network} and then {other.tag} goes there"
    return (
        f"  That is the serial number of {name}: are you at {other.tag}?",
        f"  {way}. If {device.tag} really has it, /keep records it.",
    )


def _taken(here: Here, found: Accepted) -> Reply:
    """Record a value; where it differs from the plan, say so, and ask for it again."""
    work, progress, state = here
    device, step = state.at()
    draft = Draft(device, step.name, found.value, found.unit, READ_AT_WORDS[step.setting.read_at])
    before = progress.entry(device, step)
    earlier = meaning_of(before, step.setting) if before else None
    shown = f"{found.value} {found.unit}".strip()
    planned = not step.planned.read or agrees(found.meaning, step.planned, step.setting)
    same = earlier is not None and agrees(found.meaning, earlier, step.setting)
    say: list[str] = []
    if planned and earlier is not None and not same:
        say = ["  Both readings are kept, and this one counts."]
        if state.again:
            say = ["  This one is as planned. Both readings are kept, and this one counts."]
    elif not planned and same:
        say = [f"  Read as {shown} again: it differs from the plan, and is kept as found."]
    elif not planned:
        say = [f"  {shown} differs from the plan."]
        if likely := slip_words(device, step, found.meaning, work.wanted.elevation_m):
            say.append(f"  {likely}")
        if state.again:
            say[0] = f"  {shown} differs from the plan, and from the earlier reading."
        if work.asks_again:
            say.append("  Look again and type what is shown; Enter alone leaves it as it is.")
            return Reply(replace(state, again=True, refused=None), tuple(say), draft)
    return Reply(state, tuple(say), draft, onward=True)


def onward(progress: Progress, state: State) -> Reply:
    """Return what comes next: the next open setting, or simply the next one where a device is read again.

    When nothing on the device is left to read, it is done, and another device has to be chosen.
    """
    device, _ = state.at()
    after, before = range(state.step + 1, len(device.steps)), range(0 if state.rereading else state.step)
    for step in (*after, *before):
        if state.rereading or progress.status(device, device.steps[step]) == "open":
            passed = _read_by_another(progress, device, state.step, range(state.step + 1, step))
            return Reply(State(device.network, device, step, state.rereading), passed)
    out = progress.count(device, "left out")
    done = f"{device.tag} is done: {counted(len(device.steps), 'setting')}"
    done += f", {out} left out." if out else "."
    return Reply(State(device.network), (done,))


def _read_by_another(progress: Progress, device: Device, at: int, passed: range) -> tuple[str, ...]:
    """Return what is said of settings that are passed over because somebody else has read them."""
    mine = progress.entry(device, device.steps[at])
    others: dict[str, list[str]] = {}
    for step in passed:
        entry = progress.entry(device, device.steps[step])
        if mine and entry and entry.read_by not in ("", mine.read_by):
            others.setdefault(entry.read_by, []).append(device.steps[step].name)
    return tuple(f"  Already read by {by}: {', '.join(names)}." for by, names in others.items())


# Commands


def _skip(here: Here, rest: str) -> Reply:
    _, progress, state = here
    if state.device is None:
        return refuse(state, "there is no setting to leave out here")
    if state.again:
        lost = "; this reason is not kept, but /note keeps one" if rest else ""
        return Reply(state, (f"  The earlier reading stands{lost}.",), onward=True)
    if why := _why_no_remark(rest):
        return refuse(state, why)
    _, step = state.at()
    say = ("  The earlier reading is withdrawn.",) if progress.entry(state.device, step) else ()
    return Reply(state, say, Draft(state.device, step.name, "", skipped=rest), onward=True)


def _back(here: Here, rest: str) -> Reply:
    work, _, state = here
    if state.device is not None and state.step:
        return Reply(State(state.network, state.device, state.step - 1, state.rereading))
    if state.device is not None:
        return Reply(State(state.network))
    if state.network and len(work.wanted.networks()) > 1:
        return Reply(State())
    return refuse(state, "there is nothing to go back to")


def _why_no_remark(text: str) -> str:
    """Return why a note, a name or a reason is refused: it is too long, or may contain an access code."""
    if len(text) > LONGEST_TEXT:
        return f"that is longer than {LONGEST_TEXT} characters; write several notes"
    if holds_code(text) and re.search(r"\d{3}", text):
        return "that may contain an access code, and codes are never saved; write it without the number"
    return ""


def _remark(name: str) -> Callable[[Here, str], Reply]:
    def remark(here: Here, rest: str) -> Reply:
        state = here.state
        if state.device is None:
            return refuse(state, f"choose the device of the {name} first")
        if not rest:
            what = "the text" if name == "note" else "the file's name"
            return refuse(state, f"write {what} after /{name}, on the same line")
        if why := _why_no_remark(rest):
            return refuse(state, why)
        said = f"  Saved as a {name} of {state.device.tag}."
        return Reply(state, (said,), Draft(state.device, name, rest))

    return remark


def _keep(here: Here, rest: str) -> Reply:
    state = here.state
    if state.refused is None:
        return refuse(state, "there is no refused value to keep")
    return _taken(here, state.refused)


def _node(here: Here, rest: str) -> Reply:
    work, _, state = here
    if rest:
        return choose_device(here, rest)
    names = work.wanted.networks()
    network = state.network or (names[0] if len(names) == 1 else "")
    return Reply(State(network))


def _network(here: Here, rest: str) -> Reply:
    return choose_network(here, rest) if rest else Reply(State())


def _list(here: Here, rest: str) -> Reply:
    work, progress, state = here
    networks = [state.network] if state.network else work.wanted.networks()
    return Reply(state, tuple(line for name in networks for line in device_lines(work, progress, name)))


def _help(here: Here, rest: str) -> Reply:
    return Reply(here.state, HELP)


def _quit(here: Here, rest: str) -> Reply:
    return Reply(here.state, over=True)


_COMMANDS: dict[str, Callable[[Here, str], Reply]] = {
    "skip": _skip, "back": _back, "note": _remark("note"), "photo": _remark("photo"), "keep": _keep,
    "node": _node, "network": _network, "list": _list, "help": _help, "quit": _quit,
}  # fmt: skip
