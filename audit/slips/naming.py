"""Naming: each finding about a value that is not the planned one gets the slips that may explain it.

A value is judged together with the rest of the readback: a row that shows its neighbour's plan, a column
that counts up, a device with all its pressures in psi. No level and no value is changed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from audit.checking import Found
from audit.folding.about import setting_of, values_of
from audit.folding.causes import Causes
from audit.model.arguments import PatternName
from audit.model.device import Setting
from audit.model.result import Naming
from audit.model.site import Site
from audit.model.value import Content, Value
from audit.slips.around import Around
from audit.slips.doubt import Doubts
from audit.slips.evidence import MOST_FURTHER, rows_beside, series_values
from audit.slips.identity import identity_namings
from audit.slips.priors import slip_file
from audit.slips.ranking import Ranking, rank, rank_together
from audit.slips.results import naming
from audit.slips.surroundings import around

OF_MISKEYED_VALUES: tuple[PatternName, ...] = (
    "filled-series", "rows-shifted", "neighbour-row", "other-unit", "decimal-point", "became-dates",
    "same-difference", "unclear-alike", "swapped",
)  # fmt: skip
"""Patterns of folding whose dependents are mis-keyed values, not symptoms of something else."""


@dataclass(frozen=True, slots=True)
class Subject:
    """The value that a finding is about, with the planned one."""

    device: tuple[int, int]
    network: str
    setting: Setting
    planned: Value
    found: Value
    around: Around


def name_slips(site: Site, items: Sequence[Found], causes: Causes) -> dict[int, Naming]:
    """Return position of a finding → what to say about how its value came about."""
    chosen = [n for n in range(len(items)) if _is_about_a_value(items, causes, n)]
    subjects = {n: subject for n in chosen if (subject := _subject(site, items, n))}
    subjects = _with_rows_beside(site, subjects)
    subjects = _with_series(site, items, causes, subjects)
    subjects = _with_addresses(site, subjects)
    rankings = _rankings(subjects)
    rankings |= _of_many(items, causes, subjects, rankings)
    doubts = Doubts(site)
    rankings |= {n: Ranking() for n, one in subjects.items() if doubts.decided(one.device, one.setting)}
    namings = {
        n: made
        for n, subject in subjects.items()
        if (made := naming(rankings[n], doubts.of(subject.device, subject.setting)))
    }
    return namings | identity_namings(site, items)


def _is_about_a_value(items: Sequence[Found], causes: Causes, n: int) -> bool:
    """Tell whether a finding says that a value is not the planned one, and nothing else explains it."""
    item = items[n]
    kind, hit = item.rule.check.kind, item.hit
    if hit.side != "found" or len(hit.settings) != 1:
        return False
    if item.folds():
        return item.folds("same-difference")
    if kind not in ("equals-plan", "equals-gateway") and not item.asks("read-back", "clear-value"):
        return False
    root = items[causes[n]] if n in causes else None
    if root is None:
        return True
    if root.folds():
        return root.folds(*OF_MISKEYED_VALUES)
    own_plan = root.rule.check.kind == "equals-plan" or root.hit.side == "planned"
    return own_plan and root.hit.node == hit.node


def _subject(site: Site, items: Sequence[Found], n: int) -> Subject | None:
    hit = items[n].hit
    b, i = hit.order
    setting = setting_of(site, items[n])
    if setting is None or setting.kind == "secret":
        return None
    found, planned = values_of(site, items[n])
    if not planned.read or found.state not in ("read", "unclear"):
        return None
    what = around(site.blocks[b], i, setting, site.plan.site.elevation_m)
    return Subject((b, i), hit.network, setting, planned, found, what)


def _with_rows_beside(site: Site, subjects: Mapping[int, Subject]) -> dict[int, Subject]:
    """Return the subjects; those in rows that show their neighbour's plan get that plan."""
    settings: dict[tuple[int, int], set[str]] = defaultdict(set)
    for subject in subjects.values():
        settings[subject.device].add(subject.setting.name)
    beside = {device: rows_beside(site, device, names) for device, names in settings.items()}
    made = {}
    for n, subject in subjects.items():
        values, further = beside[subject.device].get(subject.setting.name, ((), 0))
        shown = replace(subject.around, neighbours=values)
        made[n] = _explained(subject, shown, "neighbour-row", further) if values else subject
    return made


