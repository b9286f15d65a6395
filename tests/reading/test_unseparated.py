"""Files whose lines are not split into columns: each is told how it can be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.refusing import assert_refused
from tests.small_site import small_site

SECTIONS = "[N-1]\nserial = 100001\nCH = 9\n\n[N-2]\nserial = 100002\nCH = 7\n"
LINES = "serial = 100001\nCH = 9\nADDR = 11\n"

FILES = [
    pytest.param(SECTIONS, "has sections in brackets, and settings as `name = value`",
                 "write it as YAML: `PT-31:`, and below it, indented, `CH: 7`", id="sections"),
    pytest.param(LINES, "has settings as `name = value`, one below the other",
                 'state `delimiter: "="` and `form: across`', id="a setting in each line"),
    pytest.param("tag    serial no   CH\nN-1    100001      9\n", "its columns are aligned by blanks",
                 "in a spreadsheet as columns of fixed width", id="aligned by blanks"),
    pytest.param("Found on Monday   in the rain\ntag,CH\nN-1,9\n", "the row that begins with", "skip_rows",
                 id="a title with blanks"),
    pytest.param("Notes\nCH = 9 at N-1\nall well\n", "unknown column 'Notes'", "if it is a title",
                 id="notes"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "says", "mend"), FILES)
@pytest.mark.parametrize("name", ["found.txt", "found.csv"])
def test_it_is_told_what_to_do_with_the_file(
    tmp_path: Path, name: str, text: str, says: str, mend: str
) -> None:
    """That its first line is an unknown column helps nobody who has such an export."""
    assert_refused(small_site(tmp_path).read(name, text), at=f"{name}:1", says=says, mend=mend)


def test_what_it_is_told_to_do_works(tmp_path: Path) -> None:
    """Lines with = by a mapping, sections as YAML: the reading of channel 9 is found either way."""
    site = small_site(tmp_path)
    mapping = site.mapping(delimiter="=", form="across", tag_from="file")
    lines = site.read("N-1.txt", LINES).rules_found("--mapping", mapping)
    mapping.unlink()
    as_yaml = site.read("found.yaml", "N-1:\n  serial: 100001\n  CH: 9\nN-2:\n  serial: 100002\n  CH: 7\n")

    assert "channel-differs" in lines
    assert "channel-differs" in as_yaml.rules_found()
