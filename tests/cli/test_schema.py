"""asfound schema: the list, a schema, and the keys of a file."""

from __future__ import annotations

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


def test_keys_need_a_name() -> None:
    """--keys alone ends with a message."""
    outcome = run("schema", "--keys")

    assert (outcome.code, outcome.stdout) == (2, "")
    assert "asfound schema plan --keys" in outcome.stderr


def test_an_unknown_schema() -> None:
    """A misspelt name gets the nearest one."""
    outcome = run("schema", "plam")

    assert (outcome.code, outcome.stdout) == (2, "")
    assert "nearest: plan" in outcome.stderr
