"""The missing nodes of a site as text, gateway by gateway."""

from __future__ import annotations

from audit.diagnosis.words import percent
from audit.model.diagnosis import Diagnosis, MissingThere, NodeDiagnosis
from audit.reading.values import plain
from audit.reporting.lines import Lines, table
from audit.reporting.text_report import add_place


def missing_nodes(lines: Lines, diagnosis: Diagnosis) -> None:
    """Add the gateways that hear none of their nodes, then the nodes that are missing at others."""
    silent = [one for one in diagnosis.gateways if one.silent_gateway]
    if silent:
        lines.head("SILENT GATEWAYS, each with its nodes")
        for one in silent:
            _gateway(lines, one)
            lines.add(f"nodes: {', '.join(one.nodes)}", indent=4, hang=2)
    others = [one for one in diagnosis.gateways if not one.silent_gateway]
    if others:
        lines.head("MISSING NODES")
    for one in others:
        _gateway(lines, one)
        own = [node for node in diagnosis.nodes if node.network == one.network]
        by_gateway = [node for node in own if node.node in one.by_gateway]
        if by_gateway:
            *_, title, chance, check = _node_row(by_gateway[0])
            todo = "correct it, or settle its change," if one.off_plan else f"look at it ({check})"
            words = f"most probably {title} ({chance}): {todo} before you turn to {', '.join(one.by_gateway)}"
            lines.add(words, indent=4, hang=2)
        rows = [_node_row(node) for node in own if node not in by_gateway]
        heads = ["node", "state", "most probable", "now", "first check"]
        if rows:
            lines.block(table(rows, heads, lines.width - 4), 4)


def _gateway(lines: Lines, one: MissingThere) -> None:
    lines.add(f"{one.gateway} ({one.network}): {one.words}", indent=2, hang=2)
    for place in one.places:
        add_place(lines, place, indent=4, hang=2)


def _node_row(node: NodeDiagnosis) -> list[str]:
    first = node.causes[0]
    check = node.checks[0] if node.checks else None
    first_check = f"{check.id}, {plain(check.minutes)} min" if check else "none is left"
    if check and check.where == "site":
        first_check = f"{first_check}, on a trip"
    if node.mend_first:
        first_check = node.mend_first[0]
    state = f"at {node.heard_by}" if node.heard_by else node.state
    return [node.node, state, first.title, percent(first.posterior), first_check]
