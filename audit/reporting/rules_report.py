"""The rules as text: the list, the explanation of one, the roles, the slips, and the bands."""

from __future__ import annotations

from typing import Any

from audit.model.base import level_rank
from audit.model.radio import BandLimit
from audit.model.roles import ROLES
from audit.model.rule import FRAMEWORKS, Rule
from audit.reading.rules import Rulebook
from audit.reporting.lines import Lines


def listing(book: Rulebook, width: int) -> str:
    """Return every rule with its level and title, pack by pack."""
    lines = Lines(width, colour=False)
    rules = iter(book.rules)
    longest = max(len(rule.id) for rule in book.rules)
    for pack in book.packs:
        lines.add(f"{pack.pack}, version {pack.version}")
        for _, rule in zip(range(pack.rules), rules, strict=False):
            here = f" ({book.levels[rule.id]} at this site)" if rule.id in book.levels else ""
            lines.add(f"{rule.id:{longest}}  {rule.level:7}  {rule.title}{here}", indent=2, hang=longest + 11)
        lines.add()
    lines.add("gates: " + ", ".join(f"{gate.id} ({gate.title})" for gate in book.gates.values()))
    lines.add("`asfound rules ID` explains one rule.")
    return lines.text()


def explanation(rule: Rule, book: Rulebook, width: int) -> str:
    """Return the full explanation of one rule."""
    lines = Lines(width, colour=False)
    lines.add(f"{rule.id}: {rule.title}")
    lines.add()
    lines.add(f"level: {rule.level}{_elsewhere(rule, book)}{_raised(rule, book)}", hang=2)
    lines.add(f"applies to: {rule.applies_to}; looks at values {' and '.join(rule.sides)}", hang=2)
    lines.add(f"check: {rule.check.kind}. {_first_line(type(rule.check).__doc__)}", hang=2)
    for name, value in rule.check.model_dump(exclude_defaults=True).items():
        if name != "kind":
            lines.add(f"{name}: {_words(value)}", indent=2, hang=4)
    lines.add()
    lines.add(f"why: {rule.why}", hang=2)
    lines.add(f"remedy: {rule.remedy}", hang=2)
    if rule.remedy_in_plan:
        lines.add(f"if it is the plan that is wrong: {rule.remedy_in_plan}", hang=2)
    lines.add(f"source: {rule.source}", hang=2)
    for framework, numbers in rule.requirements.items():
        lines.add(f"requirement: {FRAMEWORKS[framework]}: {', '.join(numbers)}", hang=2)
    if rule.symptom_of:
        which = "one of them" if rule.symptom_of[1:] else "that"
        lines.add(f"listed under: {', '.join(rule.symptom_of)}, where {which} is the cause", hang=2)
    if rule.yields_to:
        lines.add(f"left out where the setting is already reported by: {', '.join(rule.yields_to)}", hang=2)
    return lines.text()


def roles(width: int) -> str:
    """Return the roles with their meanings."""
    lines = Lines(width, colour=False)
    for role, meaning in ROLES.items():
        lines.add(f"{role}: {meaning}", hang=4)
    lines.add("x_…: a site's own role, for its own rules")
    return lines.text()


def bands(width: int) -> str:
    """Return the radio bands with their published limits, each with its clause and how it was checked."""
    from audit.reading.bands import bands_file

    file = bands_file()
    lines = Lines(width, colour=False)
    lines.add(f"bands, version {file.version}. {file.title}")
    for one in file.bands:
        lines.add()
        lines.add(f"{one.id}: {one.title}", hang=2)
        for limit in one.limits:
            lines.add(_limit(limit), indent=2, hang=4)
    return lines.text()


def _limit(limit: BandLimit) -> str:
    """Return one published limit in a line."""
    powers = {"e.i.r.p.": limit.eirp_dbm, "e.r.p.": limit.erp_dbm, "into the feeder": limit.conducted_dbm}
    parts = [f"{most:g} dBm {what}" for what, most in powers.items() if most is not None]
    parts += [f"{limit.duty_percent:g} % of an hour on air"] if limit.duty_percent else []
    note = f"; {limit.note}" if limit.note else ""
    where = f"{limit.low_mhz:g} to {limit.high_mhz:g} MHz"
    return f"{where}: at most {', '.join(parts)} ({limit.clause}; {limit.basis}{note})"


def slips(width: int) -> str:
    """Return the slips with their priors, and how odds are worked out from them."""
    from audit.slips.priors import slip_file

    file = slip_file()
    lines = Lines(width, colour=False)
    lines.add(f"slips, version {file.version}. {file.basis}")
    lines.add()
    for slip in file.slips:
        lines.add(f"{slip.id}: {slip.title} ({slip.prior:g} of 100)", hang=2)
        lines.add(slip.means, indent=2, hang=2)
        lines.add(slip.advice, indent=2, hang=2)
    lines.add(f"chance: any other value ({file.random:g} of 100)")
    lines.add()
    lines.add(
        "Odds: the points of a slip, divided by the number of legal values that it could make of the planned "
        "one, compared with everything else that could have made the value found. "
        f"Likely: {round(100 * file.likely_from)} % or more, and {file.likely_times:g} times the next. "
        f"Each further value that the same slip explains makes it {file.each_further:g} times more likely. "
        "Naming a slip changes no level and no value."
    )
    return lines.text()


def _elsewhere(rule: Rule, book: Rulebook) -> str:
    levels = [
        f"{gate.levels[rule.id]} at gate {gate.id}" for gate in book.gates.values() if rule.id in gate.levels
    ]
    site = [f"{book.levels[rule.id]} at this site"] if rule.id in book.levels else []
    only = ["only at gates that ask for evidence"] if rule.for_evidence else []
    return "".join(f", {words}" for words in (*site, *levels, *only))


def _raised(rule: Rule, book: Rulebook) -> str:
    """Return where a finding of a rule has another level because of the findings under it."""
    if rule.check.kind == "fold":
        return "; in a report, that of the worst finding under it"
    of_symptoms = [other.level for other in book.rules if rule.id in other.symptom_of]
    worst = min(of_symptoms, key=level_rank, default=rule.level)
    return f"; {worst} where it is the cause of one" if level_rank(worst) < level_rank(rule.level) else ""


def _first_line(docstring: str | None) -> str:
    return (docstring or "").strip().split("\n")[0]


def _words(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{name} {_words(part)}" for name, part in value.items())
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple) and value and all(isinstance(part, dict) for part in value):
        rising = sorted(value, key=lambda part: part["above"])
        ends = [f" to below {part['above']:g}" for part in rising[1:]]
        spans = zip(rising, (*ends, " upwards"), strict=True)
        return "; ".join(f"from {part['above']:g}{end}: {part['words']}" for part, end in spans)
    if isinstance(value, tuple):
        parts = (" and ".join(part) if isinstance(part, tuple) else str(part) for part in value)
        return ", ".join(parts) or "none"
    return str(value)
