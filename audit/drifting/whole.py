"""All drift since a baseline: of settings, of whole devices, and what became of each change record."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence

from audit.comparing import Difference
from audit.drifting.aligning import Aligned
from audit.drifting.new_gateways import new_gateways
from audit.drifting.other_type import new_settings_of, old_settings_of
from audit.drifting.outcomes import record_outcomes
from audit.drifting.pending import pending
from audit.drifting.records import Records
from audit.drifting.sealed_site import SealedSite
from audit.drifting.settings import new_settings, setting_drifts
from audit.drifting.sides import Sides
from audit.drifting.units import matched
from audit.drifting.whereabouts import gone_and_come, moved
from audit.model.baseline import Content
from audit.model.drift import Drifting, ReadChange
from audit.model.site import Site, Target
from audit.pairing.crossed import Crossed
from audit.reading.moments import is_later
from audit.texts import field_of

OF_DEVICES = (matched, moved, gone_and_come, pending)
"""What finds the drift of whole devices: exchanged, renamed, moved, added and gone."""


def drifting(
    site: Site,
    crossed: Mapping[Target, Crossed],
    differences: Mapping[tuple[int, str], Difference],
    aligned: Aligned | None,
    content: Content,
    changes: Sequence[ReadChange],
    today: datetime.date,
) -> Drifting:
    """Return all drift since a baseline. `site` has the baseline's values on its planned side."""
    baseline = SealedSite(site, content)
    records = Records(baseline, changes, today, new_gateways(site, aligned))
    sides = Sides(crossed, aligned, records)
    settings = [one for item in differences.items() for one in setting_drifts(records, aligned, *item)]
    devices = sorted((one for find in OF_DEVICES for one in find(sides)), key=lambda one: one.order)
    return Drifting(
        settings=settings,
        devices=devices,
        records=record_outcomes(records, devices),
        with_plan=aligned is not None,
        with_records=bool(changes),
        new_settings=new_settings(site),
        of_other_type=list(new_settings_of(site, aligned)) if aligned else [],
        not_of_new_type=old_settings_of(site, aligned) if aligned else {},
        read_then=_read_then(baseline),
        older=list(_older(baseline)),
    )


def _read_then(baseline: SealedSite) -> dict[Target, str]:
    """Return device that was read now → the text that says when it was read for the baseline."""
    return {
        (b, i): baseline.device(b, i).read_at
        for b, block in enumerate(baseline.site.blocks) for i, rows in enumerate(block.rows) if rows
    }  # fmt: skip


def _older(baseline: SealedSite) -> Iterator[Target]:
    """Yield the devices whose newest reading is older than the one for the baseline, or is that very one."""
    memo: dict[tuple[str, str], bool] = {}
    for b, block in enumerate(baseline.site.blocks):
        if not any("read_at" in table.columns for table in block.tables):
            continue
        for i, rows in enumerate(block.rows):
            now = field_of(block, i, "read_at") if rows else ""
            before = baseline.device(b, i).read_at if now else ""
            if before and (now, before) not in memo:
                memo[now, before] = now == before or is_later(before, now)
            if before and memo[now, before]:
                yield b, i
