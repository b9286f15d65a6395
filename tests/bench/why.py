"""How many minutes it takes to find why a node does not join: 10,000 calls drawn from the weights.

    python -m tests.bench.why                  10,000 calls, some minutes
    python -m tests.bench.why --calls 1000 --seed 2 --travel 60
    python -m tests.bench.why --odd            all causes equally frequent, so that the weights are wrong

A cause is drawn by its weight, half of the nodes having joined before. Checks find it with the chances in
the data; the search ends when one does, or when none is left. False alarms cost nothing here. All orders pay
for travel each time that somebody goes to the node, or to its gateway.

"Files read": each question that files can answer is answered by them for half of the calls. A check at the
desk that is done in this way costs nothing, in every order; ours also takes the other answers into account,
drawn by their likelihoods and wrong as often as readings are. "Nothing known": everything is done by hand.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import fmean, median

from tabulate import tabulate

from audit.diagnosis.causes import read_causes
from audit.diagnosis.gathering import GATHERERS
from audit.diagnosis.order import Option, best_order
from audit.diagnosis.posterior import found_by, likelihoods, posterior
from audit.diagnosis.weights import mixed, weights
from audit.model.joining import Answer, CausesFile, Question
from audit.reading.inputs import Inputs

ANSWERED = 0.5
"""The share of calls for which the files answer a question that they can answer. Invented."""

Chances = Mapping[str, float]


@dataclass(frozen=True)
class Call:
    """A node that does not join: the true cause, what the files say, and which checks would find it."""

    cause: str
    answers: Sequence[tuple[Question, Answer]]
    """Answers from files to questions for which there is no check."""
    free: frozenset[str]
    """Checks that are done by reading the files."""
    finds: frozenset[str]
    """Checks that find the cause."""


@dataclass(frozen=True)
class World:
    """The data, in the forms that the draw needs."""

    causes: CausesFile
    travel: float
    odd: bool

    @property
    def ids(self) -> list[str]:
        """The ids of the causes."""
        return [cause.id for cause in self.causes.causes]

    def prior(self) -> Chances:
        """Return the weights for a node that may or may not have joined before."""
        never, was = (weights(self.causes, joined, {}) for joined in ("never", "was"))
        return mixed(never, was, 0.5)

    def posterior(self, call: Call) -> Chances:
        """Return how probable the causes are once the files are read."""
        error = self.causes.errors.readback
        evidence = [likelihoods(question, answer, self.ids, error) for question, answer in call.answers]
        free = [c for c in self.causes.checks if c.id in call.free]
        evidence += [found_by(check, self.ids, found=check.id in call.finds) for check in free]
        return posterior(self.prior(), evidence)

    def draw(self, chance: random.Random) -> Call:
        """Return a random call."""
        prior = self.prior()
        weight = [1.0] * len(prior) if self.odd else list(prior.values())
        (cause,) = chance.choices(list(prior), weight)
        desk = [check for check in self.causes.checks if check.where == "desk"]
        of_checks = {name for check in desk for name in check.answered_by}
        answers = [
            (question, _answer_given(question, cause, self.causes.errors.readback, chance))
            for question in self.causes.questions
            if question.id in GATHERERS and question.id not in of_checks and chance.random() < ANSWERED
        ]
        free = frozenset(
            check.id for check in desk
            if check.answered_by and set(check.answered_by) <= set(GATHERERS) and chance.random() < ANSWERED
        )  # fmt: skip
        finds = frozenset(c.id for c in self.causes.checks if chance.random() < c.finds.get(cause, 0))
        return Call(cause, answers, free, finds)


def _answer_given(question: Question, cause: str, error: float, chance: random.Random) -> Answer:
    """Return the answer that is given: the true one, or, with probability `error`, another."""
    (true,) = chance.choices(question.answers, [answer.chance(cause) for answer in question.answers])
    if chance.random() < error:
        return chance.choice([answer for answer in question.answers if answer is not true])
    return true


def minutes_of(world: World, call: Call, order: Sequence[str]) -> tuple[float, bool]:
    """Return the minutes that an order takes, and whether it finds the cause."""
    checks = {check.id: check for check in world.causes.checks}
    spent, there = 0.0, False
    for name in order:
        check = checks[name]
        away = check.where == "gateway" or (check.where == "site" and not there)
        spent += check.minutes + (world.travel if away else 0)
        there = check.where == "site"
        if name in call.finds:
            return spent, True
    return spent, False


def ours(world: World) -> Callable[[Call, bool], Sequence[str]]:
    """Return our order: by the posterior, or by the weights alone."""

    @cache
    def order(now: tuple[tuple[str, float], ...], left: tuple[str, ...]) -> Sequence[str]:
        way = {check.id: world.travel for check in world.causes.checks if check.where == "gateway"}
        options = [
            Option(c.id, c.minutes + way.get(c.id, 0), c.finds) for c in world.causes.checks if c.id in left
        ]
        site = {check.id for check in world.causes.checks if check.where == "site"}
        found = best_order(dict(now), [o for o in options if o.id not in site],
                           [o for o in options if o.id in site], world.travel)  # fmt: skip
        return [option.id for option in found.checks]

    def of(call: Call, use_files: bool) -> Sequence[str]:
        now = world.posterior(call) if use_files else world.prior()
        return order(tuple(now.items()), tuple(to_do(world, call, use_files)))

    return of


def to_do(world: World, call: Call, use_files: bool) -> list[str]:
    """Return the checks that are left to do by hand."""
    return [check.id for check in world.causes.checks if not (use_files and check.id in call.free)]


def desk_first(world: World, call: Call, use_files: bool) -> Sequence[str]:
    """Return the order of a fixed flow chart: the desk from top to bottom, one trip, then the gateway."""
    return to_do(world, call, use_files)


def drive_first(world: World, call: Call, use_files: bool) -> Sequence[str]:
    """Return the order of somebody who drives out at once, and looks at the lists afterwards."""
    where = {check.id: check.where for check in world.causes.checks}
    return sorted(to_do(world, call, use_files), key=lambda name: where[name] != "site")


def run(world: World, calls: int, seed: int) -> list[list[object]]:
    """Return a row for each order and start: minutes, and how often the cause was found."""
    chance = random.Random(seed)
    drawn = [world.draw(chance) for _ in range(calls)]
    by_posterior = ours(world)

    def shuffled(call: Call, use_files: bool) -> Sequence[str]:
        left = to_do(world, call, use_files)
        chance.shuffle(left)
        return left

    orders: dict[str, Callable[[Call, bool], Sequence[str]]] = {
        "ours": by_posterior,
        "flow chart, desk first": lambda call, files: desk_first(world, call, files),
        "flow chart, drive first": lambda call, files: drive_first(world, call, files),
        "random order": shuffled,
    }
    rows: list[list[object]] = []
    for use_files in (False, True):
        for name, order in orders.items():
            found = [
                (0.0, True) if use_files and call.free & call.finds
                else minutes_of(world, call, order(call, use_files))
                for call in drawn
            ]  # fmt: skip
            times = [minutes for minutes, _ in found]
            start = "files read" if use_files else "nothing known"
            share = fmean(done for _, done in found)
            rows.append([start, name, f"{fmean(times):.1f}", f"{median(times):.0f}", f"{share:.1%}"])
    return rows


def first_right(world: World, calls: int, seed: int) -> tuple[float, float]:
    """Return how often the most probable cause is the true one, and its mean probability."""
    chance = random.Random(seed)
    right, called = [], []
    for _ in range(calls):
        call = world.draw(chance)
        now = world.posterior(call)
        top = max(now, key=lambda cause: now[cause])
        right.append(top == call.cause)
        called.append(now[top])
    return fmean(right), fmean(called)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--calls", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--travel", type=float, help="minutes of travel; left out: those in the data")
    parser.add_argument(
        "--odd", action="store_true", help="draw all causes equally often, whatever their weights"
    )
    args = parser.parse_args()
    causes = read_causes(None, Inputs()).file
    world = World(causes, causes.travel.minutes if args.travel is None else args.travel, args.odd)
    rows = run(world, args.calls, args.seed)
    heads = ["start", "order", "mean minutes", "median", "cause found"]
    print(tabulate(rows, heads, tablefmt="github", disable_numparse=True))  # noqa: T201
    right, called = first_right(world, args.calls, args.seed)
    print(f"\nmost probable cause is the true one: {right:.1%}; its mean probability: {called:.1%}")  # noqa: T201


if __name__ == "__main__":
    main()
