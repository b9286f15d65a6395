"""Access codes that were exported: compared in memory, and never written anywhere.

Each test puts codes into a site in one way, and looks for them in everything that a run writes.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

import pytest

from audit import run as stages
from audit.model.arguments import Check
from audit.model.role_names import role_arguments
from tests.exported_codes import (
    DIGITS,
    READBACKS,
    WITH_CODES,
    WORD,
    Exported,
    codes_in,
    everything,
    in_a_node,
    in_memory,
    long_csv,
    plain_json,
    result_of,
    site_with_codes,
    wide_csv,
    wide_csv_by_label,
)
from tests.refusing import refusal
from tests.small_site import RADIO, small_site


@pytest.mark.parametrize("exported", READBACKS)
def test_codes_of_a_readback_appear_nowhere(tmp_path: Path, exported: Exported) -> None:
    """No code of a readback appears in any output, or in the objects of the run when they are printed."""
    site = site_with_codes(tmp_path)
    exported(site)

    assert codes_in(everything(site)) == []
    assert codes_in(in_memory(site)) == []


@pytest.mark.parametrize("exported", READBACKS)
def test_a_readback_with_codes_is_a_finding_without_a_digest(tmp_path: Path, exported: Exported) -> None:
    """The file is a finding, and its digest is withheld: ten thousand guesses find four digits."""
    site = site_with_codes(tmp_path)
    file = exported(site)

    rules, digests = result_of(site)

    assert "code-in-clear" in rules
    assert digests[file.name] is None
    assert digests["plan.yaml"] is not None, "the others keep theirs"


def test_a_readback_without_codes_keeps_its_digest(tmp_path: Path) -> None:
    """A column of codes that is blank, or says that they were not read, carries none."""
    site = site_with_codes(tmp_path, found={"N-1": {"access_code": "-"}, "N-2": {"access_code": "not read"}})

    rules, digests = result_of(site)

    assert "code-in-clear" not in rules
    assert digests["found.csv"] is not None


@pytest.mark.parametrize("exported", [wide_csv, wide_csv_by_label, long_csv, plain_json])
def test_codes_that_a_mapping_ignores_leave_no_digest(tmp_path: Path, exported: Exported) -> None:
    """Ignored codes are not compared, but they are in the file all the same."""
    site = site_with_codes(tmp_path)
    file = exported(site)

    result = site.result("--mapping", site.mapping(ignore=["access_code", "Code", "CODE"]))
    noted = {Path(one["file"]).name: (one["sha256"], one["note"]) for one in result["inputs"]}
    assert noted[file.name] == (
        None, "may carry access codes in columns that its mapping ignores, so its digest is withheld",
    )  # fmt: skip


def test_a_mapping_that_ignores_something_else_leaves_the_digest(tmp_path: Path) -> None:
    """Only a column that is headed as codes are may hold them."""
    site = site_with_codes(tmp_path, found={"N-1": {"Remarks": "x"}})

    _, digests = result_of(site, "--mapping", site.mapping(ignore=["Remarks", "*"]))
    assert digests["found.csv"] is not None


# Rules that ask for codes


RULES_ON_CODES: list[dict[str, Any]] = [
    {"kind": "equals-plan", "roles": ["access_code"]},
    {"kind": "equals-plan", "all_but_roles": ["channel"]},
    {"kind": "equals-gateway", "roles": ["access_code"]},
    {"kind": "equals-setting", "pairs": [["access_code", "channel"]]},
    {"kind": "planned-beside", "roles": ["access_code"], "among": "type"},
    {"kind": "swapped-pair", "role": "access_code"},
    {"kind": "unique", "within": "site", "role": "access_code"},
    {"kind": "not-factory-default", "roles": ["access_code"]},
    {"kind": "one-of", "roles": ["access_code"]},
    {"kind": "networks-alike", "roles": ["access_code"]},
    {"kind": "alarm-authority", "what": "live", "role": "access_code"},
    {"kind": "drift", "what": "drift", "roles": ["access_code"]},
    {"kind": "expression", "when": "found.access_code == null", "may_use": ["access_code"]},
    {"kind": "expression", "when": f"found.access_code == '{DIGITS}'", "may_use": ["access_code"]},
]

RULES_ON_NUMBERS: list[dict[str, Any]] = [
    {"kind": "within-one", "role": "access_code"},
    {"kind": "within-limits", "roles": ["access_code"], "limits": "numbers", "low": 1, "high": 9},
    {"kind": "in-order", "roles": ["access_code", "channel"]},
    {"kind": "word-order", "device": "access_code", "host": "channel"},
    {"kind": "no-overlap", "start": "access_code", "count": "access_code"},
    {"kind": "smallest-span", "low": "access_code", "high": "access_code"},
    {"kind": "deadband-workable", "deadband": "access_code", "roles": ["access_code"]},
]


def test_every_kind_of_check_that_names_roles_is_tried_on_codes() -> None:
    """A new check kind that showed a code in a finding would be noticed here."""
    kinds = [kind for kind in get_args(get_args(Check)[0]) if role_arguments(kind)]
    named = {get_args(kind.model_fields["kind"].annotation)[0] for kind in kinds}

    tried = {check["kind"] for check in [*RULES_ON_CODES, *RULES_ON_NUMBERS]}
    assert sorted(named - tried) == [], (
        "add it to RULES_ON_CODES, or to RULES_ON_NUMBERS if it compares numbers"
    )


@pytest.mark.parametrize("check", RULES_ON_CODES, ids=lambda check: str(check["kind"]))
def test_no_rule_can_ask_for_a_code(tmp_path: Path, check: dict[str, Any]) -> None:
    """Whatever a site rule asks of access codes, its findings do not show them."""
    site = in_a_node(tmp_path)
    site.replace("default: '1234'", f"default: {WORD}", "node.yaml")
    wide_csv(site)

    assert codes_in(everything(site, "--rules", site.own_rules(check, sides=["planned", "found"]))) == []


@pytest.mark.parametrize("check", RULES_ON_NUMBERS, ids=lambda check: str(check["kind"]))
def test_a_code_is_not_a_number(tmp_path: Path, check: dict[str, Any]) -> None:
    """Rules that compare numbers are refused for access codes, and the refusal shows none."""
    site = site_with_codes(tmp_path)
    wide_csv(site)

    problems = refusal(site, "--rules", site.own_rules(check)).problems

    assert all("'access_code' is of kind secret, but the check compares numbers" in one for one in problems)
    assert codes_in("".join(problems)) == []


def test_a_setting_that_is_secret_in_one_device_type_is_refused(tmp_path: Path) -> None:
    """A name that one device type calls a text, and another a secret: none of its values is quoted."""
    site = small_site(
        tmp_path, settings=WITH_CODES, gateway_settings=(*RADIO, {"name": "access_code", "kind": "text"})
    )
    wide_csv(site)

    outcome = site.check()

    assert (outcome.code, len(outcome.problems)) == (2, 1)
    assert codes_in(outcome.written) == []


def test_an_internal_fault_shows_no_code(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An internal fault is reported by its kind alone, since its message may quote what was read."""
    site = site_with_codes(tmp_path)
    wide_csv(site)

    def fault(*_: object) -> None:
        raise ValueError(f"cannot make sense of {WORD!r} and {DIGITS!r}")

    monkeypatch.setattr(stages, "pair", fault)
    outcome = site.check()

    assert outcome.code == 2
    assert "ValueError" in outcome.stderr
    assert codes_in(outcome.written) == []


def test_a_rule_that_lists_codes_is_refused(tmp_path: Path) -> None:
    """A file of rules must not hold codes, since `asfound rules` would print them."""
    site = in_a_node(tmp_path)
    outcome = site.check(
        "--rules", site.own_rules({"kind": "one-of", "roles": ["access_code"], "values": ["5521"]})
    )

    assert outcome.code == 2
    assert "a rule must not hold access codes" in outcome.stderr
    assert "5521" not in outcome.stderr
