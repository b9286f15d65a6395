"""The evidence of the annual gate: what was read, by whom, what was closed, and how to make it again."""

from __future__ import annotations

import json
import re
import shlex
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from audit.judging.evidence_records import ELSEWHERE
from audit.model.evidence import Evidence
from audit.reporting.evidence_shown import codes as shown_codes
from audit.reporting.evidence_shown import inventory_rows
from audit.run import run as check
from tests.drifts import drift
from tests.site_builder import SiteOf, result_of
from tests.small_site import SETTINGS, node, run, small_site

ROOT = Path(__file__).parent.parent.parent
OSTERVIK = ROOT / "examples/ostervik"


NEITHER = {"alarm_enabled": None, "offset": None}
"""Changes to a device type that remove its alarm switch and its trim."""


def evidence_of(folder: Path, **site: Any) -> Evidence:
    """Return the evidence of a site at the annual gate."""
    evidence = result_of(folder, gate="annual", **site).evidence
    assert evidence is not None
    return evidence


def test_only_gates_that_ask_for_it_have_evidence(tmp_path: Path) -> None:
    """A handover is not an audit, and its findings name no requirements."""
    found = {"default_refused": "no"}
    handover = result_of(tmp_path / "a", found=found)
    annual = result_of(tmp_path / "b", found=found, gate="annual")

    def named(result: Any) -> list[str]:
        return next(f.requirements for f in result.findings if f.rule == "default-code-accepted")

    assert handover.evidence is None
    assert named(handover) == []
    assert named(annual) == [
        "IEC 62443-4-2: CR 1.5", "IEC 62443-3-3: SR 1.5", "NIST SP 800-53 r5, SP 800-82 r3 overlay: IA-5",
    ]  # fmt: skip


def test_codes_that_were_tried(tmp_path: Path) -> None:
    """A blank is not a trial; who tried, and when, is as the readback says."""
    rows = [
        {"default_refused": "yes", "read_by": "R. Sample", "read_at": "2026-04-02T08:00"},
        {"default_refused": "yes", "read_by": "R. Sample", "read_at": "2026-04-09T08:00"},
        {"default_refused": "no"},
        {"default_refused": "not tried", "read_by": "R. Sample"},
        {"default_refused": ""},
    ]
    codes = evidence_of(tmp_path, planned=[{}] * 5, found=rows, gateway_found=None).codes

    assert codes is not None
    told = (codes.refused, codes.accepted, codes.not_tried, codes.not_read)
    assert told == (2, 1, 2, 1)  # the gateway is not read
    assert codes.by == ["R. Sample: 2 devices, 2026-04-02 to 2026-04-09", "nobody named: 1 device, no date"]


def test_where_nothing_was_read_nobody_is_said_not_to_have_tried(tmp_path: Path) -> None:
    """What was not read shows nothing: only that no trial is recorded can be said."""
    evidence = evidence_of(tmp_path, planned=[{}], found=[{"default_refused": ""}], gateway_found=None)

    assert shown_codes(evidence)[-1] == "No trial is recorded."


def test_a_trial_that_the_code_disproves(tmp_path: Path) -> None:
    """A device that has the factory code has not refused it; no record may be quoted as saying so."""
    rows = [{"default_refused": "yes", "access_code": "8205"}, {"default_refused": "yes"}]
    evidence = evidence_of(tmp_path, planned=[{}, {}], found=rows, gateway_found=None)

    assert evidence.codes is not None
    assert (evidence.codes.refused, evidence.codes.accepted, evidence.codes.disproved) == (1, 1, 1)
    assert shown_codes(evidence)[-1].startswith(
        "Reported as refused by 1 device whose code is the factory code"
    )


