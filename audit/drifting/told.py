"""What a result says of the drift it was worked out from: baseline, plan, change records, patch."""

from __future__ import annotations

from collections.abc import Sequence

from audit.grouping import grouped
from audit.model.drift import RecordOutcome
from audit.model.sample import Sample
from audit.model.site import Site
from audit.model.used import BaselineUsed, ChangeUsed, DriftUsed, NotSampled, PatchOperation, SampleAsked
from audit.reading.baselines import ReadBaseline
from audit.reading.loaded_plan import LoadedPlan


def drift_used(
    baseline: ReadBaseline,
    plan: LoadedPlan | None,
    site: Site,
    sample: SampleAsked | None,
    operations: list[PatchOperation] | None,
) -> DriftUsed:
    """Return what the drift of a site was worked out from. `operations` are a patch, if one was asked for."""
    content, signature = baseline.baseline.content, baseline.baseline.signature
    used = BaselineUsed(
        file=baseline.name,
        sha256=baseline.baseline.sha256,
        sealed_on=content.sealed_on.isoformat(),
        signed_by=content.signed_by,
        verdict=content.verdict,
        plan_revision=content.site.plan_revision or None,
        fingerprint=signature.fingerprint if signature else None,
    )
    changes = _changes(site.drift.records if site.drift else ())
    return DriftUsed(
        baseline=used,
        plan=plan.name if plan else None,
        plan_revision=plan.file.site.revision or None if plan else None,
        changes=changes,
        sample=sample,
        patch=operations,
    )


def sample_asked(file: str, sample: Sample, site: Site) -> SampleAsked:
    """Return which nodes of a site a sample in `file` left out."""
    units = site.drift.not_sampled | site.drift.new_not_sampled if site.drift else ()
    left_out = grouped((one.network, one.node) for one in sorted(units))
    return SampleAsked(
        file=file,
        plan_revision=sample.plan_revision or None,
        not_sampled=[NotSampled(network=network, nodes=nodes) for network, nodes in left_out.items()],
    )


def _changes(records: Sequence[RecordOutcome]) -> list[ChangeUsed]:
    """Return every change record once, with the worst of its states at its devices."""
    states: dict[str, ChangeUsed] = {}
    for outcome in records:
        change, read = outcome.record.change, outcome.record
        states.setdefault(
            change.id,
            ChangeUsed(
                id=change.id,
                what=change.what,
                network=change.network or None,
                node=change.node or None,
                setting=change.setting,
                before=read.before or None,
                after=read.after or None,
                approved_by=change.approved_by,
                date=change.date.isoformat(),
                work_order=change.work_order or None,
                state=outcome.state,
            ),
        )
    return list(states.values())
