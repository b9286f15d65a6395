"""Deciding: findings become what the sample shows, and findings about the sample itself.

A node is nonconforming where a finding at or above the gate's level is about what was read of it, and no
waiver excuses the finding. An excused node is named, and the bound counts it, since a waiver speaks for one
node and not for those that nobody visited. Findings about the plan alone do not count, since they were there
before the visit; nor does a node that is only orphaned by its gateway, since it is as planned itself; one
that was set to another channel together with its gateway is not, and counts. A node with nothing wrong, but
with something not read or not understood, counts as not read.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from audit.audited import Audited
from audit.checking import Found
from audit.comparing import same
from audit.folding.causes import Causes, root_of
from audit.folding.unread import says_unclear, says_unread
from audit.grouping import grouped
from audit.judging.ordering import levels_of
from audit.model.arguments import SampleState
from audit.model.base import level_rank
from audit.model.finding import SITE_WIDE, Hit
from audit.model.rule import Rule
from audit.model.sample import Sample
from audit.model.sample_verdict import SampledNetwork, SampleUsed, SampleVerdict
from audit.model.site import Site
from audit.model.table import in_file
from audit.phrases import listed
from audit.sampling.by_chance import Unit
from audit.sampling.nodes import placed_units
from audit.sampling.terms import in_words
from audit.sampling.verdict import MOST_TAGS, judge
from audit.sampling.visited import asked_for, visited


def decide(audited: Audited, file: str) -> Audited:
    """Return what was found with the findings about the sample in `file`, and with what it shows."""
    site, waiving, causes, book = audited.site, audited.waiving, audited.causes, audited.book
    if (sample := site.sample) is None:
        return audited
    read = visited(site)
    levels = levels_of(waiving, causes, book, audited.gate)
    at_least = level_rank(audited.fail_on)
    failing = {i for i, level in levels.items() if level_rank(level) <= at_least}
    against = failing - set(waiving.waived)
    unread = {i for i in against if says_unread(waiving.items[i]) or says_unclear(waiving.items[i])}
    named = _units_of_tags(site)
    wrong = nonconforming(site, waiving.items, causes, against - unread, named) & read
    in_part = nonconforming(site, waiving.items, causes, unread, named) - wrong
    excused = failing - against
    waived = nonconforming(site, waiving.items, causes, excused, named) & read - wrong - in_part
    verdict = judge(sample, read - in_part, wrong, waived=waived)
    about = [found for rule in book.rules for found in _about(rule, verdict, site, file)]
    used = SampleUsed(
        file=file,
        lot=sample.lot,
        terms=in_words(sample.terms),
        seed=sample.seed,
        plan_revision=sample.plan_revision or None,
        networks=_networks(site, sample, read),
        verdict=verdict,
    )
    return replace(audited, waiving=replace(waiving, items=[*waiving.items, *about]), sample=used)


def _units_of_tags(site: Site) -> dict[str, set[Unit]]:
    """Return tag → the nodes with that tag."""
    of_tag: dict[str, set[Unit]] = defaultdict(set)
    for _, _, unit in placed_units(site.blocks):
        of_tag[unit.node].add(unit)
    return of_tag


def nonconforming(
    site: Site, items: Sequence[Found], causes: Causes, against: set[int], of_tag: Mapping[str, set[Unit]]
) -> set[Unit]:
    """Return the nodes that findings are about, including those that share a finding with another."""
    found: set[Unit] = set()
    for i in against:
        hit = items[i].hit
        if hit.side == "planned" or items[i].folds():
            continue
        if _by_gateway(site, items, causes, i) and not _off_plan(site, hit):
            continue
        tags = (hit.node, *hit.others) if hit.node else hit.others
        for tag in tags:
            named = of_tag.get(tag, set())
            found |= {unit for unit in named if unit.network == hit.network} or named
    return found


def _by_gateway(site: Site, items: Sequence[Found], causes: Causes, i: int) -> bool:
    """Tell whether the cause of a node's finding is a setting of its gateway."""
    root = root_of(i, causes)
    b = items[root].hit.order[0]
    of_one = bool(items[root].hit.node)  # a network's finding has the place of its first device
    return root != i and of_one and b < len(site.blocks) and site.blocks[b].gateway


def _off_plan(site: Site, hit: Hit) -> bool:
    """Tell whether a device was found with another value than planned in a setting of a finding."""
    b, i = hit.order
    if b >= len(site.blocks):
        return False
    block = site.blocks[b]
    for name in hit.settings:
        found, planned = block.value("found", name, i), block.value("planned", name, i)
        setting = block.type.setting(name)
        if setting and found.read and planned.read and not same(found, planned, setting):
            return True
    return False


def _about(rule: Rule, verdict: SampleVerdict, site: Site, file: str) -> Iterator[Found]:
    """Yield the findings of one rule about the sample."""
    if isinstance(rule.check, SampleState):
        for network, message, others in SAYS[rule.check.what](verdict):
            known = network if network in site.gateways else ""
            # After the findings about the network's devices, of which these are a consequence.
            yield Found(rule, Hit(known, "", (), message, places=(in_file(file),), others=tuple(others),
                                  order=SITE_WIDE))  # fmt: skip


Said = tuple[str, str, Sequence[str]]
"""Network or lot, message, and the nodes concerned."""


def _rejected(verdict: SampleVerdict) -> Iterator[Said]:
    for lot in verdict.lots:
        if lot.decision == "reject":
            yield lot.lot, f"the sample rejects the lot: {lot.reason}", lot.nonconforming


def _open(verdict: SampleVerdict) -> Iterator[Said]:
    for lot in verdict.lots:
        if lot.decision == "open":
            yield lot.lot, f"the sample does not decide yet: {lot.reason}", lot.not_read
    unread = verdict.always_not_read
    if unread:
        tags = listed(unread, MOST_TAGS)
        yield "", f"of the nodes that must always be visited, {len(unread)} not read: {tags}", unread


def _read_in_full(verdict: SampleVerdict) -> Iterator[Said]:
    for one in verdict.read_in_full:
        if one.left:
            nodes = "1 more node" if one.left == 1 else f"{one.left} more nodes"
            because = listed(one.because_of, MOST_TAGS)
            yield (
                one.network,
                f"{nodes} to read in full, because of what was found on {because}",
                one.because_of,
            )


SAYS: Mapping[str, Callable[[SampleVerdict], Iterator[Said]]] = {
    "rejected": _rejected,
    "open": _open,
    "read-in-full": _read_in_full,
}


def _networks(site: Site, sample: Sample, read: set[Unit]) -> list[SampledNetwork]:
    """Return how much of each network the sample covers, and how much of it was read."""
    known = read | asked_for(sample)
    counts = Counter(unit.network for unit in read)
    left = grouped((unit.network, unit.node) for _, _, unit in placed_units(site.blocks) if unit not in known)
    shares = {share.network: share for lot in sample.lots for share in lot.shares}
    in_order = [shares[network.name] for network in site.plan.networks if network.name in shares]
    return [
        SampledNetwork(network=share.network, nodes=share.nodes, always=share.always, drawn=share.drawn,
                       read=counts[share.network], not_sampled=left[share.network])
        for share in in_order
    ]  # fmt: skip
