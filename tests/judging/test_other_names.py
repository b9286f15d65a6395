"""What is found does not depend on what things are called: a site under other names."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from hypothesis import given

from audit.model.result import Result
from tests.random_sites import QUICK, result, sites

OTHER_NAMES = {"North": "East", "South": "West"} | {f"S{n}": f"Z{n}" for n in (1, 2, 3, 4, 9)}
OTHER_NAMES |= {f"N{n}": f"PT-{n}" for n in (*range(8), "stranger")}
"""Other names of networks, serial numbers and tags, in the same order."""


def renamed(data: Any, names: Mapping[str, str]) -> Any:
    """Return data with the names in all its texts replaced by others."""
    name = re.compile(rf"\b({'|'.join(names)})\b")
    return json.loads(name.sub(lambda found: names[found[1]], json.dumps(data)))


def essence(found: Result) -> dict[str, Any]:
    """Return all that a result says of devices and rules, with the names of files alone."""
    parts = {"verdict", "counts", "networks", "findings", "not_checked"}
    text = json.dumps(found.model_dump(mode="json", include=parts))
    return dict(json.loads(re.sub(r"[^\s\"']*[/\\](?=\w+\.(csv|yaml))", "", text)))


@QUICK
@given(sites())
def test_under_other_names_the_same_is_found(site: dict[str, Any]) -> None:
    """The same findings in the same order, with the new names in every text."""
    found = essence(result(renamed(site, OTHER_NAMES)))

    assert renamed(found, {new: old for old, new in OTHER_NAMES.items()}) == essence(result(site))
