"""A plan from its file: device types, node tables, and the planned values in columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from audit.errors import InputProblems, Problem, nearest, stop_if
from audit.model.base import Position, Scalar
from audit.model.device import DeviceType
from audit.model.plan import Approved, Network, NodeTable, PlanFile
from audit.model.table import HIDDEN, Place, Table
from audit.model.value import Code
from audit.reading.approved import impossible
from audit.reading.bands import unknown_bands
from audit.reading.codes import code, is_mask
from audit.reading.device_types import read_device_types
from audit.reading.documents import IF_READBACK, read_document, with_marks
from audit.reading.files import read_bytes
from audit.reading.further_tables import references, with_further
from audit.reading.identifiers import bare
from audit.reading.in_part import build_in_part
from audit.reading.inline_table import Entry, inline_table
from audit.reading.inputs import Inputs
from audit.reading.loaded_plan import INLINE, Group, LoadedPlan, without_settings
from audit.reading.marks import Document
from audit.reading.marks import Path as Steps
from audit.reading.node_tables import NO_TYPE, Around, read_node_table, read_twice
from audit.reading.obstacles import as_text, not_between
from audit.reading.planned_texts import not_clear, out_of_place
from audit.reading.positions import halves
from audit.reading.vocabulary import vocabulary

NODE_FIELDS = ("tag", "network", "type", "serial", "location", "installed_on", "response_time_s", "duties",
               "x_m", "y_m", "latitude", "longitude", "height_m", "note")  # fmt: skip
"""The columns of a node table that are not settings."""
NEEDED = ("type", "node_type")
"""Keys without which others would seem wrong: a node has the settings of its type."""
WHOLE = frozenset(("position", "node_tables", "further_tables"))
"""Keys of which a part alone would seem wrong: one coordinate, or a table without its mapping."""


def read_plan(path: Path, inputs: Inputs) -> LoadedPlan:
    """Return the plan in a file. Raises InputProblems with everything that is wrong in it."""
    file = read_bytes(path, in_folder=f"name the plan in it; or, {IF_READBACK}")
    document = with_marks(read_document(file, IF_READBACK))
    plan, faults = build_in_part(document, PlanFile, "plan", NEEDED, WHOLE)
    inputs.add(file, "plan")
    references = [(reference, document.mark(("device_types", i)).line)
                  for i, reference in enumerate(plan.device_types)]  # fmt: skip
    try:
        types = read_device_types(path, references, file.name, inputs)
    except InputProblems as error:
        raise InputProblems([*faults, *error.problems]) from None
    reader = _Reader(path, plan, document, types, inputs)
    loaded = reader.read()
    if loaded.codes:
        inputs.withhold(file.name)
    found = [*reader.problems, *out_of_place(loaded), *not_clear(loaded)]
    others = [p for p in found if not (faults and p.message.endswith(NO_TYPE))]  # misspelt, perhaps
    stop_if(sorted([*faults, *others], key=lambda p: (p.file != file.name, p.file, p.sheet, p.line)))
    return loaded


class _Reader:
    """Reads the networks of a plan, and collects all problems instead of stopping at the first."""

    def __init__(
        self,
        path: Path,
        plan: PlanFile,
        document: Document,
        types: dict[str, DeviceType],
        inputs: Inputs,
    ) -> None:
        self.path, self.plan, self.document = path, plan, document
        self.types = types
        self.words = vocabulary(types.values(), NODE_FIELDS)
        self.problems: list[Problem] = []
        self.codes: dict[str, Code] = {}
        networks = {network.name: network for network in plan.networks}
        self.around = Around(path, document.file, types, networks, self.words, inputs)

    def read(self) -> LoadedPlan:
        gateways, nodes = [], []
        names: set[str] = set()
        for n, network in enumerate(self.plan.networks):
            if network.name in names:
                message = f"the network {network.name!r} is given twice"
                self._problem(("networks", n, "name"), message, "rename one of them")
            names.add(network.name)
            gateways.append(self._gateway(n, network))
            nodes.extend(self._nodes(n, network))
        nodes.extend(self._node_tables(self.plan.node_tables, (), ""))
        self.problems += read_twice(nodes, self.document.file)
        named = references(self.plan, self.document)
        gateways, nodes, further = with_further(named, gateways, nodes, self.around, self.problems)
        for group in (*gateways, *nodes, *further):
            self.problems += halves(group.table)
        site = self._texts(("defaults",), self.plan.defaults, None)
        defaults = {
            network.name: [self._texts(("networks", n, "defaults"), network.defaults, None), site]
            for n, network in enumerate(self.plan.networks)
        }
        self.problems += unknown_bands(self.plan, self.document)
        rules, waivers = (
            [(name, self.document.mark((part, i)).line) for i, name in enumerate(getattr(self.plan, part))]
            for part in ("rules", "waivers")
        )
        plan = without_settings(self.plan, self._approved())
        return LoadedPlan(
            self.document.file, self.path, plan, self.types, self.words, gateways, nodes, further,
            defaults, self.codes, rules, waivers,
        )  # fmt: skip

    def _approved(self) -> tuple[Approved, ...]:
        """Return the lists of approved values, as written: 2.10 is not 2.1."""
        found = []
        for i, approved in enumerate(self.plan.approved):
            raw = [self.document.marks.get(("approved", i, "values", k)) for k in range(len(approved.values))]
            values = tuple(
                mark.raw if mark and not isinstance(value, bool) else value
                for mark, value in zip(raw, approved.values, strict=True)
            )
            found.append(approved.model_copy(update={"values": values}))
            setting = self.words.settings.get(approved.setting)
            for k, why in impossible(setting, values) if setting else ():
                mend = "write values that the setting can have"
                self._problem(("approved", i, "values", k), f"{approved.setting}: {why}", mend)
            if setting is None:
                mend = nearest(approved.setting, self.words.settings)
                self._problem(("approved", i, "setting"), f"unknown setting {approved.setting!r}", mend)
            for name in approved.types:
                self._known_type(name, ("approved", i, "types"), "node", "gateway")
        return tuple(found)

    def _problem(self, steps: Steps, message: str, mend: str, *, of_key: bool = False) -> None:
        self.problems.append(self.document.problem(steps, message, mend, of_key=of_key))

    def _known_type(self, name: str, steps: Steps, *devices: str) -> bool:
        if name in self.types:
            return True
        fitting = [one for one, kind in self.types.items() if kind.device in devices]
        self._problem(steps, f"unknown device type {name!r}", nearest(name, fitting))
        return False

    def _type_of_node(self, name: str, steps: Steps) -> None:
        if self._known_type(name, steps, "node") and self.types[name].device == "gateway":
            self._problem(steps, f"device type {name!r} is that of a gateway", "name the type of a node")

    def _texts(
        self, steps: Steps, settings: Mapping[str, Scalar], kind: DeviceType | None
    ) -> dict[str, tuple[str, Place]]:
        """Return setting → text and place for a mapping of settings; `kind` None: settings of any type."""
        known = {s.name for s in kind.settings} if kind else set(self.words.settings)
        found: dict[str, tuple[str, Place]] = {}
        for key, value in settings.items():
            name, here = self.words.field(key), (*steps, key)
            text = raw = self.document.written(here, value)
            if name not in known:
                if name in self.words.settings and INLINE.is_blank(text):
                    continue  # nothing is planned, and the device type has no such setting
                of = f" of device type {kind.name!r}" if kind else ""
                mend = nearest(key, known)
                if name in self.words.settings:
                    mend = "leave it out (defaults are skipped for types that lack it), or correct the type"
                self._problem(here, f"unknown setting {key!r}{of}", mend, of_key=True)
                continue
            mark = self.document.mark(here)
            if name in self.words.secrets:
                text, raw = self._placeholder(text), HIDDEN
            column = str(mark.column) if self.document.marks else key
            found[name] = (text, Place(self.document.file, "", mark.line, column, key, raw))
        return found

    def _table(self, entries: Sequence[Entry]) -> Table:
        return inline_table(self.document, entries, self.codes, self.words.secrets)

    def _placeholder(self, text: str) -> str:
        """Return a placeholder for an access code that the plan gives; the code itself is not kept."""
        if not text.strip() or is_mask(bare(text)):
            return ""
        placeholder = f"(code {len(self.codes) + 1})"
        self.codes[placeholder] = code(bare(text))
        return placeholder

    def _gateway(self, n: int, network: Network) -> Group:
        steps: Steps = ("networks", n, "gateway")
        gateway = network.gateway
        self._known_type(gateway.type, (*steps, "type"), "gateway")
        kind = self.types.get(gateway.type)
        if kind and kind.device != "gateway":
            message = f"device type {kind.name!r} is not a gateway"
            mend = f"name a gateway type, or say `device: gateway` in the file of {kind.name!r}"
            self._problem((*steps, "type"), message, mend)
            kind = None
        settings = self._texts((*steps, "settings"), gateway.settings, kind)
        fields = {"tag": gateway.tag, "serial": gateway.serial, "location": gateway.location}
        fields |= _position(gateway.position)
        return Group([network.name], self._table([Entry(fields, settings, steps)]), [gateway.type])

    def _nodes(self, n: int, network: Network) -> list[Group]:
        steps: Steps = ("networks", n)
        if network.node_type:
            self._type_of_node(network.node_type, (*steps, "node_type"))
        entries, types = [], []
        for i, node in enumerate(network.nodes):
            here: Steps = (*steps, "nodes", i)
            name = node.type or network.node_type
            if not name:
                mend = "give it a `type`, or the network a `node_type`"
                self._problem(here, f"node {node.tag!r} {NO_TYPE}", mend)
            kind = self.types.get(name)
            kind = kind if kind and kind.device == "node" else None
            if node.type:
                self._type_of_node(node.type, (*here, "type"))
            fields = {
                "tag": node.tag,
                "serial": node.serial,
                "location": node.location,
                "installed_on": node.installed_on.isoformat() if node.installed_on else "",
                "response_time_s": "" if node.response_time_s is None else str(node.response_time_s),
                "duties": "; ".join(node.duties),
                "obstacles": as_text(node.obstacles),
                **_position(node.position),
            }
            for k, message in not_between(node, network.gateway.position):
                mend = "give its distance from the node, on the way to the gateway; or correct the positions"
                self._problem((*here, "obstacles", k, "from_node_m"), message, mend)
            entries.append(Entry(fields, self._texts((*here, "settings"), node.settings, kind), here))
            types.append(name)
        own = [Group([network.name] * len(entries), self._table(entries), types)] if entries else []
        return [*own, *self._node_tables(network.node_tables, steps, network.name)]

    def _node_tables(self, references: Sequence[NodeTable], steps: Steps, network: str) -> list[Group]:
        """Return the nodes in the tables of a network, or of the site if `network` is empty."""
        groups: list[Group] = []
        for i, reference in enumerate(references):
            line = self.document.mark((*steps, "node_tables", i)).line
            found, problems = read_node_table(reference, line, network, self.around)
            groups += found
            self.problems += problems
        return groups


def _position(position: Position | None) -> dict[str, str]:
    """Return a position as the fields of a table."""
    given = position.model_dump(exclude_none=True) if position else {}
    return {name: str(number) for name, number in given.items()}
