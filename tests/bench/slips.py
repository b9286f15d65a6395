"""How well slips are named: values are mis-keyed at random by the priors, and right names are counted.

    python -m tests.bench.slips                    20,000 values, a few seconds
    python -m tests.bench.slips --values 5000 --seed 2
    python -m tests.bench.slips --even             all slips alike, so that the priors are wrong

A setting and its plan are drawn, then a slip by its prior among those that could strike it, then one of
the legal values that the slip could make. What is printed: how often the true slip is ranked first, alone
or in a tie with others that could equally have made the value; which slips are taken for which; and,
of the values whose slip is called likely, how often that is right. Settings are invented.
"""

from __future__ import annotations

import argparse
import datetime
import random
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from tabulate import tabulate

from audit.model.device import Setting
from audit.model.table import Style
from audit.model.value import Value
from audit.reading.dates import days_like
from audit.reading.identifiers import LOOK_ALIKE
from audit.reading.values import parse, plain
from audit.slips import Around, Ranking, rank
from audit.slips.around import Key
from audit.slips.case import Case, Reach, case_of
from audit.slips.priors import slip_file
from audit.slips.ranking import REACHES

RANDOM = "random"
ALIKE = {character: group for group in LOOK_ALIKE for character in group}
STYLE = Style()


@dataclass(frozen=True)
class Kind:
    """A setting, and how its plans are drawn."""

    setting: Setting
    plan: Callable[[random.Random], str]
    range_ends: tuple[str, str] | None = None
    pair: Callable[[random.Random], str] | None = None


def _kind(
    plan: Callable[[random.Random], str],
    range_ends: tuple[str, str] | None = None,
    pair: Callable[[random.Random], str] | None = None,
    **of: Any,
) -> Kind:
    return Kind(Setting(**of), plan, range_ends, pair)


def _whole(low: int, high: int, by: int = 1) -> Callable[[random.Random], str]:
    return lambda chance: str(chance.randrange(low, high + 1, by))


def _decimal(low: float, high: float, places: int, by: float) -> Callable[[random.Random], str]:
    steps = round((high - low) / by)
    return lambda chance: f"{low + by * chance.randint(0, steps):.{places}f}"


def _characters(alphabet: str, length: int) -> Callable[[random.Random], str]:
    return lambda chance: "".join(chance.choice(alphabet) for _ in range(length))


def _one_of(*options: str) -> Callable[[random.Random], str]:
    return lambda chance: chance.choice(options)


PRESSURE = {"kind": "decimal", "unit": "kPa", "step": 1, "role": "alarm_low"}
KINDS: Sequence[Kind] = (
    _kind(_whole(1, 40), name="channel", kind="integer", low=1, high=40, digits=2, default=1),
    _kind(_whole(2, 247), name="address", kind="integer", low=1, high=247, digits=3, default=1),
    _kind(_one_of("30", "60", "120", "300", "600", "900", "1800"), name="report_interval", kind="integer",
          unit="s", low=5, high=3600, digits=4, default=60),
    _kind(_one_of("4.8", "38.4", "50", "100"), name="air_rate", kind="option", unit="kbit/s",
          options=("4.8", "9.6", "38.4", "50", "100"), default="9.6"),
    _kind(_one_of("on", "off"), name="menu_lock", kind="flag", default=False),
    _kind(_one_of("alarm", "low"), name="loss_action", kind="option", options=("alarm", "hold", "low"),
          default="hold"),
    _kind(_characters("0123456789ABCDEF", 4), name="network_id", kind="text", digits=4, default="0000"),
    _kind(_whole(200, 900, 10), ("0", "1000"), _whole(500, 1000, 20), name="low_alarm", **PRESSURE),
    _kind(_whole(100, 1600, 50), name="range_high", kind="decimal", unit="kPa", step=1, low=0, high=1600,
          default=1600),
    _kind(_decimal(0.5, 11.5, 2, 0.05), ("0", "12.00"), _decimal(6, 12, 2, 0.1), name="high_alarm",
          kind="decimal", unit="m", step=0.01, low=-1, high=20, default=20),
    _kind(_decimal(40, 145, 1, 2.5), ("0", "150.0"), _decimal(5, 60, 1, 2.5), name="high_temperature",
          kind="decimal", unit="°C", step=0.1, low=-50, high=400, default=100),
    _kind(_decimal(-2.5, 5, 2, 0.25), ("-2.5", "5.00"), _decimal(0.25, 5, 2, 0.25), name="vapour_alarm",
          kind="decimal", unit="kPa", step=0.01, low=-10, high=10),
    _kind(_whole(250, 4500, 50), ("0", "4500"), _whole(3000, 4500, 50), name="flow_alarm", kind="integer",
          unit="L/s", digits=5, low=0, high=99999, default=0),
    _kind(_one_of("1", "10", "100"), name="pulse_weight", kind="integer", unit="L", low=1, high=1000,
          default=1),
    _kind(_whole(1001, 9999), name="host_register", kind="integer", low=0, high=65535, default=0),
    _kind(_characters("0123456789", 12), name="module", kind="text"),
    _kind(lambda chance: f"{chance.randint(1, 12)}-{chance.randint(1, 9)}", name="chamber", kind="text"),
)  # fmt: skip


