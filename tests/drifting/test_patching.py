"""The JSON Patch from a baseline to a readback: whole networks, and what differed from the plan already."""

from __future__ import annotations

import json
from pathlib import Path

import jsonpatch
import pytest

from tests.baselines import data_of
from tests.drifts import drift


def test_a_device_in_a_network_that_the_baseline_does_not_have_brings_that_along(tmp_path: Path) -> None:
    """The network is added as a whole, and those of the baseline stay."""
    out = tmp_path / "drift.patch.json"
    drift(tmp_path, "--quiet", "--out", out, more=[{"tag": "X-1", "serial": "7", "network": "Annex"}])
    patch = json.loads(out.read_text(encoding="utf-8"))

    patched = jsonpatch.apply_patch(data_of(tmp_path / "then" / "baseline.json"), patch)

    assert [step["path"] for step in patch if step["op"] != "test"] == ["/content/devices/Annex"]
    assert patched["content"]["devices"].keys() == {"Main", "Annex"}
    assert patched["content"]["devices"]["Annex"]["X-1"]["serial"] == "7"


def test_a_device_that_was_moved_is_taken_out_and_put_under_its_new_network(tmp_path: Path) -> None:
    """As the readback has it."""
    out = tmp_path / "drift.patch.json"
    drift(tmp_path, "--quiet", "--out", out, now={"N-2": {"network": "South"}})
    patch = json.loads(out.read_text(encoding="utf-8"))

    patched = jsonpatch.apply_patch(data_of(tmp_path / "then" / "baseline.json"), patch)

    devices = patched["content"]["devices"]
    assert devices["Main"].keys() == {"GW-1", "N-1", "N-3"}
    assert {tag: its["serial"] for tag, its in devices["South"].items()} == {"N-2": "100002"}


def test_a_device_without_a_tag_is_under_its_serial_number(tmp_path: Path) -> None:
    """An empty name would name nothing."""
    out = tmp_path / "drift.patch.json"
    drift(tmp_path, "--quiet", "--out", out, more=[{"serial": "999009", "network": "Main", "channel": "7"}])

    paths = [step["path"] for step in json.loads(out.read_text(encoding="utf-8")) if step["op"] != "test"]

    assert paths == ["/content/devices/Main/999009"]


def test_a_network_may_be_named_by_the_serial_number_of_its_gateway(tmp_path: Path) -> None:
    """The device stays in the network of the baseline."""
    out = tmp_path / "drift.patch.json"
    drift(tmp_path, "--quiet", "--out", out, now={"N-2": {"network": "900001", "channel": "9"}})
    patch = json.loads(out.read_text(encoding="utf-8"))

    changed = [step["path"] for step in patch if step["op"] != "test"]

    assert changed == ["/content/devices/Main/N-2/settings/channel"]


@pytest.mark.parametrize(
    "row",
    [
        {"tag": "N-22"},
        {"serial": "555001"},
        {"network": "South"},
        {"type": "meter"},
        {"high_alarm": "760"},
        {"high_alarm": ""},
    ],
    ids=str,
)
def test_what_was_not_as_planned_then_either_changes_nothing(row: dict[str, str], tmp_path: Path) -> None:
    """Drift reports it as it was sealed, so there is nothing to patch."""
    out = tmp_path / "drift.patch.json"
    drift(tmp_path, "--quiet", "--out", out, then={"N-2": row}, now={"N-2": row})

    assert [step["path"] for step in json.loads(out.read_text(encoding="utf-8"))] == ["/sha256"]


def test_a_device_under_a_tag_that_another_one_holds_keeps_the_tag_that_was_read(tmp_path: Path) -> None:
    """N-1 was under the tag of N-2 then already, when N-2 was not read; now both are the other way round."""
    out = tmp_path / "drift.patch.json"
    then = {"N-1": {"tag": "N-2"}, "N-2": {"tag": "lost label"}}
    now = {"N-1": {"tag": "N-2"}, "N-2": {"tag": "N-1"}}
    drift(tmp_path, "--quiet", "--out", out, then=then, unread_then=["lost label"], now=now)

    patch = json.loads(out.read_text(encoding="utf-8"))
    patched = jsonpatch.apply_patch(data_of(tmp_path / "then" / "baseline.json"), patch)
    devices = patched["content"]["devices"]["Main"]

    assert {tag: (devices[tag]["serial"], devices[tag]["read_tag"]) for tag in ("N-1", "N-2")} == {
        "N-1": ("100001", "N-2"), "N-2": ("100002", "N-1")
    }  # fmt: skip
