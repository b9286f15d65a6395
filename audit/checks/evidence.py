"""evidence: the readback can be relied on: read in place, by another person, from the right plan."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import partial

from audit.checks.before_set import before_set
from audit.checks.context import Context
from audit.checks.copied.weighing import looks_copied
from audit.checks.counting_rows import Row, counting_rows, were
from audit.checks.disagreeing import disagreements
from audit.checks.reading_days import after_run, before_installation, too_old, without_day
from audit.grouping import grouped
from audit.model.asked_of_evidence import Evidence
from audit.model.finding import Hit, Outcome
from audit.model.site import Block
from audit.people import one_spelling, same_person
from audit.reading.identifiers import spelling


def run(context: Context, args: Evidence) -> Outcome:
    """Return the hits for one aspect of evidence."""
    if not context.site.readback:
        return Outcome(0, [])
    if args.signs:
        return looks_copied(context, args.signs)
    return too_old(context, args.days) if args.days else ASPECTS[args.what](context)


def _once_a_network(rows: list[Row], field: str, message: Callable[[int, str], str]) -> list[Hit]:
    """Return one hit for each network and each text of a field.

    `message` makes the message from the number of devices and the text.
    """
    alike = one_spelling if field == "read_by" else str.casefold
    of_network = grouped(((row.block.networks[row.i], alike(row.text(field))), row) for row in rows)
    hits = []
    for (network, _), group in of_network.items():
        first, found = group[0], group[0].text(field)
        tags = tuple(dict.fromkeys(row.block.tags[row.i] for row in group))
        places = (first.table.place(first.entry, field),)
        hits.append(Hit(network, "", (), message(len(tags), found), found=found, places=places, others=tags,
                        order=(first.b, first.i)))  # fmt: skip
    return hits


def _same_person(count: int, who: str) -> str:
    return f"{were(count)} set and read back by the same person, {who}"


def _self_checked(context: Context) -> Outcome:
    signed = [
        row
        for row in counting_rows(context.site, "configured_by", "read_by")
        if row.text("configured_by") and row.text("read_by")
    ]
    alone = [row for row in signed if same_person(row.text("configured_by"), row.text("read_by"))]
    hits = _once_a_network(alone, "read_by", _same_person)
    return Outcome(len(signed), hits)


def _revision(text: str) -> str:
    """Return a revision without the word before it: `Rev. A` is `A`."""
    return re.sub(r"^rev(ision)?\b[. ]*", "", text.casefold())


def _stale_revision(context: Context) -> Outcome:
    current = context.site.plan.site.revision
    citing = [
        row for row in counting_rows(context.site, "plan_revision") if row.text("plan_revision") and current
    ]
    stale = [row for row in citing if _revision(row.text("plan_revision")) != _revision(current)]
    hits = _once_a_network(
        stale,
        "plan_revision",
        lambda n, cited: f"{were(n)} read against plan revision {cited}; the plan is at {current}",
    )
    return Outcome(len(citing), hits)


def _other_network(context: Context) -> Outcome:
    naming = [
        (networks, texts) for block in context.site.blocks for networks, texts in _named_networks(block)
    ]
    if all(networks == texts for networks, texts in naming):  # the usual case, and quick to check
        return Outcome(sum(len(texts) for _, texts in naming), [])
    rows = [(row, text) for row in counting_rows(context.site, "network") if (text := row.text("network"))]
    unlike = [(row, text) for row, text in rows if text != row.block.networks[row.i]]
    elsewhere = [row for row, text in unlike if spelling(text) != spelling(row.block.networks[row.i])]
    return Outcome(len(rows), _once_a_network(elsewhere, "network", _named_elsewhere))


def _named_networks(block: Block) -> Iterator[tuple[Sequence[str], Sequence[str]]]:
    """Yield the planned networks of devices, and beside them the networks named in their rows."""
    for group in block.alike:
        for texts in group.texts("network"):
            if any(texts):
                yield list(map(block.networks.__getitem__, group.devices)), texts


def _named_elsewhere(count: int, network: str) -> str:
    devices = "1 device planned here is" if count == 1 else f"{count} devices planned here are"
    return f"{devices} under the network {network!r} in the readback"


ASPECTS: dict[str, Callable[[Context], Outcome]] = {
    "self-checked": _self_checked,
    "stale-revision": _stale_revision,
    "readings-disagree": partial(disagreements, off_plan=False),
    "off-plan-reading": partial(disagreements, off_plan=True),
    "before-installation": before_installation,
    "before-set": before_set,
    "after-run": after_run,
    "other-network": _other_network,
    "undated": without_day,
}
