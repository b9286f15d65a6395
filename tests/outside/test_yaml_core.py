"""Scalars of YAML files mean what the core schema says.

Sources:

- YAML Ain't Markup Language, revision 1.2.2 (2021-10-01): 10.3.2 "Tag Resolution" of the core schema
  with example 10.9, 10.2.1 for the tags, 3.2.1.3 for unique keys, 3.3.3 for contents that do not fit
  their tag. 10.2 and 10.3: read, in a full transcription of chapter 10. 3.2.1.3 and 3.3.3: memory.
- What YAML 1.1 makes of the same texts (`016` is 14, `no` is false, `1:30` is 90): the type pages
  "Integer" and "Boolean" of yaml.org, working draft of 2005. Integer: read. Boolean: secondary.
- Files that grow tenfold with every line of aliases ('billion laughs'): common practice, no source.
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import InputProblems
from audit.reading.yaml_core import load
from audit.reading.yaml_scalars import resolve
from tests.outside.sites import audited, named

EXAMPLE_10_9 = """\
A null: null
Also a null: # Empty
Not a null: ""
Booleans: [ true, True, false, FALSE ]
Integers: [ 0, 0o7, 0x3A, -19 ]
Floats: [
  0., -0.0, .5, +12e03, -2E+05 ]
Also floats: [
  .inf, -.Inf, +.INF, .NAN ]
"""

TABLE = [
    (r"null | Null | NULL | ~", "null"),
    (r"", "null"),
    (r"true | True | TRUE | false | False | FALSE", "bool"),
    (r"[-+]? [0-9]+", "int"),
    (r"0o [0-7]+", "int"),
    (r"0x [0-9a-fA-F]+", "int"),
    (r"[-+]? ( \. [0-9]+ | [0-9]+ ( \. [0-9]* )? ) ( [eE] [-+]? [0-9]+ )?", "float"),
    (r"[-+]? ( \.inf | \.Inf | \.INF )", "float"),
    (r"\.nan | \.NaN | \.NAN", "float"),
]
"""The table of 10.3.2, word for word: regular expression → tag. Whatever matches none is text."""

KINDS = {type(None): "null", bool: "bool", int: "int", float: "float", str: "str"}


def kind_by_table(text: str) -> str:
    """Return the tag that the table gives to a plain scalar."""
    return next((tag for pattern, tag in TABLE if re.fullmatch(pattern, text, re.VERBOSE)), "str")


def value_of(text: str) -> object:
    """Return what a plain scalar becomes in a file."""
    return load(f"key: {text}", "test.yaml").data["key"]


def test_the_specifications_own_example() -> None:
    """Example 10.9 becomes what the specification says it becomes."""
    data = load(EXAMPLE_10_9, "test.yaml").data
    floats = data.pop("Also floats")
    assert data == {
        "A null": None,
        "Also a null": None,
        "Not a null": "",
        "Booleans": [True, True, False, False],
        "Integers": [0, 7, 58, -19],
        "Floats": [0.0, -0.0, 0.5, 12000.0, -200000.0],
    }
    assert [type(value) for value in data["Floats"]] == [float] * 5
    assert floats[:3] == [math.inf, -math.inf, math.inf]
    assert math.isnan(floats[3])


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0", 0), ("007", 7), ("+12", 12), ("-19", -19), ("0o14", 12), ("0xC", 12), ("0xff", 255),
        ("1.", 1.0), (".5", 0.5), ("-.5", -0.5), ("1e3", 1000.0), ("685.230_15", "685.230_15"),
        ("6.8523015e+5", 685230.15), (".inf", math.inf), ("-.INF", -math.inf),
        ("~", None), ("Null", None), ("nULL", "nULL"), ("TRUE", True), ("tRUE", "tRUE"),
        ("-0o14", "-0o14"), ("+0xC", "+0xC"), ("0O14", "0O14"), ("0XC", "0XC"), ("0o8", "0o8"),
        ("0xG", "0xG"), ("+.nan", "+.nan"), (".", "."), ("-", "-"), ("+", "+"), ("e3", "e3"), ("1e", "1e"),
        ("1.2.3", "1.2.3"), ("1,5", "1,5"), ("٣", "٣"), ("０", "０"),
    ],
)  # fmt: skip
def test_plain_scalars(text: str, value: object) -> None:
    """Each spelling of the core schema's table has its value, and its near misses stay text."""
    assert (resolve(text), type(resolve(text))) == (value, type(value))