def _with_series(
    site: Site, items: Sequence[Found], causes: Causes, subjects: Mapping[int, Subject]
) -> dict[int, Subject]:
    """Return the subjects; those in columns that count up get what the column would show."""
    values = series_values(site, items, causes)
    made = dict(subjects)
    for n in subjects.keys() & values.keys():
        value, further = values[n]
        shown = replace(subjects[n].around, series=value)
        made[n] = _explained(subjects[n], shown, "filled-series", further)
    return made


def _with_addresses(site: Site, subjects: Mapping[int, Subject]) -> dict[int, Subject]:
    """Return the subjects; an address that is planned for another node of the network gets that node."""
    networks = {subject.network for subject in subjects.values() if subject.setting.role == "address"}
    planned: dict[str, dict[Content, tuple[str, Value]]] = defaultdict(dict)
    for block in site.blocks if networks else ():
        if setting := block.first_setting("address"):
            values = block.values("planned", setting.name)
            for network, tag, value in zip(block.networks, block.tags, values, strict=True):
                if network in networks and value.read:
                    planned[network][value.content] = tag, value
    made = dict(subjects)
    for n, subject in subjects.items():
        of_network = planned[subject.network]
        if subject.setting.role == "address" and subject.found.content in of_network:
            tag, value = of_network[subject.found.content]
            what = replace(subject.around, taken=value, taken_by=tag, others=len(of_network) - 1)
            made[n] = replace(subject, around=what)
    return made


def _explained(subject: Subject, what: Around, slip: str, further: int) -> Subject:
    also = what.further | {(slip, min(further, MOST_FURTHER))}
    return replace(subject, around=replace(what, further=also))


def _rankings(subjects: Mapping[int, Subject]) -> dict[int, Ranking]:
    """Return the rankings, each distinct one worked out once, and again where a slip explains several."""
    memo: dict[tuple[object, ...], Ranking] = {}

    def ranking(subject: Subject) -> Ranking:
        key = (subject.device[0], subject.setting.name, subject.planned, subject.found, subject.around)
        if key not in memo:
            memo[key] = rank(subject.setting, subject.planned, subject.found, subject.around)
        return memo[key]

    rankings = {n: ranking(subject) for n, subject in subjects.items()}
    explained = _explained_together(subjects, rankings)
    for n, further in explained.items():
        subject = subjects[n]
        what = replace(subject.around, further=subject.around.further | further)
        rankings[n] = ranking(replace(subject, around=what))
    return rankings


def _of_many(
    items: Sequence[Found], causes: Causes, subjects: Mapping[int, Subject], rankings: Mapping[int, Ranking]
) -> dict[int, Ranking]:
    """Return the rankings of findings that stand for several others: the slips that explain all of these.

    Values with the same plan count once.
    """
    members: dict[int, dict[Value, Ranking]] = defaultdict(dict)
    for n, subject in subjects.items():
        root = causes.get(n)
        if root is not None and root in subjects and items[root].folds():
            members[root][subject.planned] = rankings[n]
    return {root: rank_together(list(of_root.values())) for root, of_root in members.items()}


def _explained_together(
    subjects: Mapping[int, Subject], rankings: Mapping[int, Ranking]
) -> dict[int, set[tuple[str, int]]]:
    """Return finding → slips that also explain further values of its network, and how many.

    Only different planned values count: if 40 devices with one plan show one other value, that is one slip.
    """
    systematic = {slip.id for slip in slip_file().slips if slip.systematic}
    groups: dict[tuple[str, str, str], set[int]] = defaultdict(set)
    for n, ranking in rankings.items():
        for slip in ranking.slips:
            if slip.id in systematic:
                groups[subjects[n].network, slip.id, slip.words].add(n)
    explained: dict[int, set[tuple[str, int]]] = defaultdict(set)
    for (_, name, _), members in groups.items():
        plans = {subjects[n].planned.content for n in members}
        if len(plans) > 1:
            for n in members:
                explained[n].add((name, min(len(plans) - 1, MOST_FURTHER)))
    return explained
