"""Diagnoses of a site: of one node, or of all that are missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from audit import __version__
from audit.diagnosis.asked import Asked
from audit.diagnosis.causes import Causes
from audit.diagnosis.cautions import AUTHORISES_NOTHING, cautions
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.examined import Case, Examined
from audit.diagnosis.gathering.records import recorded
from audit.diagnosis.log import Log
from audit.diagnosis.missing import MissingAt, last_heard, missing, off_plan_hits, read_since
from audit.diagnosis.snapshot import Snapshot
from audit.diagnosis.verdicts import STANDS_OUT, verdict_of, verdict_of_all
from audit.errors import InputProblems, nearest, stop
from audit.grouping import grouped
from audit.judging.findings import evidence_place
from audit.model.diagnosis import Diagnosis, MissingThere, NodeDiagnosis, WeightsUsed
from audit.model.used import InputFile, SiteName, Tool
from audit.phrases import listed
from audit.reading.identifiers import spelling
from audit.reading.quoting import quoted
from audit.reading.values import plain


@dataclass(frozen=True, slots=True)
class Basis:
    """What a diagnosis rests on besides the site, and when it was made."""

    causes: Causes
    log: Log | None
    run_on: str
    """The run's date in ISO form."""
    inputs: Sequence[InputFile]


def case_of(examined: Examined, name: str) -> Case:
    """Return the node with a tag or serial number. Raises InputProblems unless there is exactly one."""
    named = grouped(
        (block.gateway, (b, i))
        for b, block in enumerate(examined.site.blocks)
        for i, (tag, serial) in enumerate(zip(block.tags, block.serials, strict=True))
        if spelling(name) in (spelling(tag), spelling(serial) if serial else None)
    )
    nodes = [
        (b, i) for b, i in named[False]
        if name in (examined.site.blocks[b].tags[i], examined.site.blocks[b].serials[i])
    ] or named[False]  # fmt: skip
    if len(nodes) == 1:
        return examined.case(nodes[0])
    if nodes:
        where = ", ".join(examined.site.blocks[b].networks[i] for b, i in nodes)
        raise stop(f"the tag {quoted(name)} is planned {len(nodes)} times: {where}", "give its serial number")
    if named[True]:
        raise stop(f"{quoted(name)} is a gateway", "name a node; --all shows silent gateways")
    raise _not_planned(examined, name)


def _not_planned(examined: Examined, name: str) -> InputProblems:
    for stranger in examined.site.strangers:
        if spelling(name) in (spelling(stranger.tag), spelling(stranger.serial)):
            place = stranger.place("tag" if stranger.tag else "serial")
            message = f"{quoted(name)} was found here, but is not in the plan"
            mend = "name the planned node that is missing, or plan this one"
            return InputProblems([place.problem(message, mend)])
    tags = [tag for block in examined.site.blocks if not block.gateway for tag in block.tags]
    return stop(f"there is no node {quoted(name)} in the plan", nearest(name, tags))


def of_node(case: Case, asked: Asked, basis: Basis) -> Diagnosis:
    """Return the diagnosis of one node."""
    node = diagnose(case, asked, basis.log)
    return _diagnosis(case.examined, verdict_of(node), [node], basis)


def of_all(examined: Examined, asked: Asked, basis: Basis) -> Diagnosis:
    """Return the diagnosis of every missing node; the nodes of a silent gateway are listed under it."""
    places, unknown = missing(examined)
    if unknown and not any(examined.lists.by_network.values()):
        mend = "give a gateway's list, as READBACK or with --gateway-list"
        raise stop("no gateway's list was given, so it is not known which nodes are missing", mend)
    nodes = [
        diagnose(examined.case(target), asked, basis.log)
        for there in places if not there.silent_gateway for target, _ in there.nodes
    ]  # fmt: skip
    gateways = [_missing_there(examined, there, nodes) for there in places]
    gateways.sort(key=lambda one: (not one.silent_gateway, not one.by_gateway))
    verdict = verdict_of_all(gateways, unknown, examined)
    return _diagnosis(examined, verdict, nodes, basis, gateways, unknown)