@pytest.mark.parametrize(
    ("text", "value", "in_1_1"),
    [
        ("016", 16, "14"), ("00123", 123, "83"), ("0777", 777, "511"), ("08", 8, "text"), ("019", 19, "text"),
        ("1:30", "1:30", "90"), ("22:30", "22:30", "1350"), ("190:20:30", "190:20:30", "685230"),
        ("12:30:45.5", "12:30:45.5", "45045.5"), ("no", "no", "false"), ("NO", "NO", "false"),
        ("off", "off", "false"), ("on", "on", "true"), ("Yes", "Yes", "true"), ("y", "y", "true"),
        ("N", "N", "false"), ("1_000", "1_000", "1000"), ("+685_230", "+685_230", "685230"),
        ("0x_0A_74_AE", "0x_0A_74_AE", "685230"), ("0b1010", "0b1010", "10"), ("1e3", 1000.0, "text"),
        ("2001-12-14", "2001-12-14", "a date"), ("=", "=", "a default key"), ("0o16", 14, "text"),
    ],
    ids=str,
)  # fmt: skip
def test_traps_of_yaml_1_1(text: str, value: object, in_1_1: str) -> None:
    """A channel, a tag or a time keeps the meaning that it has in YAML 1.2, not the one in YAML 1.1."""
    assert (value_of(text), type(value_of(text))) == (value, type(value)), f"in YAML 1.1 it is {in_1_1}"


def test_merge_keys_are_plain_keys() -> None:
    """`<<` merges nothing: merge keys are a type of YAML 1.1, not part of the core schema."""
    assert load("<<: {channel: 5}", "test.yaml").data == {"<<": {"channel": 5}}


@pytest.mark.parametrize("text", ['"016"', "'016'", "! 016", "!!str 016", "|-\n  016", ">-\n  016"])
def test_only_plain_scalars_are_resolved(text: str) -> None:
    """A scalar in quotes, in a block, or tagged as text is text, whatever it looks like."""
    assert value_of(text) == "016"


def test_an_explicit_tag_decides() -> None:
    """`!!float -1` is a float and `!!int "16"` an integer, as in examples 10.6 and 10.7."""
    values = [value_of("!!float -1"), value_of('!!int "16"'), value_of("!!int -12"), value_of("!!null null")]
    assert [(value, type(value)) for value in values] == [
        (-1.0, float),
        (16, int),
        (-12, int),
        (None, type(None)),
    ]


@pytest.mark.parametrize(
    "text",
    ["!!int north", "!!int 1.5", "!!float north", "!!bool yes", "!!null none", "!!seq {a: 1}", "!!map [1]"],
)
def test_a_tag_that_does_not_fit_is_refused(text: str) -> None:
    """A value that cannot be what its tag says is an error, and does not silently become something else."""
    with pytest.raises(InputProblems):
        value_of(text)


@given(st.text(alphabet="0123456789aAbBcefFgnNoOuUlLiIxXtTrRsSEyY+-.~_: ", max_size=9))
def test_resolving_agrees_with_the_table(text: str) -> None:
    """For any text, the kind is that of the first matching line of the table."""
    assert KINDS[type(resolve(text))] == kind_by_table(text)


@given(st.integers(), st.sampled_from(["", "0", "00", "0000000"]))
def test_decimal_integers_with_leading_zeros(number: int, zeros: str) -> None:
    """Leading zeros do not change an integer."""
    sign = "-" if number < 0 else ""
    assert resolve(f"{sign}{zeros}{abs(number)}") == number