@pytest.mark.parametrize(("exported", "silent"), [({}, 1), ({"access_code": "5093"}, 0)])
def test_devices_that_cannot_show_whether_they_refuse_the_factory_code(
    exported: dict[str, str], silent: int, tmp_path: Path
) -> None:
    """A type without a setting for it is told, unless an exported code shows it."""
    site: dict[str, Any] = {
        "hub_settings": {"default_refused": None},
        "planned": [{}],
        "found": {"default_refused": "yes"},
    }
    result = result_of(tmp_path, gate="annual", gateway_found=exported, **site)
    lacking = [one.reason for one in result.not_checked if one.rule == "default-code-not-tried"]

    assert result.evidence is not None
    assert result.evidence.codes is not None
    assert result.evidence.codes.cannot_show == silent
    assert lacking == ["in part, for lack of `default_refused` or an exported code on 1 (GW-North)"][:silent]
    assert ("Nothing shows it at 1 device more" in " ".join(shown_codes(result.evidence))) == bool(silent)


def test_records_that_stand_beside_settings(tmp_path: Path) -> None:
    """Alarms that are off, trims, and the licence: with what is named for them, and what was not read."""
    records = evidence_of(
        tmp_path,
        plan={"radio": {"band": "eu-863-870", "licence": {"reference": "L-12"}}},
        hub_settings=NEITHER,
        planned=[{}, {}, {}, {"calibration_record": "C-3"}],
        found=[
            {"alarm_enabled": "off", "alarm_authorisation": "A-7", "offset": "0.5"},
            {"alarm_enabled": "off", "alarm_authorisation": "pending", "offset": "0"},
            {"alarm_enabled": "", "offset": "-0.2", "calibration_record": "No"},
            {"alarm_enabled": "on", "offset": "0.3"},
        ],
    ).records

    assert records == [
        "Alarms: off on 2 of 4 devices that can turn them off, not read on 1; an authorisation is named for "
        "1 of those that are off.",
        "Trims: other than zero on 3 of 4 devices with one, not read on 0; a calibration record is "
        "named for 1 of those trimmed.",
        "Radio: band eu-863-870, licence L-12.",
        ELSEWHERE,
    ]


def test_a_single_device_is_no_devices(tmp_path: Path) -> None:
    """Each sentence counts what it is about."""
    records = evidence_of(
        tmp_path, hub_settings=NEITHER, planned=[{}], found=[{"alarm_enabled": "off", "offset": "1"}]
    ).records

    assert records[0].startswith("Alarms: off on 1 of 1 device that can turn them off")
    assert records[1].startswith("Trims: other than zero on 1 of 1 device with one")


def test_records_that_a_site_cannot_have(tmp_path: Path) -> None:
    """If no device type can turn alarms off or has a trim, the record says so and counts nothing."""
    records = evidence_of(tmp_path, settings=NEITHER, hub_settings=NEITHER, found={}).records

    assert records[:3] == [
        "Alarms: no device type has a setting that turns them off (role alarm_enabled).",
        "Trims: no device type has one (role offset).",
        "Radio: the plan names neither a band nor a licence.",
    ]


def test_settings_that_keep_people_out(tmp_path: Path) -> None:
    """As planned, different, not read, not planned: each device is counted under one of these."""
    controls = evidence_of(
        tmp_path,
        planned=[{"local_lock": "on"}, {"local_lock": "on"}, {"local_lock": "on"}, {}],
        found=[{"local_lock": "on"}, {"local_lock": "off"}, {"local_lock": ""}, {"local_lock": "on"}],
    ).controls
    lock = next(line for line in controls if line.what == "lock of the local menu")

    assert (lock.as_planned, lock.otherwise, lock.not_planned) == (1, 1, 1)
    assert lock.found == {"off": 1, "on": 2}
    assert lock.as_planned + lock.otherwise + lock.not_planned + lock.not_read == lock.devices


def test_drift_says_what_such_settings_are_and_not_that_they_are_as_planned(tmp_path: Path) -> None:
    """A lock that was off when the baseline was sealed, and still is, is as in the baseline, and off."""
    settings = [*SETTINGS, {"name": "lock", "kind": "flag", "role": "local_lock"}]
    nodes = [{**node(n), "settings": {**node(n)["settings"], "lock": "on"}} for n in (1, 2)]
    off = {"N-2": {"lock": "off"}}

    arguments = ("--gate", "annual", "--width", "200")
    text = drift(tmp_path, *arguments, nodes=nodes, settings=settings, then=off, now=off).stdout

    heads, _, row = text[text.index("  setting  ", text.index("EVIDENCE")) :].splitlines()[:3]
    told = dict(zip(*(re.split("  +", line.strip()) for line in (heads, row)), strict=True))
    assert told == {
        "setting": "lock of the local menu", "devices": "2", "as read": "off (1), on (1)",
        "as in the baseline": "2", "different": "0", "not read": "0", "not in the baseline": "0",
    }  # fmt: skip


