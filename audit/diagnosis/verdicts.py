"""The verdict of a diagnosis: one sentence about a node, or about all that are missing."""

from __future__ import annotations

from collections.abc import Sequence

from audit.diagnosis.examined import Examined
from audit.diagnosis.snapshot import Snapshot
from audit.diagnosis.words import days_old, percent
from audit.model.diagnosis import MissingThere, NodeDiagnosis
from audit.phrases import counted

STANDS_OUT = 0.495
"""A cause is called the most probable from here on, which is shown as 50 %; below it, none stands out."""


def verdict_of(node: NodeDiagnosis) -> str:
    """Return the verdict on a node in one sentence."""
    first, second = node.causes[:2]
    who = f"{node.node} ({node.network}, gateway {node.gateway})"
    if first.posterior >= STANDS_OUT:
        causes = f"most probably {first.title} ({percent(first.posterior)})"
    else:
        causes = (
            f"no cause stands out; perhaps {first.title} ({percent(first.posterior)}), "
            f"or {second.title} ({percent(second.posterior)})"
        )
    if node.state == "heard":
        return f"{who}: {node.state_words}; if it is missing nevertheless, {causes}"
    return f"{who}: {causes}"


def verdict_of_all(gateways: Sequence[MissingThere], unknown: Sequence[str], examined: Examined) -> str:
    """Return the verdict on all missing nodes: how many there are, and where to look first."""
    count = sum(one.missing for one in gateways)
    if not gateways:
        newest = [its for name in examined.site.gateways if (its := examined.lists.newest(name))]
        read = any(one.at_nodes for one in newest)
        known = "gateways or nodes that were read" if read else "gateways whose lists were given"
        where = f"at the {known}, which are not all" if unknown else "at any gateway"
        but = "; what is listed below as not known may hide one" if examined.lists.doubts else ""
        by = _lists_used(newest, examined.on)
        if not by:
            why = "no row of the lists that were given names a planned gateway"
            return f"it is not known which nodes are missing: {why}{but}"
        return f"no planned node is missing {where}, according to {by}{but}"
    nodes, at = counted(count, "node"), counted(len(gateways), "gateway")
    verdict = f"{nodes} {'is' if count == 1 else 'are'} missing at {at}"
    first = _look_first(gateways)
    return f"{verdict}; first look at {'; then at '.join(first)}" if first else verdict


def _look_first(gateways: Sequence[MissingThere]) -> list[str]:
    """Return the gateways to look at before any node, and why."""
    silent = [f"{one.gateway} ({one.network})" for one in gateways if one.silent_gateway]
    hears = "hears none of its nodes" if len(silent) == 1 else "hear none of their nodes"
    first = [f"{', '.join(silent)}, which {hears}"] if silent else []
    for one in gateways:
        if one.by_gateway:
            part = len(one.by_gateway) < one.missing
            nodes = f"{len(one.by_gateway)} of the {one.missing}" if part else "all"
            first.append(f"{one.gateway} ({one.network}), most probably the cause of {nodes} missing there")
    return first


def _lists_used(newest: Sequence[Snapshot], on: str) -> str:
    """Return the gateways' newest lists in words, with their days, and how old they are on a date."""
    days = sorted({one.when for one in newest if one.when})
    oldest = days_old(min((one.at for one in newest if one.at), default=None), on)
    if len(days) > 1:
        oldest = oldest.replace("(", "(the oldest ")
    kinds = sorted({"readings at nodes" if one.at_nodes else "lists" for one in newest})
    undated = "" if all(one.when for one in newest) else f"{' and '.join(kinds)} without a date"
    span = " and ".join(days if len(days) < 3 else [f"{days[0]} to {days[-1]}"])
    dated = f"the {' and '.join(kinds)} of {span}{oldest}" if days else ""
    return " and ".join(filter(None, (dated, undated)))
