"""Two units read under one planned tag, one with a serial number not planned there: perhaps a new unit."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from audit.checking import Found
from audit.checks.unique import STRANGE
from audit.folding.findings import Cause, Findings
from audit.model.finding import Hit
from audit.model.rows import Rows
from audit.model.site import Site, Target
from audit.reading.identifiers import damaged
from audit.reading.moments import is_later


def replaced(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find devices that were read under their serial number and also under one that is not planned for them.

    Two units that share a tag and an address do not conflict if one of them is gone.
    """
    site = findings.site
    if not site.strangers:
        return
    planned, owners, of_tag = _once(site), site.by_serial(), _of_one_tag(findings.items)
    for stranger in site.strangers:
        device = planned.get(stranger.tag)
        if device is None or not stranger.serial or damaged(stranger.serial):
            continue
        (b, k), block = device, site.blocks[device[0]]
        rows, network = block.rows[k], block.networks[k]
        before = rows[-1][0].texts("serial")[rows[-1][1]].strip() if rows else ""
        concerned = [i for i in of_tag.get((network, stranger.tag), ()) if i not in findings.causes]
        if not before or stranger.network not in ("", network) or not concerned:
            continue
        when = _when(rows, list(stranger.rows))
        owner = owners.get(stranger.serial)
        plan_of_it = f"planned for {site.planned_tag(owner)}" if owner else "not in the plan"
        message = (
            f"serial {stranger.serial}, which is {plan_of_it}, was read under this tag{when}, as well as "
            f"{before}: perhaps the unit was replaced"
        )
        places = (stranger.place("serial"), block.planned_place(k, "serial"))
        found = f"serial {stranger.serial} and {before}"
        plan = f"serial {block.serials[k] or 'not planned'}"
        cause = Hit(network, stranger.tag, (), message, plan, found, places, order=(b, k))
        yield Cause(cause, concerned)


def _once(site: Site) -> dict[str, Target]:
    """Return tag → device, for the tags that are planned only once."""
    times = Counter(tag for block in site.blocks for tag in block.tags)
    return {tag: device for tag, device in site.by_tag().items() if times[tag] == 1}


def _of_one_tag(items: Sequence[Found]) -> Mapping[tuple[str, str], list[int]]:
    """Return network and tag → the findings that another unit has that tag, or what the two units share."""
    found: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        check, hit = item.rule.check, item.hit
        strange = item.asks("identity", "unplanned")
        shared = check.kind == "unique" and hit.side == "found"
        names = {name.removesuffix(STRANGE) for name in (hit.node, *hit.others)} if strange or shared else ()
        if len(names) == 1:
            found[hit.network, min(names)].append(i)
    return found


def _when(rows: Rows, others: Rows) -> str:
    """Return whether the other rows were read later or earlier; empty where their times do not say."""
    before, now = (table.texts("read_at")[entry] for table, entry in (rows[-1], others[-1]))
    if is_later(now, before):
        return " later"
    return " earlier" if is_later(before, now) else ""