@dataclass(frozen=True)
class Draw:
    """A mis-keyed value, the slip behind it, and how its slips are ranked."""

    kind: Kind
    plan: str
    found: str
    slip: str
    ranking: Ranking
    alike: frozenset[str]
    """Slips with exactly the odds of the true one, so that nothing can distinguish them."""


def draw(chance: random.Random, *, even: bool = False) -> Draw | None:
    """Return a mis-keyed value; None if the slip drawn makes no value that can be written."""
    kind = chance.choice(KINDS)
    plan = kind.plan(chance)
    setting = kind.setting
    planned = parse(plan, setting, STYLE)
    around = _around(kind, plan, chance)
    case = case_of(setting, planned, around)
    assert case is not None
    slip, reaches = _slip(case, kind, chance, even=even)
    found = _found(case, slip, reaches, chance)
    if found is None or parse(found, setting, STYLE).content == planned.content:
        return None
    value = parse(found, setting, STYLE)
    ranking = rank(setting, planned, value, replace(around, **_evidence(slip, value)))
    odds = {one.id: one.probability for one in ranking.slips}
    alike = frozenset(name for name, p in odds.items() if abs(p - odds.get(slip, -1)) < 1e-9)
    return Draw(kind, plan, found, slip, ranking, alike)


def _around(kind: Kind, plan: str, chance: random.Random) -> Around:
    low, high = (parse(text, kind.setting, STYLE) for text in kind.range_ends or ("", ""))
    baseline = parse(kind.plan(chance) if chance.random() < 0.3 else "", kind.setting, STYLE)
    pair = parse(kind.pair(chance) if kind.pair else "", kind.setting, STYLE)
    return Around(baseline=baseline, elevation_m=12, range_low=low, range_high=high, pair=pair,
                  pair_name="high_alarm", planned_text=plan)  # fmt: skip


def _slip(case: Case, kind: Kind, chance: random.Random, *, even: bool) -> tuple[str, Reach]:
    """Return a slip drawn by its prior among those that could strike, and what it could make."""
    priors: dict[str, float] = {RANDOM: slip_file().random}
    reaches = {}
    for slip in slip_file().slips:
        reaches[slip.id] = REACHES[slip.id](case)
        if reaches[slip.id].count or (slip.id in ROWS and kind.setting.kind != "flag"):
            priors[slip.id] = slip.prior
    if not case.around.baseline.read:  # a value that was not saved then shows the default
        priors["untouched"] = priors.get("untouched", 0) and 20
    weights = [1 if even and prior else prior for prior in priors.values()]
    name = chance.choices(list(priors), weights)[0]
    return name, reaches.get(name, Reach())


ROWS = ("neighbour-row", "filled-series")
"""Slips of whole rows and columns: they give any value, and it takes three together to show them."""


def _found(case: Case, slip: str, reach: Reach, chance: random.Random) -> str | None:
    if slip in (RANDOM, *ROWS):
        return _any_legal(case, chance)
    if slip in UNLISTED and (slip != "comma-point" or chance.random() < 0.5 or not reach.values):
        return UNLISTED[slip](case, chance)
    keys = [*reach.values, *(key for span in reach.spans for key in _steps(case, span))]
    return _text(case, chance.choice(keys)) if keys else None


def _steps(case: Case, span: Any) -> Iterator[Key]:
    first, last = case.bounds(span)
    return (step * case.grid for step in range(first, last + 1))


def _text(case: Case, key: Key) -> str:
    if isinstance(key, bool):
        return "on" if key else "off"
    return plain(key) if isinstance(key, Decimal) else key


def _any_legal(case: Case, chance: random.Random) -> str:
    setting = case.setting
    if setting.kind == "flag":
        return "off" if case.plan else "on"
    if setting.kind == "option":
        return chance.choice(setting.options)
    if not case.numeric:
        alphabet = "0123456789" if str(case.plan).isdigit() else "0123456789ABCDEF"
        return _characters(alphabet, len(str(case.plan)))(chance)
    low = Decimal(str(setting.low if setting.low is not None else 0))
    high = Decimal(str(setting.high if setting.high is not None else 9999))
    return _text(case, low + case.grid * chance.randint(0, int((high - low) / case.grid)))


def _look_alike(case: Case, chance: random.Random) -> str | None:
    text = case.text(case.plan)
    places = [at for at, character in enumerate(text) if character in ALIKE]
    for at in chance.sample(places, chance.randint(1, len(places))) if places else ():
        text = text[:at] + chance.choice(ALIKE[text[at]]) + text[at + 1 :]
    return text if places else None


