"""The dialogue: check by check, with the ranking after each answer."""

from __future__ import annotations

from pathlib import Path

from audit.diagnosis.asked import Asked
from audit.diagnosis.session import talk
from audit.model.diagnosis import NodeDiagnosis
from tests.diagnosis.sites import case_of, now


def talked(folder: Path, *answers: str, asked: Asked | None = None) -> tuple[NodeDiagnosis, list[str]]:
    """Return the last diagnosis and all that was said."""
    said: list[str] = []
    node = talk(case_of(folder), asked or Asked(travel_minutes=5), None, iter(answers), said.append)
    return node, said


def test_an_answer_moves_the_ranking(tmp_path: Path) -> None:
    """After each answer the first causes are shown with their probabilities before it."""
    node, said = talked(tmp_path, "loaded-volts found")

    assert now(node, "battery") > 0.8
    assert any("was 19 %: its battery is flat" in line for line in said)


def test_it_ends_when_a_check_has_settled_it(tmp_path: Path) -> None:
    """A cause that is probable enough after `found` ends the dialogue with its remedy."""
    node, said = talked(tmp_path, "loaded-volts found", "phone found", "loaded-volts found", "menu found",
                        asked=Asked(("cold-snap", "lcd-blank"), "was"))  # fmt: skip

    assert node.causes[0].id == "battery"
    assert node.causes[0].posterior >= 0.9
    assert any(line.startswith("remedy: Wake the node") for line in said)
    assert sum(line.endswith("found, not found or unclear?") for line in said) == 1


def test_an_answer_without_a_name_is_about_the_check_proposed(tmp_path: Path) -> None:
    """`not found` is the outcome of what was just asked for."""
    node, said = talked(tmp_path, "n", "N", "Not  Found")

    asked = [line.split(":")[0] for line in said if line.endswith("found, not found or unclear?")]
    assert len(asked) == 4
    assert node.done == [name for name in node.done if name in asked]
    assert set(asked[:3]) == set(node.done)


def test_another_check_may_be_taken_first(tmp_path: Path) -> None:
    """The name of a check alone brings its question; with an outcome it is answered at once."""
    _, said = talked(tmp_path, "spectrum", "u", "phone not found")

    asked = [line.split(":")[0] for line in said if line.endswith("found, not found or unclear?")]
    assert asked[1] == "spectrum"
    assert "phone" not in asked[2:][1:]


def test_what_is_not_understood_is_asked_again(tmp_path: Path) -> None:
    """Nothing changes, and the accepted answers are shown."""
    node, said = talked(tmp_path, "maybe", "phnoe found")

    assert node.done == []
    assert sum(line.startswith("not understood") for line in said) == 2
    assert any("nearest: phone" in line for line in said)


def test_what_was_seen_is_an_answer(tmp_path: Path) -> None:
    """By the name that --saw takes, with or without its check, one or several; a later one replaces it."""
    for n, answers in enumerate([["lcd-blank"], ["phone lcd-blank"], ["lcd-lives", "node-there, lcd-blank"]]):
        node, _ = talked(tmp_path / str(n), *answers)

        assert now(node, "battery") > 0.5
        assert [one.source for one in node.evidence if one.id == "lcd-blank"] == ["saw"]
        assert not any(one.id == "lcd-lives" for one in node.evidence)


def test_what_was_seen_is_repeated_for_the_log(tmp_path: Path) -> None:
    """The log is written by another run, which would not know it."""
    asked = Asked(("cold-snap",), "was", travel_minutes=5)
    _, said = talked(tmp_path / "a", "phone lcd-blank", "quit", asked=asked)
    _, silent = talked(tmp_path / "b", "quit")

    assert "--record battery --was-joined --saw lcd-blank,cold-snap --log FILE, or" in said[-1]
    assert "--record radio-settings --log FILE, or" in silent[-1]


def test_what_a_check_may_see_is_told_with_it(tmp_path: Path) -> None:
    """Nobody has to know the names by heart."""
    _, said = talked(tmp_path, "phone")

    assert (
        "Or say what was seen: lcd-blank, lcd-lives, node-gone, node-there, damage-seen, looks-whole." in said
    )


def test_what_was_seen_may_settle_it(tmp_path: Path) -> None:
    """A cause that becomes probable enough by it ends the dialogue."""
    _, said = talked(tmp_path, "lcd-blank", "volts-low", "looks-whole", "phone", asked=Asked((), "was"))

    assert any(line.startswith("remedy: Wake the node") for line in said)
    assert sum(line.endswith("found, not found or unclear?") for line in said) == 2


def test_whoever_has_seen_something_at_the_node_is_there(tmp_path: Path) -> None:
    """The travel is not counted a second time."""
    node, _ = talked(tmp_path, "menu radio-same", asked=Asked())

    assert node.trip
    assert node.trip.travel_basis == "you are there"


def test_an_answer_may_be_taken_back(tmp_path: Path) -> None:
    """Outcomes and sights, one after the other, until nothing is left to take back."""
    start, _ = talked(tmp_path / "a")
    node, said = talked(tmp_path / "b", "phone found", "lcd-blank", "/back", "undo", "back")

    assert node == start
    assert said.count("Last answer taken back.") == 2
    assert said.count("There is no answer to take back.") == 1


def test_an_answered_check_may_be_answered_again(tmp_path: Path) -> None:
    """The later outcome counts alone."""
    once, _ = talked(tmp_path / "a", "phone n")
    again, _ = talked(tmp_path / "b", "phone y", "trend", "phone n")

    assert again == once


def test_it_may_be_stopped_at_any_time(tmp_path: Path) -> None:
    """By a word, also as `enter` has it, or when the answers end; it says that nothing is settled."""
    for n, answers in enumerate([["q"], ["QUIT"], ["/quit"], []]):
        _, said = talked(tmp_path / str(n), *answers)
        assert "Stopped before a check settled it." in said
        assert not any(line.startswith("not understood") for line in said)


def test_when_no_check_is_left(tmp_path: Path) -> None:
    """Unclear to the end: it says what can be done then, with the cautions."""
    node, said = talked(tmp_path, *["u"] * 20)

    assert node.checks == []
    assert any(line.startswith("No check is left") for line in said)
    assert any("authorises nothing" in line for line in said)


def test_when_no_check_is_left_and_one_cause_stands_out(tmp_path: Path) -> None:
    """Its remedy is shown, and nobody is sent to replace a node because of the gateway."""
    gateway = Asked(("siblings-silent", "gateway-full"), "was")
    _, said = talked(tmp_path, *["u"] * 20, asked=gateway)

    (told,) = [line for line in said if line.startswith("No check is left")]
    assert "remedy: Bring the gateway back" in told
    assert "exchange" not in told


def test_the_list_of_checks(tmp_path: Path) -> None:
    """A question mark lists all that is left, with minutes and chances."""
    _, said = talked(tmp_path, "?")

    assert sum(line.startswith("  ") and " min)" in line for line in said) == 14


def test_whoever_is_there_stays_there(tmp_path: Path) -> None:
    """After a check at the node, all others there come before the desk, and no travel is mentioned again."""
    _, said = talked(tmp_path, "menu not found")

    asked = [line.split(":")[0] for line in said if line.endswith("found, not found or unclear?")]
    assert asked[1] in ("loaded-volts", "antenna-swap", "beside-gateway", "spectrum")
    assert not any(
        line.startswith("Trip to the node")
        for line in said[said.index(f"{asked[1]}: found, not found or unclear?") - 2 :]
    )
