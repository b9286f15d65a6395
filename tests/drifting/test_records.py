"""What change records explain, on a site of two networks."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from audit.drifting.running import DriftOrder, run
from audit.model.result import Finding
from tests.small_site import run as run_command
from tests.test_example_drift import SITE

MOVE = """
  - id: CR-26-9
    what: move
    node: TT-22
    from: Oil yard
    to: {to}
    approved_by: I. Placeholder (operations)
    date: {date}
"""


def after_move(
    folder: Path,
    *,
    to: str = "Spirit store",
    date: str = "2026-03-10",
    plan: Path | None = None,
    also: Sequence[Path] = (),
    **found: str,
) -> list[Finding]:
    """Return the findings on a node that was found in another network than in the baseline.

    `also` are further files of the readback.
    """
    read = _as_found(folder, **{"network": "Spirit store", "channel": "38", "network_id": "0F38"} | found)
    changes = folder / "changes.yaml"
    changes.write_text("asfound: changes/1\nchanges:" + MOVE.format(to=to, date=date), encoding="utf-8")
    order = DriftOrder(
        baseline=SITE / "baselines" / "2025.json",
        readback=[read, *also],
        plan=plan,
        changes=[changes],
        run_on="2026-06-10",
    )
    return [finding for finding in run(order).findings if finding.node == "TT-22"]


def _as_found(folder: Path, **found: str) -> Path:
    """Return a copy of the readback as found, in which TT-22 shows something else."""
    read = folder / "as-found"
    shutil.copytree(SITE / "as-found", read)
    export = read / "oil-yard.csv"
    rows = list(csv.DictReader(export.read_text(encoding="utf-8").splitlines()))
    for row in rows:
        if row["tag"] == "TT-22":
            row.update(found)
    with export.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    return read


def unexplained_settings(folder: Path, **otherwise: Any) -> set[str]:
    """Return the settings of that node that no record explains."""
    return {one.setting or "" for one in after_move(folder, **otherwise) if one.level == "error"}


def test_a_move_explains_the_radio_of_the_new_gateway(tmp_path: Path) -> None:
    """The record of a move allows the channel and identity that the node needs there, and nothing else."""
    assert unexplained_settings(tmp_path / "a") == set()
    assert unexplained_settings(tmp_path / "b", address="064", high_alarm="90.0") == {"address", "high_alarm"}


def test_the_new_gateway_is_said_to_have_the_new_value_not_the_old_one(tmp_path: Path) -> None:
    """The other way round, somebody would look for the baseline's channel at the new gateway."""
    (message,) = [one.message for one in after_move(tmp_path) if one.setting == "channel"]

    assert message.startswith("channel is 38, as at its gateway in Spirit store; the baseline has ")


@pytest.mark.parametrize(
    ("otherwise", "unexplained"),
    [
        ({"channel": "37"}, {"channel"}),
        ({"date": "2025-01-01"}, {"", "channel", "network_id"}),
        ({"to": "Elsewhere"}, {"", "channel", "network_id"}),
    ],
    ids=["another channel", "before the baseline", "another network"],
)
def test_a_move_explains_no_other_radio(
    otherwise: dict[str, str], unexplained: set[str], tmp_path: Path
) -> None:
    """Only that of the gateway to which it was moved, since the baseline."""
    assert unexplained_settings(tmp_path, **otherwise) == unexplained


NEW_NETWORK = """
  - name: East yard
    gateway: {tag: GW-E, type: gateway, serial: "770040", settings: {channel: 12, network_id: 0F12}}
    nodes:
"""


@pytest.mark.parametrize(
    ("gateway", "recorded"),
    [
        ("serial,channel\n770040,12\n", {"channel", "network_id"}),
        ("serial,channel\n770040,13\n", {"network_id"}),
        ("serial,channel\n770024,24\n", {"channel", "network_id"}),
    ],
    ids=["as planned", "off plan", "not read"],
)
def test_a_move_to_a_new_network_explains_the_radio_of_its_gateway(
    gateway: str, recorded: set[str], tmp_path: Path
) -> None:
    """The plan names it, as the baseline cannot; what was read of it counts before what is planned."""
    shutil.copytree(SITE, tmp_path / "site")
    plan, read = tmp_path / "site" / "plan.yaml", tmp_path / "gateway.csv"
    (moved,) = [line for line in plan.read_text(encoding="utf-8").splitlines() if "tag: TT-22" in line]
    text = plan.read_text(encoding="utf-8").replace(moved + "\n", "") + NEW_NETWORK + moved + "\n"
    plan.write_text(text, encoding="utf-8")
    read.write_text(gateway, encoding="utf-8")
    there = {"network": "East yard", "channel": "12", "network_id": "0F12"}

    findings = after_move(tmp_path, to="East yard", plan=plan, also=[read], **there)

    assert {one.setting for one in findings if one.rule == "drift-recorded"} == recorded