@given(st.integers(min_value=0))
def test_octal_and_hexadecimal_integers(number: int) -> None:
    """`0o` and `0x` forms give their number, also with capital digits."""
    assert [resolve(f"{number:#o}"), resolve(f"{number:#x}"), resolve(f"0x{number:X}")] == [number] * 3


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_floats_come_back(number: float) -> None:
    """A float written in full comes back as the same float, with or without an exponent."""
    assert resolve(repr(number)) == number
    assert resolve(f"{number:.17E}") == number


@given(
    st.text(
        alphabet=st.characters(exclude_categories=["C", "Z"], exclude_characters="0123456789.~"), min_size=6
    )
)
def test_words_stay_words(text: str) -> None:
    """A text without digit, point or tilde that is none of the nine words stays as it is."""
    assert resolve(text) == text


@pytest.mark.parametrize(
    "text",
    [
        "channel: 5\nchannel: 6",
        "{tag: A, settings: {channel: 5, channel: 5}}",
        "a: 1\n'a': 2",
        'a: 1\n"\\x61": 2',
    ],
    ids=["different values", "same value, inner mapping", "one in quotes", "one in escapes"],
)
def test_duplicate_keys_are_told(text: str) -> None:
    """A key given twice in a mapping is an error, since nobody can say which one is meant."""
    (problem,) = load(text, "test.yaml").twice

    assert "is given twice" in problem.message


def test_the_same_key_in_two_mappings_is_no_duplicate() -> None:
    """Keys are unique within their own mapping only."""
    assert load("- {a: 1}\n- {a: 2, b: {a: 3}}", "test.yaml").data == [{"a": 1}, {"a": 2, "b": {"a": 3}}]


def tenfold(lines: int) -> str:
    """Return a file in which each line holds the one before ten times: ten to the power of its lines."""
    rest = "".join(f"l{n}: &l{n} [{', '.join([f'*l{n - 1}'] * 10)}]\n" for n in range(1, lines))
    return f"l0: &l0 [{', '.join(['x'] * 10)}]\n{rest}"


def test_alias_bombs_are_refused() -> None:
    """A file of seven lines that would grow to ten million values is refused."""
    with pytest.raises(InputProblems, match="once aliases are expanded"):
        load(tenfold(7), "test.yaml")


def test_honest_aliases_are_read() -> None:
    """Aliases for a value that is shared are accepted: that is what they are for."""
    data = load("a: &shared {channel: 016}\nb: *shared\nc: [*shared, *shared]", "test.yaml").data
    assert data == {"a": {"channel": 16}, "b": {"channel": 16}, "c": [{"channel": 16}, {"channel": 16}]}


def test_an_alias_to_itself_is_refused() -> None:
    """A value that contains itself would have no end."""
    with pytest.raises(InputProblems, match="refers to nothing above it"):
        load("a: &a [*a]", "test.yaml")


PLANNED = {"N-1": {"channel": "016", "cluster": "0016", "shift": "1:30", "mode": "no", "batch": "1_000"}}


@pytest.mark.parametrize(
    ("setting", "text", "differs"),
    [
        ("channel", "16", False), ("channel", "016", False), ("channel", "14", True),
        ("cluster", "0016", False), ("cluster", "16", True), ("cluster", "14", True),
        ("shift", "1:30", False), ("shift", "90", True),
        ("mode", "no", False), ("mode", "false", True),
        ("batch", "1_000", False), ("batch", "1000", True),
    ],
)  # fmt: skip
def test_through_the_whole_tool(setting: str, text: str, differs: bool) -> None:
    """What a plan says in these spellings is compared as it was typed: numbers as numbers, text as text."""
    found = {"N-1": {**PLANNED["N-1"], setting: text}}
    result = audited("spellings.yaml", PLANNED, found=found)
    assert named(result, "setting-differs") == ({"N-1"} if differs else set())
