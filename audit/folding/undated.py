"""Two files that disagree, on several devices or on one, where nothing says which is the newer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from audit.checks.disagreeing import perhaps_as_planned
from audit.folding.findings import Cause, Findings, Under, settings_named

ASPECTS = ("readings-disagree", "off-plan-reading")


def undated(findings: Findings, at_least: int) -> Iterator[Cause | Under]:
    """Find pairs of files with several readings that disagree without a time; put these under one finding.

    Any other disagreement becomes the cause of what is off plan by the reading that counts, if another
    reading is as planned.
    """
    groups: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for i, item in findings.free():
        if item.asks("evidence", *ASPECTS):
            files = sorted({place.file for place in item.hit.places[:2]})
            groups[item.rule.id, item.hit.network, *files].append(i)
    for (_, _, *files), group in groups.items():
        hits = findings.hits(group)
        tags = {hit.node for hit in hits}
        if len(tags) >= at_least and len(files) > 1:
            about = {(hit.order, name) for hit in hits for name in hit.settings}
            counting = [i for i, item in findings.comparisons()
                        if (item.hit.order, item.hit.settings[0]) in about]  # fmt: skip
            names = settings_named(hits)
            message = (
                f"{len(about):,} readings of {', '.join(names)} on {len(tags):,} devices differ between "
                f"{' and '.join(files)}, and nothing says which file is the newer"
            )
            yield findings.common_cause([*group, *counting], message, names)
    doubts = {
        (item.hit.order, item.hit.settings[0]): i for i, item in findings.free()
        if item.asks("evidence", ASPECTS[0])
    }  # fmt: skip
    for j, item in findings.comparisons() if doubts else ():
        (b, i), name = item.hit.order, item.hit.settings[0]
        if ((b, i), name) in doubts and perhaps_as_planned(findings.site.blocks[b], i, name):
            yield Under(j, doubts[(b, i), name])
