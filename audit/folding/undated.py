"""Two files that disagree, on several devices or on one, where nothing says which is the newer."""

from __future__ import annotations

from collections import defaultdict

from audit.checking import Found
from audit.checks.disagreeing import perhaps_as_planned
from audit.folding.causes import Causes, add_root, comparisons, link
from audit.model.rule import Rule
from audit.model.site import Site

ASPECTS = ("readings-disagree", "off-plan-reading")


def undated(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find pairs of files with several readings that disagree without a time; put these under one finding.

    Any other disagreement becomes the cause of what is off plan by the reading that counts, if another
    reading is as planned.
    """
    groups: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.asks("evidence", *ASPECTS):
            files = sorted({place.file for place in item.hit.places[:2]})
            groups[item.rule.id, item.hit.network, *files].append(i)
    for (_, network, *files), group in groups.items():
        tags = list(dict.fromkeys(items[i].hit.node for i in group))
        if len(tags) >= at_least and len(files) > 1:
            about = {(items[i].hit.order, name) for i in group for name in items[i].hit.settings}
            counting = [i for i, item in comparisons(site, enumerate(items), causes)
                        if (item.hit.order, item.hit.settings[0]) in about]  # fmt: skip
            names = tuple(dict.fromkeys(name for i in group for name in items[i].hit.settings))
            message = (
                f"{len(about)} readings of {', '.join(names)} on {len(tags)} devices differ between "
                f"{' and '.join(files)}, and nothing says which file is the newer"
            )
            add_root(items, causes, rule, [*group, *counting], network, message, tags, names)
    doubts = {
        (item.hit.order, item.hit.settings[0]): i for i, item in enumerate(items)
        if i not in causes and item.asks("evidence", ASPECTS[0])
    }  # fmt: skip
    for j, item in comparisons(site, enumerate(items), causes) if doubts else ():
        (b, i), name = item.hit.order, item.hit.settings[0]
        if ((b, i), name) in doubts and perhaps_as_planned(site.blocks[b], i, name):
            link(causes, j, doubts[(b, i), name])
