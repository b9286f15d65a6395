"""JSON Patch against the published examples of RFC 6902 (JavaScript Object Notation Patch, April 2013)."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import jsonpatch
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from audit.drifting.patching import of_device
from audit.sealing.canonical import pointer
from tests.baselines import data_of
from tests.drifts import drift
from tests.small_site import as_planned, node

# RFC 6902, appendix A 'Examples': document, patch, and the resulting document; None: an error.
# A.13 (a member given twice) is about the text of a patch, and a matter for the library that reads JSON.
APPENDIX_A: dict[str, tuple[Any, list[dict[str, Any]], Any]] = {
    "A.1 adding an object member": (
        {"foo": "bar"}, [{"op": "add", "path": "/baz", "value": "qux"}], {"baz": "qux", "foo": "bar"},
    ),
    "A.2 adding an array element": (
        {"foo": ["bar", "baz"]}, [{"op": "add", "path": "/foo/1", "value": "qux"}],
        {"foo": ["bar", "qux", "baz"]},
    ),
    "A.3 removing an object member": (
        {"baz": "qux", "foo": "bar"}, [{"op": "remove", "path": "/baz"}], {"foo": "bar"},
    ),
    "A.4 removing an array element": (
        {"foo": ["bar", "qux", "baz"]}, [{"op": "remove", "path": "/foo/1"}], {"foo": ["bar", "baz"]},
    ),
    "A.5 replacing a value": (
        {"baz": "qux", "foo": "bar"}, [{"op": "replace", "path": "/baz", "value": "boo"}],
        {"baz": "boo", "foo": "bar"},
    ),
    "A.6 moving a value": (
        {"foo": {"bar": "baz", "waldo": "fred"}, "qux": {"corge": "grault"}},
        [{"op": "move", "from": "/foo/waldo", "path": "/qux/thud"}],
        {"foo": {"bar": "baz"}, "qux": {"corge": "grault", "thud": "fred"}},
    ),
    "A.7 moving an array element": (
        {"foo": ["all", "grass", "cows", "eat"]}, [{"op": "move", "from": "/foo/1", "path": "/foo/3"}],
        {"foo": ["all", "cows", "eat", "grass"]},
    ),
    "A.8 testing a value: success": (
        {"baz": "qux", "foo": ["a", 2, "c"]},
        [{"op": "test", "path": "/baz", "value": "qux"}, {"op": "test", "path": "/foo/1", "value": 2}],
        {"baz": "qux", "foo": ["a", 2, "c"]},
    ),
    "A.9 testing a value: error": ({"baz": "qux"}, [{"op": "test", "path": "/baz", "value": "bar"}], None),
    "A.10 adding a nested member object": (
        {"foo": "bar"}, [{"op": "add", "path": "/child", "value": {"grandchild": {}}}],
        {"foo": "bar", "child": {"grandchild": {}}},
    ),
    "A.11 ignoring unrecognized elements": (
        {"foo": "bar"}, [{"op": "add", "path": "/baz", "value": "qux", "xyz": 123}],
        {"foo": "bar", "baz": "qux"},
    ),
    "A.12 adding to a nonexistent target": (
        {"foo": "bar"}, [{"op": "add", "path": "/baz/bat", "value": "qux"}], None,
    ),
    "A.14 ~ escape ordering": (
        {"/": 9, "~1": 10}, [{"op": "test", "path": "/~01", "value": 10}], {"/": 9, "~1": 10},
    ),
    "A.15 comparing strings and numbers": (
        {"/": 9, "~1": 10}, [{"op": "test", "path": "/~01", "value": "10"}], None,
    ),
    "A.16 adding an array value": (
        {"foo": ["bar"]}, [{"op": "add", "path": "/foo/-", "value": ["abc", "def"]}],
        {"foo": ["bar", ["abc", "def"]]},
    ),
}  # fmt: skip

# RFC 6901 (JavaScript Object Notation Pointer, April 2013), section 5: keys and their pointers.
POINTERS = {"": "/", "foo": "/foo", "a/b": "/a~1b", "c%d": "/c%d", "e^f": "/e^f", "g|h": "/g|h",
            "i\\j": "/i\\j", 'k"l': '/k"l', " ": "/ ", "m~n": "/m~0n"}  # fmt: skip


@pytest.mark.parametrize(("document", "patch", "result"), APPENDIX_A.values(), ids=APPENDIX_A)
def test_the_library_that_judges_our_patches(document: Any, patch: list[dict[str, Any]], result: Any) -> None:
    """The library with which the tests apply patches behaves as the standard's examples show."""
    if result is not None:
        assert jsonpatch.apply_patch(document, patch) == result
        return
    with pytest.raises((jsonpatch.JsonPatchException, jsonpatch.JsonPointerException)):
        jsonpatch.apply_patch(document, patch)


