"""Outcomes: what became of each change record."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.comparing import same
from audit.drifting.device_outcomes import evidence, of_device
from audit.drifting.records import Records, means
from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.drift import DeviceDrift, ReadChange, RecordOutcome, RecordState
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Target, every_device
from audit.phrases import counted
from audit.reading.identifiers import spelling

WORST: tuple[RecordState, ...] = (
    "older evidence", "other value", "not borne out", "other before", "not read", "not yet", "superseded",
    "borne out", "before the baseline",
)  # fmt: skip
"""States, worst first: where the devices of a record differ, the first of them is reported."""
LEFT_BEHIND: tuple[RecordState, ...] = ("older evidence", "not borne out")
"""States in which nothing shows that a node followed its gateway. Other values are a drift of its own."""


def record_outcomes(records: Records, devices: Sequence[DeviceDrift]) -> list[RecordOutcome]:
    """Return what became of each record, by date: one outcome for each state of its devices."""
    explained = grouped((id(read), drift) for drift in devices for read in drift.records)
    found: list[RecordOutcome] = []
    for read in records.changes:
        if read.change.date > records.today:
            message = f"{read.words()}, is dated after the day of this run, {records.today}"
            named = {
                records.site.blocks[b].networks[i] for b, i in records.baseline.named(read.node, read.network)
            }
            network = read.change.network or (named.pop() if len(named) == 1 else "")
            found.append(RecordOutcome(read, "not yet", (), network, message))
        elif read.change.what == "setting":
            found.extend(_of_setting(records, read))
        else:
            found.append(of_device(records, read, explained[id(read)]))
    return found


def _targets(records: Records, read: ReadChange) -> Iterator[tuple[Target, Setting]]:
    """Yield the devices of a record with the setting that it names."""
    change, site = read.change, records.site
    for b, i in records.baseline.devices.get(read.node, ()) if read.node else every_device(site.blocks):
        setting = site.blocks[b].type.setting(change.setting or "")
        if setting is not None and records.concerns(read, b, i, setting):
            yield (b, i), setting


def _concerned(records: Records, read: ReadChange) -> list[tuple[Target, Setting]]:
    """Return the devices that a record means: of a whole network, not those of types that had another value.

    From 8.70 m to 8.50 m means the levels, and not the temperatures, whose alarm has the same name. If no
    type had the value before or has the new one, all are meant.
    """
    targets = list(_targets(records, read))
    if read.node or not read.before:
        return targets
    types = {target[0] for target, setting in targets if _has_either(records, read, target, setting)}
    return [one for one in targets if one[0][0] in types] or targets


def _has_either(records: Records, read: ReadChange, target: Target, setting: Setting) -> bool:
    """Tell whether a device had or has the value before a record, or has the one after it."""
    block, i = records.site.blocks[target[0]], target[1]
    before, now = (block.value(side, setting.name, i) for side in ("planned", "found"))
    return any(means(read.before, one, setting) for one in (before, now)) or means(read.after, now, setting)


def _followers(records: Records, read: ReadChange) -> Iterator[tuple[Target, Setting]]:
    """Yield the nodes of each gateway of a record, with the setting that they must share with it."""
    site = records.site
    for (b, i), setting in list(_targets(records, read)) if read.node else ():
        if site.blocks[b].gateway and setting.role in NETWORK_ROLES:
            for n, k in records.followers.get(site.blocks[b].networks[i], ()):
                for its in site.blocks[n].settings(setting.role):
                    yield (n, k), its


def _of_setting(records: Records, read: ReadChange) -> Iterator[RecordOutcome]:
    """Yield what became of a record about a setting: one outcome for all devices in the same state."""
    states: dict[tuple[RecordState, str], list[Target]] = {}
    behind: dict[tuple[RecordState, str], list[Target]] = {}
    for target, setting in _concerned(records, read):
        states.setdefault(_state(records, read, target, setting), []).append(target)
    for target, setting in _followers(records, read):
        state, words = _state(records, read, target, setting)
        if state in LEFT_BEHIND:  # the gateway may well be as the record says
            which = states if (state, words) in states else behind
            which.setdefault((state, words), []).append(target)
    for (state, words), targets in behind.items():
        states[state, f"{words}, at {counted(len(targets), 'node')} of {read.node}"] = targets
    if not states and read.change.date < records.baseline.content.sealed_on:
        # its device may have been retired since
        message = f"{read.words()}, was made before the baseline was sealed"
        yield RecordOutcome(read, "before the baseline", (), read.change.network, message)
    elif not states:
        about = " in ".join(filter(None, (read.change.node, read.change.network)))
        message = f"{read.words()}, is about {read.change.setting} of {about}, which is not in the baseline"
        message += _meant(records, read)
        yield RecordOutcome(read, "not borne out", (), read.change.network, message)
    for (state, words), targets in sorted(states.items(), key=lambda item: WORST.index(item[0][0])):
        b, i = targets[0]
        block = records.site.blocks[b]
        tags = tuple(records.site.blocks[b].tags[i] for b, i in targets)
        message = f"{read.words()}, {words}"
        yield RecordOutcome(read, state, tags, block.networks[i], message, (b, i))


def _meant(records: Records, read: ReadChange) -> str:
    """Return which device a record may mean that names none: one in another network, or of another name."""
    change = read.change
    alike = {
        f"{block.tags[i]} in {block.networks[i]}"
        for b, i in records.baseline.spelled.get(spelling(change.node), ())
        for block in (records.site.blocks[b],)
        if (block.networks[i], block.tags[i]) != (change.network, change.node)
        and block.type.setting(change.setting or "") is not None
    }
    return f": perhaps {' or '.join(sorted(alike))} is meant" if 0 < len(alike) < 3 else ""


def _state(records: Records, read: ReadChange, target: Target, setting: Setting) -> tuple[RecordState, str]:
    """Return what became of a record at one device, and a message with what it says and what was found."""
    (b, i), name = target, setting.name
    block = records.site.blocks[b]
    before, now = block.value("planned", name, i), block.value("found", name, i)
    if not records.is_since(read, b, i, setting):
        return "before the baseline", "was already made when the baseline was sealed"
    if setting.kind == "secret":
        return "borne out", "is about an access code, which no readback shows"
    if not now.read:
        return "not read", f"could not be checked: {name} was not read"
    older = evidence(block, i, read)
    if older:
        return "older evidence", older
    chain = records.of_setting(b, i, setting)
    if chain and chain[-1] is not read:
        return "superseded", f"was followed by change {chain[-1].change.id}"
    if means(read.after, now, setting):
        first = chain[0] if chain else read
        stayed = not records.has_changed_gateway(b, i, setting)
        if stayed and first.before and before.read and not means(first.before, before, setting):
            return "other before", f"says {name} was {first.before}; the baseline has {before.shown}"
        return "borne out", f"set {name} to {now.shown}"
    if before.read and same(before, now, setting):
        return "not borne out", f"says {name} is {read.after} now; it is {now.shown}, as in the baseline"
    return "other value", f"says {name} is {read.after} now; {now.shown} was found"
