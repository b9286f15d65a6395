"""Choosing: what a name means where a network or a device is asked for."""

from __future__ import annotations

from collections.abc import Sequence

from audit.entering.asking import next_device, next_network
from audit.entering.devices import Device
from audit.entering.progress import Progress
from audit.entering.state import Here, Reply, State
from audit.errors import near, nearest
from audit.reading.identifiers import spelling


def refuse(state: State, why: str) -> Reply:
    """Return a reply that refuses an answer, and says why."""
    return Reply(state, (f"  {why}.",), refused=True)


def _like(word: str, names: Sequence[str]) -> str:
    """Return a hint with the names nearest to a word in any spelling, or else with some of the names."""
    by_spelling = {spelling(name): name for name in names}
    close = near(spelling(word), by_spelling)
    return f"nearest: {', '.join(by_spelling[key] for key in close)}" if close else nearest(word, names)


def choose_network(here: Here, text: str) -> Reply:
    """Take a network by its name, or a device by its tag where no network has that name."""
    work, progress, state = here
    names = work.wanted.networks()
    name = text or next_network(work, progress)
    if not name:
        return refuse(state, "everything was read or left out: type the name of a network, or /quit")
    found = [one for one in names if one == name] or [one for one in names if spelling(one) == spelling(name)]
    if len(found) == 1:
        return Reply(State(found[0]))
    if found:
        return refuse(state, f"{name!r} may be {' or '.join(map(repr, found))}: type the one you mean")
    if work.wanted.named(name):
        return choose_device(here, name)
    known = [*names, *(device.tag for device in work.wanted.devices)]
    return refuse(state, f"there is no network and no device {name!r}; {_like(name, known)}")


def choose_device(here: Here, text: str) -> Reply:
    """Take a device of the network by its tag, or else of another network where the tag is unique."""
    work, progress, state = here
    if not text:
        device = next_device(work, progress, state.network)
        return _begin(progress, device) if device else Reply(State())
    found = work.wanted.named(text, state.network) or work.wanted.named(text)
    if len(found) == 1:
        return _begin(progress, found[0])
    if found:
        networks = ", ".join(dict.fromkeys(device.network for device in found))
        return refuse(state, f"{text!r} is the tag of several devices ({networks}): choose the network first")
    among = work.wanted.of(state.network) if state.network else work.wanted.devices
    return refuse(state, f"there is no device {text!r}; {_like(text, [one.tag for one in among])}")


def _begin(progress: Progress, device: Device) -> Reply:
    title = f", {device.type.title}" if device.type.title else ""
    place = f": {device.location}" if device.location else ""
    say = [f"{device.tag}{title}, network {device.network}{place}"]
    if device.type.hazardous_area:
        say.append("  Hazardous area: permit to work, certified tools and parts, competent persons.")
    if device.type.moves_outputs:
        say.append("  It drives outputs, which may move when it is re-set: only read, and keep people clear.")
    rereading = progress.finished(device)
    if rereading:
        say.append("  It was read before; Enter alone keeps an earlier reading.")
    first = next((n for n, step in enumerate(device.steps) if progress.status(device, step) == "open"), 0)
    return Reply(State(device.network, device, first, rereading), tuple(say))
