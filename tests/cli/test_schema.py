"""asfound schema: the list, a schema, and the keys of a file."""

from __future__ import annotations

import pytest

from audit.resources import schema_names, schema_text
from tests.small_site import run


def test_every_schema_is_listed() -> None:
    """The list has a line for each schema."""
    outcome = run("schema")

    assert outcome.code == 0
    assert [line.split()[0] for line in outcome.stdout.splitlines()] == schema_names()


def test_a_schema_is_printed_as_it_is() -> None:
    """What is printed are the bytes of the file."""
    assert run("schema", "plan").stdout == schema_text("plan")


def test_the_keys_of_a_file() -> None:
    """--keys lists what may be written, with what it means."""
    outcome = run("schema", "plan", "--keys")

    assert outcome.code == 0
    assert "  elevation_m  number. Height above sea level, in metres.\n" in outcome.stdout


@pytest.mark.parametrize(
    ("argument", "told"), [("--keys", "for instance `asfound schema plan --keys`"), ("plam", "nearest: plan")]
)
def test_a_schema_that_is_not_known(argument: str, told: str) -> None:
    """Keys without a name, and a misspelt name: the message says what to write."""
    outcome = run("schema", argument)

    assert (outcome.code, outcome.stdout) == (2, "")
    assert told in outcome.stderr