def test_a_record_of_a_network_means_the_types_that_had_the_value_before(tmp_path: Path) -> None:
    """The levels of the yard alarm at 8.70 m and its temperatures at 95 °C; nobody has lowered the levels."""
    changes = tmp_path / "changes.yaml"
    record = (
        "{id: CR-26-9, network: Oil yard, setting: high_alarm, from: 8.70, to: 8.50, "
        "approved_by: I. Placeholder (operations), date: 2026-03-10}"
    )
    changes.write_text(f"asfound: changes/1\nchanges: [{record}]\n", encoding="utf-8")
    order = DriftOrder(
        baseline=SITE / "baselines" / "2025.json",
        readback=[SITE / "as-found"],
        changes=[changes],
        run_on="2026-06-10",
    )

    about = [one for one in run(order).findings if one.rule in ("record-not-borne-out", "record-differs")]

    assert {tag for one in about for tag in (one.node, *one.others) if tag} == {
        "LT-21", "LT-23", "LT-25", "LT-27",
    }  # fmt: skip


def _after_a_change_there(folder: Path, channel: str, about: str) -> list[str]:
    """Return what a record about the spirit store says of a node that hung there, though planned elsewhere.

    `channel` is what it shows now; the gateway of the spirit store is as the record says.
    """
    away = {"network": "Spirit store", "channel": "38", "network_id": "0F38"}
    baseline = folder / "then.json"
    then = _as_found(folder / "then", **away)
    sealed = run_command("seal", SITE / "plan.yaml", then, "--signed-by", "R. Sample", "--on", "2026-05-20",
                         "--even-failing", "--out", baseline)  # fmt: skip
    assert sealed.code == 0, sealed.written
    now = _as_found(folder / "now", **away | {"channel": channel, "read_at": "2026-06-05T08:00"})
    gateway = folder / "gateway.csv"
    gateway.write_text("tag,serial,channel,read_at\nGW-S,770038,39,2026-06-05T09:00\n", encoding="utf-8")
    changes = folder / "changes.yaml"
    record = (
        f"{{id: CR-26-9, {about}, setting: channel, from: 38, to: 39, "
        "approved_by: I. Placeholder (operations), date: 2026-06-01}"
    )
    changes.write_text(f"asfound: changes/1\nchanges: [{record}]", encoding="utf-8")
    order = DriftOrder(baseline=baseline, readback=[now, gateway], changes=[changes], run_on="2026-06-10")
    return [one.rule for one in run(order).findings
            if one.node == "TT-22" and "CR-26-9" in one.message]  # fmt: skip


OF_THE_STORE = ("node: GW-S", "network: Spirit store", "node: TT-22, network: Spirit store")


@pytest.mark.parametrize("about", OF_THE_STORE)
def test_a_node_that_was_found_elsewhere_for_the_baseline_follows_the_gateway_there(
    tmp_path: Path, about: str
) -> None:
    """The record explains it, and is not said to be about a device that is not in the baseline."""
    assert _after_a_change_there(tmp_path, "39", about) == ["drift-recorded"]


@pytest.mark.parametrize("about", OF_THE_STORE)
def test_a_record_also_says_that_a_node_found_there_was_left_behind(tmp_path: Path, about: str) -> None:
    """It is one of those that the record means."""
    assert _after_a_change_there(tmp_path, "38", about) == ["record-not-borne-out"]


def test_a_device_is_exchanged_where_it_was_found_for_the_baseline(tmp_path: Path) -> None:
    """A record may name the network in which it hung, and not only the planned one."""
    away = {"network": "Spirit store", "channel": "38", "network_id": "0F38"}
    baseline = tmp_path / "then.json"
    sealed = run_command("seal", SITE / "plan.yaml", _as_found(tmp_path / "then", **away), "--signed-by",
                         "R. Sample", "--on", "2026-05-20", "--even-failing", "--out", baseline)  # fmt: skip
    assert sealed.code == 0, sealed.written
    now = _as_found(tmp_path / "now", **away, serial="990022", read_at="2026-06-05T08:00")
    changes = tmp_path / "changes.yaml"
    changes.write_text(
        "asfound: changes/1\nchanges: [{id: CR-26-9, what: exchange, node: TT-22, network: Spirit store, "
        "to: '990022', approved_by: I. Placeholder (operations), date: 2026-06-01}]",
        encoding="utf-8",
    )
    order = DriftOrder(baseline=baseline, readback=[now], changes=[changes], run_on="2026-06-10")

    found = [one for one in run(order).findings if "990022" in one.message]

    assert [(one.node, one.level) for one in found] == [("TT-22", "note")]
