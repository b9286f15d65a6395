"""Patching: the JSON Patch (RFC 6902) that turns a baseline's devices into those of the readback.

An unchanged device costs one comparison. Inside a changed one, DeepDiff finds the changes.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from itertools import chain, count
from typing import Any

from audit.model.baseline import SealedDevice
from audit.model.device import Setting
from audit.model.identified import Stranger
from audit.model.site import Block, Site
from audit.model.used import PatchOperation
from audit.pairing.identifying import is_another
from audit.reading.baselines import ReadBaseline
from audit.reading.gateway_names import gateway_names, network_meant
from audit.reading.identifiers import bare, spelling
from audit.sampling.by_chance import Unit
from audit.sealing.canonical import in_order, pointer
from audit.sealing.devices import sealed_device
from audit.texts import canonical_text, field_of, tag_of, texts_of

Devices = dict[str, dict[str, dict[str, Any]]]
"""Network → tag → device, as in a baseline."""


def patch(read: ReadBaseline, site: Site) -> list[PatchOperation]:
    """Return the operations. The first ones are tests, so that no other baseline can be patched."""
    before, after = of_baseline(read), of_readback(read, site)
    tests = [PatchOperation(op="test", path="/sha256", value=read.baseline.sha256)]
    changes: list[PatchOperation] = []
    for network in in_order(after):  # it has every network of the baseline
        new = after[network]
        if network not in before:
            changes.append(PatchOperation(op="add", path=_path(network), value=new))
            continue
        old = before[network]
        for tag in in_order(old.keys() | new.keys()):
            if old.get(tag) != new.get(tag):
                for operation in of_device(_path(network, tag), old.get(tag), new.get(tag)):
                    (tests if operation.op == "test" else changes).append(operation)
    return [*tests, *changes]


def _path(*steps: str) -> str:
    return pointer("content", "devices", *steps)


def of_device(
    path: str, old: Mapping[str, Any] | None, new: Mapping[str, Any] | None
) -> Iterator[PatchOperation]:
    """Yield the operations on one device, each after a test of what it replaces or removes."""
    if old is None:
        yield PatchOperation(op="add", path=path, value=new)
        return
    if new is None:
        yield PatchOperation(op="test", path=path, value=old)
        yield PatchOperation(op="remove", path=path)
        return
    from deepdiff import DeepDiff

    difference = DeepDiff(old, new, view="tree", verbose_level=2)
    for kind, op in (("dictionary_item_removed", "remove"), ("values_changed", "replace"),
                     ("dictionary_item_added", "add")):  # fmt: skip
        for change in sorted(difference.get(kind, ()), key=_steps):
            at = path + pointer(*_steps(change))
            if op != "add":
                yield PatchOperation(op="test", path=at, value=change.t1)
            value = {} if op == "remove" else {"value": change.t2}
            yield PatchOperation(op=op, path=at, **value)


def _steps(change: Any) -> list[str]:
    """Return the keys from the device to a change."""
    return [str(step) for step in change.path(output_format="list")]


def of_baseline(read: ReadBaseline) -> Devices:
    """Return the devices of a baseline as data."""
    devices = read.baseline.content.devices
    return {network: {tag: _data(device) for tag, device in its.items()} for network, its in devices.items()}


def of_readback(read: ReadBaseline, site: Site) -> Devices:
    """Return the devices of a readback in the form of the baseline, each under its tag and network as found.

    Devices without a row are left out. Type and location are not readings: they stay. Of a node that a sample
    left out, all stays that no list shows otherwise.
    """
    sealed = read.baseline.content.devices
    devices: Devices = {network: {} for network in sealed}
    names = gateway_names(site.plan.networks)
    sampled_out = site.drift.not_sampled if site.drift else ()
    for block in site.blocks:  # before all others, which may have been found under one of these names
        for network, tag in ((block.networks[i], block.tags[i]) for i in block.unread()):
            if Unit(network, tag) in sampled_out:
                devices[network][tag] = _data(sealed[network][tag])
    for block in site.blocks:
        found = texts_of(block, "found")
        for i, rows in enumerate(block.rows):
            if not rows:
                continue
            its = sealed[block.networks[i]][block.tags[i]]
            device = sealed_device(block, i, found, {})
            if Unit(block.networks[i], block.tags[i]) in sampled_out:
                device = _read_in_lists(device, its)
            _put(devices, block, i, device, its, names)
    settings = {setting.name: setting for block in site.blocks for setting in block.type.settings}
    for stranger in site.strangers:
        network = network_meant(stranger.network, names)
        its_network = devices.setdefault(network, {})
        its_network[_free(its_network, [stranger.tag, stranger.serial])] = _stranger(stranger, settings)
    return devices


def _put(
    devices: Devices, block: Block, i: int, device: SealedDevice, its: SealedDevice, names: Mapping[str, str]
) -> None:
    """Put a device under its tag and network as found; a tag that is taken becomes its `read_tag`.

    What the baseline says of a name or value not as planned stays where that was read again as it was then.
    """
    tag, network = tag_of(block, i), network_meant(field_of(block, i, "network"), names)
    names_read = {"read_tag": tag, "read_network": network, "read_type": field_of(block, i, "type")}
    kept = _as_sealed(device, its, names_read)
    at = block.networks[i] if "read_network" in kept else network or block.networks[i]
    own = [block.tags[i]] if "read_tag" in kept else [tag, block.tags[i]]
    name = _free(devices.setdefault(at, {}), own)
    if is_another(tag, name):  # that tag is taken
        kept = {"read_tag": tag} | kept
    devices[at][name] = _data(device.model_copy(update=kept))


def _read_in_lists(device: SealedDevice, sealed: SealedDevice) -> SealedDevice:
    """Return a device that nobody visited: as sealed, but for what a list of the host or gateway shows."""
    as_then = {"read_at": sealed.read_at, "read_by": sealed.read_by}
    return device.model_copy(update={"settings": sealed.settings | device.settings, **as_then})


def _as_sealed(device: SealedDevice, sealed: SealedDevice, names: Mapping[str, str]) -> dict[str, Any]:
    """Return what a baseline says of names and values not as planned, where they were read the same."""
    kept: dict[str, Any] = {
        name: getattr(sealed, name)
        for name, text in names.items()
        if text and spelling(text) == spelling(getattr(sealed, name))
    }
    if device.serial == sealed.serial:
        kept["planned_serial"] = sealed.planned_serial
    same = (name for name in sealed.planned if device.settings.get(name) == sealed.settings.get(name))
    return kept | {"planned": {name: sealed.planned[name] for name in same}}


def _free(taken: Container[str], names: Sequence[str]) -> str:
    """Return the first name of a device that is not taken in its network."""
    free = (name for name in names if name and name not in taken)
    numbered = (f"{next(filter(None, names), 'nameless')} ({n})" for n in count(2))
    return next(chain(free, (name for name in numbered if name not in taken)))


def _stranger(stranger: Stranger, settings: Mapping[str, Setting]) -> dict[str, Any]:
    """Return a device that is not in the baseline and whose type nobody knows."""
    table, entry = stranger.rows[-1]
    texts = {name: bare(table.texts(name)[entry]) for name in ("read_at", "read_by")} | {
        "serial": stranger.serial
    }
    values = {
        name: canonical_text(value, settings[name])
        for name, value in stranger.found.items()
        if name in settings and settings[name].kind != "secret"
    }
    given = {name: text for name, text in texts.items() if text}
    return given | {"settings": {name: text for name, text in values.items() if text}}


def _data(device: SealedDevice) -> dict[str, Any]:
    return device.model_dump(exclude_defaults=True)