def test_inventory(tmp_path: Path) -> None:
    """Devices by type, with the versions that were read."""
    evidence = evidence_of(
        tmp_path, planned=[{}, {}, {}], found=[{"firmware": "1.2", "serial": "S1"}, {"firmware": "1.2"}, {}]
    )
    probes = next(line for line in evidence.inventory if line.devices == 3)

    assert (probes.firmware, probes.firmware_not_read) == ({"1.2": 2}, 1)
    assert probes.serials_read == 1
    assert [probes.type, "3", "3", "1", "1.2 (2), not read (1)"] in inventory_rows(evidence)


def test_closure_and_reproduction_of_the_example(tmp_path: Path) -> None:
    """What is gone is proved by what was read; the command in the result makes the same result again."""
    out, again = tmp_path / "a.json", tmp_path / "b.json"
    run("check", OSTERVIK / "plan.yaml", OSTERVIK / "as-found", "--waivers", OSTERVIK / "waivers.yaml",
        "--since", OSTERVIK / "earlier.json", "--on", "2026-05-20",
        "--gate", "annual", "--out", out)  # fmt: skip
    evidence = json.loads(out.read_text(encoding="utf-8"))["evidence"]
    proofs = {one["finding"]: (one["now"], one["place"]) for one in evidence["closed"]}
    words = shlex.split(evidence["command"])
    run(*words[1:], "--out", again)

    assert proofs["local-config-unlocked/North/TS-20/menu_lock"][0] == "on"
    assert "north.csv row 11 column K" in proofs["local-config-unlocked/North/TS-20/menu_lock"][1]
    assert again.read_bytes() == out.read_bytes()


def test_what_closes_a_finding_about_no_setting_is_what_it_rested_on(tmp_path: Path) -> None:
    """A serial number that was wrong and is now right is shown with its place; the tag was never wrong."""
    site, out = small_site(tmp_path, found={"N-2": {"serial": "100022"}}), tmp_path / "r.json"
    annual: list[str | Path] = ["check", site.plan, *site.readbacks, "--gate", "annual", "--quiet", "--out"]
    run(*annual, tmp_path / "earlier.json")
    small_site(tmp_path)
    run(*annual, out, "--since", tmp_path / "earlier.json")
    evidence = json.loads(out.read_text(encoding="utf-8"))["evidence"]

    (proof,) = (one for one in evidence["closed"] if one["finding"].startswith("tag-serial-mismatch"))
    assert proof["now"] == "serial 100002"
    assert proof["place"].endswith("found.csv row 4 column B")


def test_a_blank_closes_nothing(tmp_path: Path) -> None:
    """The serial number was wrong, and its cell is now empty: nobody has read it again."""
    site, out = small_site(tmp_path, found={"N-2": {"serial": "100022"}}), tmp_path / "r.json"
    annual: list[str | Path] = ["check", site.plan, *site.readbacks, "--gate", "annual", "--quiet", "--out"]
    run(*annual, tmp_path / "earlier.json")
    small_site(tmp_path, found={"N-2": {"serial": ""}})
    run(*annual, out, "--since", tmp_path / "earlier.json")
    result = json.loads(out.read_text(encoding="utf-8"))

    (proof,) = (one for one in result["evidence"]["closed"] if one["finding"].startswith("tag-serial"))
    assert (proof["now"], proof["place"]) == (None, None)
    assert [one["rule"] for one in result["since"]["not_read_again"]] == ["tag-serial-mismatch"]