def _date(case: Case, chance: random.Random) -> str | None:
    of = chance.choice(sorted(days_like(case.around.planned_text)))
    date = datetime.date(chance.choice((2012, 2024, 2028, 2044)), of.month, of.day)
    serial = (date - datetime.date(1899, 12, 30)).days
    return chance.choice([date.isoformat(), str(serial)])


def _power(case: Case, chance: random.Random) -> str:
    return f"{Decimal(str(case.plan)):.{chance.randint(1, 10)}E}"


def _comma(case: Case, chance: random.Random) -> str:
    return case.text(case.plan).replace(".", ",")


UNLISTED: Mapping[str, Callable[[Case, random.Random], str | None]] = {
    "look-alike": _look_alike,
    "date-mangled": _date,
    "precision-lost": _power,
    "comma-point": _comma,
}


def _evidence(slip: str, value: Value) -> dict[str, Any]:
    """Return what the rest of a readback says where a whole row or column was struck: three values."""
    if slip == "neighbour-row":
        return {"neighbours": (value,), "further": frozenset({(slip, 2)})}
    if slip == "filled-series":
        return {"series": value, "further": frozenset({(slip, 2)})}
    return {}


@dataclass
class Score:
    """How the names came out."""

    draws: int = 0
    first: int = 0
    """The true slip has the best odds, alone."""
    tied: int = 0
    """It has the best odds together with others that could equally have made the value."""
    likely: int = 0
    likely_right: int = 0
    by_slip: dict[str, Counter[str]] = field(default_factory=dict)
    """True slip → what was ranked first."""
    calibration: dict[str, list[int]] = field(default_factory=dict)
    """Range of the best odds → the values in it, and how many of them were named rightly."""

    @property
    def first_rank(self) -> float:
        """Share of values whose true slip has the best odds, ties included."""
        return (self.first + self.tied) / self.draws

    @property
    def first_rank_alone(self) -> float:
        """The same for slips of single values, which no other row supports."""
        rows = [ranked for name, ranked in self.by_slip.items() if name not in ROWS]
        right = sum(ranked[name] for name, ranked in self.by_slip.items() if name not in ROWS)
        return right / sum(ranked.total() for ranked in rows)

    @property
    def likely_share(self) -> float:
        """Of the values whose slip is called likely, the share where that is right."""
        return self.likely_right / self.likely

    def add(self, one: Draw) -> None:
        """Count a value."""
        slips = one.ranking.slips
        chance = 1 - sum(slip.probability for slip in slips)
        top = RANDOM if not slips or slips[0].probability < chance else slips[0].id
        self.draws += 1
        tied = top != one.slip and top in one.alike
        self.first += top == one.slip
        self.tied += tied
        self.by_slip.setdefault(one.slip, Counter())[one.slip if tied else top] += 1
        if one.ranking.likely:
            self.likely += 1
            self.likely_right += one.ranking.likely.id == one.slip
        if slips:
            tenth = min(int(slips[0].probability * 10), 9)
            counts = self.calibration.setdefault(f"{10 * tenth} to {10 * tenth + 10} %", [0, 0])
            counts[0] += 1
            counts[1] += slips[0].id == one.slip


def simulate(values: int, seed: int, *, even: bool = False) -> Score:
    """Return how well a number of mis-keyed values are named. The same seed gives the same values.

    With `even`, all slips are drawn alike, so that the priors they are ranked by are wrong.
    """
    chance = random.Random(seed)
    score = Score()
    while score.draws < values:
        one = draw(chance, even=even)
        if one is not None:
            score.add(one)
    return score


def report(score: Score) -> str:
    """Return the figures in words and tables."""
    lines = [
        f"{score.draws:,} mis-keyed values: the true slip has the best odds in {score.first_rank:.1%} "
        f"(alone {score.first / score.draws:.1%}, in a tie {score.tied / score.draws:.1%})",
        f"called likely: {score.likely / score.draws:.1%} of the values; "
        f"{score.likely_share:.1%} of these are named rightly",
        f"without slips of whole rows and columns: {score.first_rank_alone:.1%} first",
        "",
        _by_slip(score),
        "",
        tabulate(
            [
                [name, count, f"{right / count:.1%}"]
                for name, (count, right) in sorted(score.calibration.items())
            ],
            ["best odds", "values", "named rightly"],
        ),
    ]
    return "\n".join(lines)


def _by_slip(score: Score) -> str:
    rows = []
    for name, ranked in sorted(score.by_slip.items(), key=lambda pair: -pair[1].total()):
        others = ", ".join(f"{top} {count}" for top, count in ranked.most_common(4) if top != name)
        rows.append([name, ranked.total(), f"{ranked[name] / ranked.total():.1%}", others])
    return tabulate(rows, ["true slip", "values", "first", "others ranked first"])


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--values", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--even", action="store_true", help="draw all slips alike, whatever their priors")
    args = parser.parse_args()
    print(report(simulate(args.values, args.seed, even=args.even)))  # noqa: T201


if __name__ == "__main__":
    main()
