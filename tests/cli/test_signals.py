"""Being asked to end: the program unwinds, and leaves with the code of shells."""

from __future__ import annotations

import signal
from collections.abc import Iterator

import pytest

from audit.cli import main

ENDING = ("SIGTERM", "SIGHUP")


def code_when_told(number: int, monkeypatch: pytest.MonkeyPatch) -> object:
    """Return the exit code of a program that gets a signal while a command runs."""

    def ends(*_: object) -> int:
        signal.raise_signal(number)
        return 0

    monkeypatch.setattr(main, "run", ends)
    with pytest.raises(SystemExit) as left:
        main.main()
    return left.value.code


@pytest.fixture
def signals() -> Iterator[None]:
    """Let no signal end the tests, and give each its handler back."""
    numbers = [number for name in ENDING if (number := getattr(signal, name, None))]
    before = [(number, signal.signal(number, lambda *_: None)) for number in numbers]
    yield
    for number, handler in before:
        signal.signal(number, handler)


@pytest.mark.usefixtures("signals")
@pytest.mark.parametrize("name", ENDING)
def test_asked_to_end_it_leaves_in_order(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """SIGTERM, or a terminal that closes, unwinds the program, so that half-written files are removed."""
    number = getattr(signal, name, None)
    if number is None:
        pytest.skip("there is no such signal on Windows")

    assert code_when_told(number, monkeypatch) == 128 + number


@pytest.mark.usefixtures("signals")
@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="there is no such signal on Windows")
def test_what_is_to_outlive_its_terminal_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """Under nohup, a long run goes on."""
    signal.signal(signal.SIGHUP, signal.SIG_IGN)

    assert code_when_told(signal.SIGHUP, monkeypatch) == 0