def _missing_there(examined: Examined, there: MissingAt, nodes: Sequence[NodeDiagnosis]) -> MissingThere:
    be = "is" if len(there.nodes) == 1 else "are"
    which = "its only node" if there.planned == 1 else f"{len(there.nodes)} of its {there.planned} nodes"
    words = f"{which} {be} missing, {there.why}"
    if there.silent_gateway:
        words = f"it hears none of its {there.planned} nodes, {there.why}{last_heard(examined, there)}"
    newest = examined.lists.newest(there.network)
    if newest and any(state == "not listed" for _, state in there.nodes):
        words += newest.unplanned() + _read_since(examined, there, newest)
    off_plan = off_plan_hits(examined, there.network, there.gateway)
    done = [one for one in recorded(examined.case(there.nodes[0][0])) if one.answer == "record-gateway"]
    look = [f"look at it before any node{_how(examined)}"] if there.silent_gateway else []
    return MissingThere(
        network=there.network,
        gateway=there.gateway,
        planned=there.planned,
        missing=len(there.nodes),
        silent_gateway=there.silent_gateway,
        words="; ".join([words, *(hit.message for hit in off_plan), *(one.words for one in done), *look]),
        places=[
            evidence_place(place)
            for places in (*(hit.places for hit in off_plan), *(one.places for one in done))
            for place in places
        ],
        nodes=[examined.site.blocks[b].tags[i] for (b, i), _ in there.nodes],
        by_gateway=_by_gateway([node for node in nodes if node.network == there.network]),
        off_plan=bool(off_plan),
    )


def _by_gateway(nodes: Sequence[NodeDiagnosis]) -> list[str]:
    """Return the nodes that are most probably missing because of their gateway; none if only one is."""
    first = [(node.node, node.causes[0]) for node in nodes]
    found = [tag for tag, cause in first if cause.id == "gateway" and cause.posterior >= STANDS_OUT]
    return found if len(found) > 1 else []


def _read_since(examined: Examined, there: MissingAt, newest: Snapshot) -> str:
    """Return which nodes were read after the list was made that they are missing from."""
    blocks = examined.site.blocks
    read = [
        f"{blocks[b].tags[i]} ({at})" for (b, i), _ in there.nodes if (at := read_since(examined, (b, i)))
    ]
    if not read:
        return ""
    return f"; read after that list, of {newest.read_at}: {listed(read, 5)}; take a new list first"


def _how(examined: Examined) -> str:
    """Return the checks that look only at a gateway, in words to follow others; empty if there are none."""
    checks = [
        f"{check.title} ({plain(check.minutes)} min{' plus travel' if check.where == 'gateway' else ''})"
        for check in examined.causes.checks
        if set(check.finds) == {"gateway"}
    ]
    return f": {'; '.join(checks)}" if checks else ""


def _diagnosis(
    examined: Examined,
    verdict: str,
    nodes: list[NodeDiagnosis],
    basis: Basis,
    gateways: Sequence[MissingThere] = (),
    unknown: Sequence[str] = (),
) -> Diagnosis:
    causes, log = basis.causes, basis.log
    all_cautions = [caution for node in nodes for caution in node.cautions]
    if gateways:
        all_cautions += cautions(block.type for block in examined.site.blocks)
    plan = examined.site.plan
    return Diagnosis(
        schema_="asfound/diagnosis/1",
        verdict=verdict,
        site=SiteName.of(plan.site),
        run_on=basis.run_on,
        tool=Tool(name="asfound", version=__version__),
        gateways=list(gateways),
        nodes=nodes,
        not_known=[*unknown, *examined.lists.doubts, *examined.lists.assumed],
        weights=WeightsUsed(
            file=causes.name,
            version=causes.file.version,
            sha256=causes.sha256,
            basis=causes.file.basis,
            worth=causes.file.worth,
            log=log.file if log else None,
            calls=len(log.calls) if log else 0,
            floor=causes.file.floor,
            readback_error=causes.file.errors.readback,
            not_read_error=causes.file.errors.not_read,
        ),
        cautions=list(dict.fromkeys(all_cautions)) or [AUTHORISES_NOTHING],
        inputs=list(basis.inputs),
    )
