"""The causes as data: complete, in step with the trade's table, and strict about mistakes in them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from audit.diagnosis.causes import read_causes
from audit.errors import InputProblems
from audit.reading.inputs import Inputs
from audit.resources import folder
from tests.diagnosis.sites import our_causes

CAUSES = our_causes()
OURS = folder("rules") / "joining-causes.yaml"

WEIGHTS = {
    "radio-settings": (31, 7), "address-twice": (12, 6), "battery": (12, 26), "path": (12, 9),
    "antenna": (8, 15), "gateway": (5, 12), "full": (3, 1), "not-enrolled": (7, 2), "variant": (3, 1),
    "interference": (2, 5), "removed": (1, 8), "joined-elsewhere": (3, 3), "hardware": (1, 5),
}  # fmt: skip
"""Shares among a hundred nodes that never joined, and that had: judgement of the trade, no source."""
MINUTES = {
    "siblings": 3, "other-lists": 5, "compare": 8, "duplicates": 5, "trend": 8, "enrolment": 8,
    "profile": 15, "phone": 10, "menu": 10, "loaded-volts": 10, "antenna-swap": 20, "beside-gateway": 30,
    "spectrum": 40, "gateway-desk": 10, "gateway-site": 15,
}  # fmt: skip
"""Likewise."""


def test_the_weights_are_those_of_the_trade() -> None:
    """A slip in the data would send people to the wrong end of the site."""
    assert {cause.id: (cause.never_joined, cause.was_joined) for cause in CAUSES.causes} == WEIGHTS
    assert {check.id: check.minutes for check in CAUSES.checks} == MINUTES


def test_it_is_marked_as_judgement() -> None:
    """Nobody should mistake the numbers for counts."""
    assert CAUSES.basis.startswith("Judgement")


def test_every_cause_is_found_by_a_check() -> None:
    """There is a check for each of them."""
    assert {cause for check in CAUSES.checks for cause in check.finds} == set(WEIGHTS)


def test_a_check_finds_its_causes_oftener_than_by_chance() -> None:
    """A check finds its causes more often than it raises a false alarm."""
    for check in CAUSES.checks:
        assert min(check.finds.values()) > check.false_alarm, check.id


def test_every_cause_is_told_from_the_others_by_some_answer() -> None:
    """No two causes have the same chances of every answer."""
    answers = [answer for question in CAUSES.questions for answer in question.answers]
    signatures = {tuple(answer.chance(cause) for answer in answers) for cause in WEIGHTS}

    assert len(signatures) == len(WEIGHTS)


def bent(tmp_path: Path, **changes: Any) -> str:
    """Return the message for our causes with some changes."""
    data = yaml.safe_load(OURS.read_text(encoding="utf-8"))
    for path, value in changes.items():
        part = data
        *steps, last = path.split("__")
        for step in steps:
            part = part[int(step) if step.isdigit() else step]
        part[int(last) if last.isdigit() else last] = value
    file = tmp_path / "own.yaml"
    file.write_text(yaml.safe_dump(data, allow_unicode=True), encoding="utf-8")
    try:
        read_causes(file, Inputs())
    except InputProblems as error:
        return str(error)
    return ""


WRONG: list[tuple[dict[str, Any], str]] = [
    ({"causes__0__never_joined": 32}, "never_joined adds up to 101 over all causes"),
    ({"causes__1__id": "battery"}, "cause 'battery' is given twice"),
    ({"questions__0__answers__0__usual": 0.8}, "its answers add up to"),
    ({"questions__0__answers__0__usual": 0}, "usual"),
    ({"floor": 0.03}, "is rarer than the floor 0.03"),
    ({"checks__0__finds": {"batery": 0.5}}, "names the unknown cause 'batery' -- nearest: battery"),
    ({"checks__0__finds": {"battery": 1}}, "finds"),
    ({"checks__0__answered_by": ["sibling"]}, "names the unknown question 'sibling'"),
    (
        {"checks__0__answered_by": {"siblings": ["gatway"]}},
        "names the unknown cause 'gatway' -- nearest: gate",
    ),
    ({"checks__0__answered_by": {"sibling": ["gateway"]}}, "names the unknown question 'sibling'"),
    ({"checks__0__where": "office"}, "office"),
    ({"travel__minutes": "an hour"}, "minutes"),
    ({"asfound": "slips/1"}, "a file of causes was expected"),
    ({"errors__readbck": 0.1}, "readbck"),
]


@pytest.mark.parametrize(("changes", "says"), WRONG, ids=[next(iter(changes)) for changes, _ in WRONG])
def test_a_slip_in_causes_of_ones_own(tmp_path: Path, changes: dict[str, Any], says: str) -> None:
    """A value that does not add up, or names something unknown, is refused, and the message says where."""
    assert says in bent(tmp_path, **changes).replace("\n    fix:", " --")


def test_causes_of_ones_own_are_listed_among_the_inputs(tmp_path: Path) -> None:
    """A site's own file is listed with its digest."""
    own = tmp_path / "own.yaml"
    own.write_bytes(OURS.read_bytes())
    inputs = Inputs()

    causes = read_causes(own, inputs)

    assert inputs.files[own.as_posix()].sha256 == causes.sha256
