"""Phrases: numbers that people read, texts that are cut, and commands that can be pasted."""

from __future__ import annotations

import shlex

import pytest

from audit.phrases import as_argument, examples, rounded, shortened, typed


@pytest.mark.parametrize(
    ("number", "shown"),
    [(0.012345, "0.0123"), (12.345, "12.3"), (999.4, "999"), (999.7, "1,000"), (-1234.4, "-1,234")],
)
def test_a_number_is_told_to_three_digits(number: float, shown: str) -> None:
    """From 1,000 on it is a whole number, also where it only becomes one by rounding."""
    assert rounded(number) == shown


def test_a_text_that_is_too_long_ends_with_an_ellipsis() -> None:
    """The ellipsis counts as one of its characters."""
    assert [shortened("Rim hut", longest) for longest in (8, 7, 6)] == ["Rim hut", "Rim hut", "Rim h…"]


def test_of_many_texts_the_first_three_are_examples() -> None:
    """An ellipsis says that there are more."""
    assert examples(["3-4", "5-6", "7-8"]) == "3-4, 5-6, 7-8"
    assert examples(["3-4", "5-6", "7-8", "9-10"]) == "3-4, 5-6, 7-8 …"


@pytest.mark.parametrize(
    ("word", "quoted"),
    [
        ("site/plan.yaml", "site/plan.yaml"),
        ("C:\\site\\plan.yaml", "C:\\site\\plan.yaml"),
        ("Kläranlage.yaml", "Kläranlage.yaml"),
        ("rim hut.yaml", '"rim hut.yaml"'),
        ("miller's.yaml", '"miller\'s.yaml"'),
        ("plan (2).yaml", '"plan (2).yaml"'),
        ("a&b;c.yaml", '"a&b;c.yaml"'),
        ("pump $1.yaml", "'pump $1.yaml'"),
    ],
)
def test_a_command_can_be_pasted(word: str, quoted: str) -> None:
    """Double quotation marks are known to every shell; `$` has a meaning within them."""
    assert typed("asfound", "check", word) == f"asfound check {quoted}"


@pytest.mark.parametrize(
    "word", ["rim hut.yaml", "miller's.yaml", "a&b.yaml", 'pump "$1" `.yaml', "wow!.yaml", ""]
)
def test_a_shell_reads_the_same_words(word: str) -> None:
    """Whatever a file is called."""
    assert shlex.split(typed("asfound", "check", word)) == ["asfound", "check", word]


@pytest.mark.parametrize(
    ("file", "named"), [("-north/plan.yaml", "./-north/plan.yaml"), ("north/plan.yaml", "north/plan.yaml")]
)
def test_a_file_is_not_taken_for_an_option(file: str, named: str) -> None:
    """A program takes a word that begins with a dash for an option."""
    assert as_argument(file) == named