@pytest.mark.parametrize(("key", "written"), POINTERS.items())
def test_pointers(key: str, written: str) -> None:
    """Keys are escaped as in the standard's examples."""
    assert pointer(key) == written


KEYS = st.text(st.sampled_from("ab/~'\"[].0 é"), min_size=1, max_size=4)
DEVICES = st.fixed_dictionaries(
    {"type": KEYS},
    optional={"serial": KEYS, "read_at": KEYS, "settings": st.dictionaries(KEYS, KEYS, max_size=4)},
)


@given(DEVICES, DEVICES)
def test_the_operations_on_a_device_turn_one_into_the_other(old: dict[str, Any], new: dict[str, Any]) -> None:
    """Whatever the keys and values, the operations test for the old device and make the new one."""
    operations = [operation.model_dump(exclude_unset=True) for operation in of_device("", old, new)]
    tests = [operation for operation in operations if operation["op"] == "test"]
    changes = [operation for operation in operations if operation["op"] != "test"]

    assert jsonpatch.apply_patch(old, [*tests, *changes]) == new
    assert bool(changes) == (old != new)


def readback(chance: random.Random, rows: list[dict[str, str]]) -> list[dict[str, str]]:
    """Return a readback of the same site, in another order and with many changes."""
    found = [dict(row) for row in rows if chance.random() > 0.1 or row["tag"] == "GW-1"]
    for row in found:
        for name in ("channel", "address", "high_alarm", "range_high"):
            if chance.random() < 0.2:
                row[name] = chance.choice(("", str(chance.randint(1, 900))))
        if chance.random() < 0.1:
            row["serial"] = f"55{chance.randint(1000, 9999)}"
        if chance.random() < 0.1 and row["tag"] != "GW-1":
            row["tag"] += "/new~"
        row["read_at"] = chance.choice(("2026-06-01", "2026-06-02T08:00"))
    chance.shuffle(found)
    return found


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 10**6))
def test_a_patched_baseline_is_the_readback(seed: int, tmp_path_factory: pytest.TempPathFactory) -> None:
    """The patch of any drift, applied by another library, gives the content of a baseline of the readback."""
    folder: Path = tmp_path_factory.mktemp("patch")
    chance = random.Random(seed)
    nodes = [node(n) for n in range(1, 9)]
    rows = readback(chance, as_planned(nodes))
    out = folder / "drift.patch.json"

    gone = [row["tag"] for row in as_planned(nodes)]
    outcome = drift(folder, "--quiet", "--out", out, nodes=nodes, gone=gone, more=rows)
    assert outcome.code in (0, 1), outcome.written
    patch = json.loads(out.read_text(encoding="utf-8"))
    baseline = data_of(folder / "then" / "baseline.json")

    patched = jsonpatch.apply_patch(baseline, patch)["content"]["devices"]["Main"]

    assert {
        tag: (its.get("serial"), its.get("read_at"), its["settings"]) for tag, its in patched.items()
    } == ({row["tag"]: (row["serial"], row["read_at"], settings_in(row)) for row in rows})
    with pytest.raises(jsonpatch.JsonPatchTestFailed):
        jsonpatch.apply_patch({**baseline, "sha256": "0" * 64}, patch)


def settings_in(row: dict[str, str]) -> dict[str, str]:
    """Return the settings of a row that were read; a gateway has only those of its radio."""
    names = ("channel", "network_id", "address", "range_low", "range_high", "high_alarm")
    return {name: row[name] for name in (names[:2] if row["tag"] == "GW-1" else names) if row.get(name)}
