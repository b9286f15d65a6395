"""Columns that are not known: each is told with what it may have been meant for."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.errors import InputProblems
from tests.reading.made import texts
from tests.refusing import assert_refused, refusal
from tests.small_site import small_site


def test_unknown_columns_are_told_all_at_once() -> None:
    """Every unknown column is a problem with its letter and the nearest known names."""
    with pytest.raises(InputProblems) as error:
        texts("tag,chanel,channel,foo\nA,7,7,x\n")

    assert [(p.line, p.column) for p in error.value.problems] == [(1, "B"), (1, "D")]
    assert "channel" in error.value.problems[0].mend


def test_a_column_that_may_hold_the_tags_is_told_so() -> None:
    """Where no column does. Beside one that does, it is like any other unknown column."""
    mends = []
    for heads in ("node,channel", "tag,node,channel"):
        with pytest.raises(InputProblems) as error:
            texts(f"{heads}\n{'A,' * heads.count(',')}7\n")
        mends.append(error.value.problems[0].mend)

    assert mends[0].startswith("if it holds the tags, use tag as heading; or name it under `columns`")
    assert mends[1].startswith("nearest: note; or name it under `columns`")


def test_many_unknown_columns_without_a_mapping_are_told_at_once() -> None:
    """A forgotten mapping: one problem, no hints such as power for Where. With one, each is reported."""
    text = "Tag No,Model,S/N,Where,East,North,CH\nA,x,1,here,1,2,7\n"
    with pytest.raises(InputProblems) as error:
        texts(text)
    (problem,) = error.value.problems

    assert problem.message.startswith("6 of 7 columns are unknown, and no mapping names them: 'Tag No', ")
    assert problem.mend.startswith("name them under `columns` or `ignore` in a mapping; known: tag, serial")
    with pytest.raises(InputProblems) as error:
        texts(text, columns={"Tag No": "tag"})
    assert [problem.column for problem in error.value.problems] == ["B", "C", "D", "E", "F"]


def test_unknown_columns_beside_half_as_many_known_ones_are_told_one_by_one() -> None:
    """The mapping was not forgotten where the site's own headings are mostly the usual ones."""
    with pytest.raises(InputProblems) as error:
        texts("tag,serial,CH,net,p1,p2,p3,p4,p5,p6,p7\nA,1,7,3,1,2,3,4,5,6,7\n")

    assert [problem.column for problem in error.value.problems] == [*"EFGHIJK"]


def test_a_remark_beside_the_table_may_be_left_out() -> None:
    """It is reported where it is, without its text, which may be a code that has lost its heading."""
    text = "tag,channel,, \nA,7,,\nB,7,,hatch was stuck\n"
    with pytest.raises(InputProblems) as error:
        texts(text)
    (problem,) = error.value.problems

    assert (problem.line, problem.column) == (1, "D")
    assert problem.message == "a column has no heading; its first text is in row 3"
    assert '`ignore: [""]` in a mapping' in problem.mend
    assert set(texts(text, ignore=("",))) == {"tag", "channel"}


def test_a_value_inside_a_record_is_told_what_its_own_name_means(tmp_path: Path) -> None:
    """An export has the labels of the display, below the menu that they are in."""
    site = small_site(tmp_path).read("found.yaml", "- tag: N-1\n  menu: {CH: 7}\n")

    assert_refused(site, at="found.yaml:2:menu.CH", says="unknown column 'menu.CH'", mend="nearest: channel;")


def test_records_of_which_no_name_is_known_have_no_rows_to_skip(tmp_path: Path) -> None:
    """A file of records has no heading row, so that there is nothing to look for above it."""
    site = small_site(tmp_path).read("found.json", '[{"id": "N-1", "of": {"a": 1}}]')

    problems = refusal(site).problems

    assert [one.partition("\n")[0].partition(": ")[2] for one in problems] == [
        "unknown column 'id'", "unknown column 'of.a'"
    ]  # fmt: skip
    assert not any("skip_rows" in one for one in problems)
