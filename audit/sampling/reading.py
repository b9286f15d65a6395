"""A recorded sample from its file. It has to fit the plan, and be the one that its seed gives."""

from __future__ import annotations

from pathlib import Path

from audit.errors import InputProblems, Problem, stop
from audit.model.sample import Sample, TableTerms
from audit.phrases import as_argument, listed, typed
from audit.reading.documents import read_model
from audit.reading.inputs import Inputs
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.site_names import check_site
from audit.sampling.by_chance import unit_of
from audit.sampling.changed import WRONG
from audit.sampling.drawing import not_as_drawn
from audit.sampling.nodes import duties_of, units_of

MOST_TAGS = 5
"""Nodes named in a message."""


def read_sample(path: Path, plan: LoadedPlan, inputs: Inputs) -> Sample:
    """Return the sample in a file. Raises InputProblems where it is no basis for a verdict on this plan."""
    sample, _, file = read_model(path, Sample, "sample")
    inputs.add(file, "sample")
    check_site("sample", sample.site, plan.file.site.names, file.name)
    try:
        why = not_as_drawn(sample, units_of(plan))
    except InputProblems as error:
        raise InputProblems(Problem(p.message, p.mend, file.name) for p in error.problems) from None
    if why:
        raise stop(why, f"draw it again: {draw_again(plan, sample, file.name)}", file=file.name)
    _check_duties(plan, sample, file.name)
    return sample


def _check_duties(plan: LoadedPlan, sample: Sample, name: str) -> None:
    """Raise InputProblems where the plan has given nodes a duty since the sample was drawn."""
    always = {unit_of(place) for place in sample.always}
    late = sorted(unit for unit in duties_of(plan) if unit not in always)
    if late:
        tags = listed([unit.node for unit in late], MOST_TAGS)
        message = f"by the plan's duties {tags} must always be visited, but the sample leaves that to chance"
        raise stop(message, f"draw it again: {draw_again(plan, sample, name)}", file=name)


def draw_again(plan: LoadedPlan, sample: Sample, name: str) -> str:
    """Return the command that draws such a sample from the present plan."""
    terms = sample.terms
    if isinstance(terms, TableTerms):
        words = f"--aql {terms.aql} --level {terms.level} --inspection {terms.inspection}"
    else:
        accept = f" --accept {terms.accept}" if terms.accept else ""
        wherever = " --wherever" if terms.wherever else ""
        words = f"--confidence {terms.confidence} --defective {terms.defective}{accept}{wherever}"
    spread = " --spread none" if sample.spread == "none" else ""
    changed = any(
        reason.startswith(("changed", WRONG)) for place in sample.always for reason in place.reasons
    )
    as_then = ", with the same --baseline or --changes" if changed else ""
    plan_file, sample_file = (typed(as_argument(file)) for file in (plan.name, name))
    return f"asfound sample {plan_file} --lot {sample.lot} {words}{spread} --out {sample_file}{as_then}"