@pytest.mark.parametrize("name", ["r.txt", "r.html", "r.md"])
def test_reports_show_it(name: str, tmp_path: Path) -> None:
    """Text, page and Markdown say the same."""
    out = tmp_path / name
    run("check", OSTERVIK / "plan.yaml", OSTERVIK / "as-found", "--gate", "annual", "--on", "2026-05-20",
        "--out", out)  # fmt: skip
    text = " ".join(out.read_text(encoding="utf-8").split())

    assert "refused by 94 of 94 devices" in text
    assert "No earlier result was given" in text
    assert "compliant" not in text


def test_drift_at_the_annual_gate_tells_changes(tmp_path: Path) -> None:
    """Against a baseline, with change records."""
    pellmoor = ROOT / "examples/pellmoor"
    out = tmp_path / "r.json"
    run("drift", pellmoor / "baselines/2025.json", pellmoor / "as-found", "--plan", pellmoor / "plan.yaml",
        "--changes", pellmoor / "changes.yaml", "--on", "2026-06-10",
        "--gate", "annual", "--out", out)  # fmt: skip
    changes = json.loads(out.read_text(encoding="utf-8"))["evidence"]["changes"]

    assert changes.startswith("Compared with the baseline of 2025-05-16; change records: ")


def test_the_command_makes_the_verdict_again(tmp_path: Path) -> None:
    """If an audit failed by a lower level than the gate's, its command states that level."""
    waiver = {"id": "W", "rule": "channel-differs", "node": "N-1", "setting": "channel", "value": 9,
              "reason": "r", "owner": "a", "approver": "b", "issued": "2026-04-01",
              "expires": "2026-09-02"}  # fmt: skip
    waivers = tmp_path / "waivers.json"
    waivers.write_text(json.dumps({"asfound": "waivers/1", "waivers": [waiver]}))
    site, out = small_site(tmp_path / "site"), tmp_path / "r.json"
    site_run = run("check", site.plan, *site.readbacks, "--waivers", waivers, "--gate", "annual",
                   "--fail-on", "note", "--on", "2026-05-01", "--quiet", "--out", out)  # fmt: skip
    words = shlex.split(json.loads(out.read_text(encoding="utf-8"))["evidence"]["command"])

    assert site_run.code == 1
    assert run(*words[1:]).code == 1


def test_an_exception_says_from_when_until_when_it_holds(tmp_path: Path) -> None:
    """A waiver that was issued after the reading that it excuses is seen beside that day."""
    waiver = {"id": "W", "rule": "channel-differs", "node": "N-1", "setting": "channel", "value": 9,
              "reason": "r", "owner": "a", "approver": "b", "issued": "2026-04-01",
              "expires": "2026-09-02"}  # fmt: skip
    site = small_site(tmp_path)
    waivers = site.write("waivers.json", {"asfound": "waivers/1", "waivers": [waiver]})
    text = site.check("--waivers", waivers, "--gate", "annual", "--on", "2026-05-01", "--width", "300").stdout

    assert "owner a; approver b; issued 2026-04-01; expires 2026-09-02; compensating measure none" in text


@pytest.mark.parametrize("text", ["20260401T0915", "2026-W14-3", "2026-04-01T09:15"])
def test_the_day_of_a_trial_is_told_as_a_day(text: str, tmp_path: Path) -> None:
    """In whichever form of ISO 8601 a time is written."""
    row = {"default_refused": "yes", "read_by": "R", "read_at": text}
    order = SiteOf(planned={"default_refused": "yes"}, found=row).write(tmp_path)

    evidence = check(replace(order, gate="annual", run_on="2026-05-01")).evidence

    assert evidence is not None
    assert evidence.codes is not None
    assert evidence.codes.by == ["R: 1 device, 2026-04-01"]


def test_trials_without_a_day_are_counted_apart(tmp_path: Path) -> None:
    """The date of one trial of three does not count for the others."""
    row = {"default_refused": "yes", "read_by": "R"}
    evidence = evidence_of(tmp_path, planned=[{}] * 3, found=[{**row, "read_at": "2026-04-01"}, row, row])

    assert evidence.codes is not None
    assert evidence.codes.by == ["R: 3 devices, 2026-04-01, 2 without a date"]
