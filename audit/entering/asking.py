"""What is asked next: a network, a device in it, or a setting and where to look for it."""

from __future__ import annotations

from collections.abc import Sequence

from audit.entering.accepting import expects
from audit.entering.commands import COMMANDS
from audit.entering.devices import Device
from audit.entering.progress import Progress
from audit.entering.state import Question, State, Work
from audit.model.device import READ_AT_WORDS, Setting

WIDTH = 78
"""Characters in a line of a list: a terminal has 80."""


def ask(work: Work, progress: Progress, state: State) -> Question:
    """Return the question that a state stands for."""
    if state.device is not None:
        return _setting(progress, state)
    if state.network:
        return _node(work, progress, state.network)
    return _network(work, progress)


def next_device(work: Work, progress: Progress, network: str) -> Device | None:
    """Return the device of a network to read next: the first unfinished one."""
    return next((one for one in work.wanted.of(network) if not progress.finished(one)), None)


def next_network(work: Work, progress: Progress) -> str:
    """Return the first network that is not finished, empty if all are."""
    return next((name for name in work.wanted.networks() if next_device(work, progress, name)), "")


def device_lines(work: Work, progress: Progress, network: str) -> tuple[str, ...]:
    """Return the devices of a network in columns, each with the number of its settings that are done."""
    cells = [f"{device.tag} {_done(progress, device)}" for device in work.wanted.of(network)]
    wide = max(map(len, cells)) + 3
    across = max(1, WIDTH // wide)
    down = -(-len(cells) // across)
    rows = ["".join(cell.ljust(wide) for cell in cells[row::down]).rstrip() for row in range(down)]
    return (f"{network}: settings read or left out, of the total", *(f"  {row}" for row in rows))


def summary(devices: Sequence[Device], progress: Progress) -> str:
    """Return how many of some devices are done, and how many begun."""
    done = sum(map(progress.finished, devices))
    half = sum(map(progress.begun, devices)) - done
    return f"{done} of {len(devices)} devices done" + (f", {half} begun" if half else "")


def _done(progress: Progress, device: Device) -> str:
    return f"{len(device.steps) - progress.count(device, 'open')}/{len(device.steps)}"


def _words(*more: str) -> tuple[str, ...]:
    return (*more, *(f"/{command}" for command in COMMANDS))


def _network(work: Work, progress: Progress) -> Question:
    names = work.wanted.networks()
    wide = max(map(len, names))
    lines = [f"  {name.ljust(wide)}  {summary(work.wanted.of(name), progress)}" for name in names]
    first = next_network(work, progress)
    head = ("Networks:", *lines, f"Enter alone takes {first}." if first else _ALL)
    return Question(head, "network> ", _words(*names))


_ALL = "Everything was read or left out. /quit ends; a network's name goes back to its devices."


def _node(work: Work, progress: Progress, network: str) -> Question:
    first = next_device(work, progress, network)
    done = summary(work.wanted.of(network), progress)
    tail = f"/list lists them; Enter alone takes {first.tag}." if first else "/network goes to another one."
    tags = [device.tag for device in work.wanted.of(network)]
    return Question((f"{network}: {done}. {tail}",), "node> ", _words(*tags))


def _setting(progress: Progress, state: State) -> Question:
    device, step = state.at()
    setting = step.setting
    head = [f"{device.tag}  {state.step + 1} of {len(device.steps)}  {setting.name} ({where(setting)}): "
            f"{expects(setting)}"]  # fmt: skip
    if entry := None if state.again else progress.entry(device, step):
        by = f" by {entry.read_by}" if entry.read_by else ""
        head.append(f"  already read, {entry.read_at[:16].replace('T', ' ')}{by}; Enter alone keeps it")
    elif progress.status(device, step) == "left out":
        head.append("  left out before; Enter alone leaves it out")
    choices = setting.options or (("on", "off") if setting.kind == "flag" else ())
    prompt = f"{setting.label or setting.name}{' again' if state.again else ''}> "
    return Question(tuple(head), prompt, _words(*choices))


def where(setting: Setting) -> str:
    """Return where to look: the way through the device's menu, or where else the setting is read."""
    place = READ_AT_WORDS[setting.read_at]
    if not setting.where:
        return place
    return setting.where if setting.read_at == "display" else f"{place}: {setting.where}"
