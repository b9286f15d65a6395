"""access-code: the factory code is gone, and the new one is not trivial, shared or in clear.

The codes here are invented; the factory default of the test devices is 8205.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.run import Order, run
from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import SiteOf, audit_of, result_of

TRIED, LATER = {"read_at": "2026-04-07"}, {"read_at": "2026-04-08"}

FIRES = [
    fires("default-code-accepted", "tried and accepted", "default_refused", found={"default_refused": "no"},
          says="the factory access code was tried and accepted"),
    fires("default-code-accepted", "an export carries it", "access_code", found={"access_code": "8205"},
          says="the access code is the factory default", secret=True),
    fires("default-code-accepted", "both witnesses are one finding", "access_code",
          found={"access_code": "8205", "default_refused": "no"}, secret=True),
    fires("default-code-accepted", "the record says refused", "access_code",
          found={"access_code": "8205", "default_refused": "yes"}, secret=True,
          says="the access code is the factory default, though the readback says that it was refused",
          at=[("found.csv", 2, "B"), ("found.csv", 2, "C")]),
    fires("default-code-accepted", "an export after it had been refused carries it", "access_code",
          found={"sheet.csv": [TRIED | {"default_refused": "yes"}],
                 "export.csv": [LATER | {"access_code": "8205"}]}, secret=True),
    fires("default-code-accepted", "accepted after an export had carried another code", "default_refused",
          found={"export.csv": [TRIED | {"access_code": "5093"}],
                 "sheet.csv": [LATER | {"default_refused": "no"}]}),
    fires("default-code-accepted", "the plan asks for it", "access_code", side="planned",
          planned={"access_code": "8205"}, secret=True),
    fires("default-code-accepted", "at the gateway", "default_refused", node="GW-North",
          gateway_found={"default_refused": "No"}, found={}),
    fires("default-code-not-tried", "blank", "default_refused", planned=[{}], found=[{"default_refused": ""}],
          gateway_found=None, says="nobody has checked whether the device refuses the factory access code"),
    fires("default-code-not-tried", "said so", "default_refused", found={"default_refused": "not tried"},
          gateway_found=None),
    fires("default-code-not-tried", "no column", "default_refused", found={}, gateway_found=None),
    fires("code-trivial", "four alike", "access_code", found={"access_code": "7777"}, secret=True,
          says="the access code is one of those that anybody tries first"),
    fires("code-trivial", "a factory code that was refused before an export carried it", "access_code",
          settings={"access_code": {"kind": "secret", "default": "0000"}}, secret=True,
          found={"sheet.csv": [TRIED | {"default_refused": "yes"}],
                 "export.csv": [LATER | {"access_code": "0000"}]}),
    fires("code-trivial", "counts down", "access_code", found={"access_code": "4321"}, secret=True),
    fires("code-trivial", "in the plan", "access_code", side="planned", planned={"access_code": "1212"},
          secret=True),
    fires("code-trivial", "counts on from 9 to 0", "access_code", found={"access_code": "1234567890"},
          secret=True),
    fires("code-trivial", "its own tag", "access_code", node="PT-31B", planned={"tag": "PT-31B"},
          found={"tag": "PT-31B", "access_code": "pt31b"}, secret=True),
    fires("code-trivial", "its serial number, as read", "access_code", planned={},
          found={"serial": "SN 617 283", "access_code": "617283"}, secret=True),
    fires("code-trivial", "its planned address, with zeros", "access_code", planned={"address": 73},
          found={"access_code": "0073"}, secret=True),
    fires("code-shared", "two nodes", "access_code", others=["B"], planned=[{}, {}],
          found=[{"access_code": "5093"}, {"access_code": "5093"}],
          says="2 devices have the same access code", secret=True),
    fires("code-shared", "one entry of the vault", "code_reference", others=["B"], planned=[{}, {}],
          found=[{"code_reference": "vault/7"}, {"code_reference": "vault/7"}]),
    fires("code-shared", "a node and a gateway", "access_code", node="GW-North", others=["A"],
          gateway_found={"access_code": "5093"}, found={"access_code": "5093"}, secret=True),
    fires("code-in-clear", "an export", node=None, network=None, planned=[{}, {}],
          found=[{"access_code": "5093"}, {"access_code": "6172"}],
          says="found.csv carries 2 access codes in clear",
          at=[("found.csv", 2, "B")]),
    fires("code-in-clear", "the plan", "access_code", side="planned", planned={"access_code": "5093"},
          says="the plan carries access codes in clear", secret=True),
]  # fmt: skip

SILENT = [
    silent("default-code-accepted", "refused", found={"default_refused": "yes"}),
    silent("default-code-accepted", "refused after an export had carried it",
           found={"export.csv": [TRIED | {"access_code": "8205"}],
                  "sheet.csv": [LATER | {"default_refused": "yes"}]}),
    silent("default-code-accepted", "accepted before an export that carries another code",
           found={"sheet.csv": [TRIED | {"default_refused": "no"}],
                  "export.csv": [LATER | {"access_code": "5093"}]}),
    silent("default-code-accepted", "not tried", found={"default_refused": "not tried"}),
    silent("default-code-accepted", "another code", found={"access_code": "5093", "default_refused": "yes"}),
    silent("default-code-not-tried", "refused", found={"default_refused": "yes"},
           gateway_found={"default_refused": "YES"}),
    silent("default-code-not-tried", "tried, and an answer that nobody understands is another rule's matter",
           found={"default_refused": "y"}, gateway_found={"default_refused": "yes"}),
    silent("default-code-not-tried", "accepted is another rule's matter", found={"default_refused": "no"},
           gateway_found=None),
    silent("default-code-not-tried", "the exported code shows it", found={"access_code": "5093"},
           gateway_found=None),
    silent("default-code-not-tried", "a node that was not read", planned=[{}, {}],
           found=[{"default_refused": "yes"}],
           gateway_found=None),
    silent("code-trivial", "drawn at random", found={"access_code": "5093"}),
    silent("code-trivial", "another node's tag", planned=[{"tag": "PT-5093"}, {"tag": "PT-7"}],
           found=[{"tag": "PT-5093", "access_code": "6172"}, {"tag": "PT-7", "access_code": "5093"}]),
    silent("code-trivial", "the serial number and one more digit", planned={"serial": "61728"},
           found={"access_code": "617283"}),
    silent("code-trivial", "a factory code that was refused after an export had carried it",
           settings={"access_code": {"kind": "secret", "default": "0000"}},
           found={"export.csv": [TRIED | {"access_code": "0000"}],
                  "sheet.csv": [LATER | {"default_refused": "yes"}]}),
    silent("code-shared", "two codes", planned=[{}, {}],
           found=[{"access_code": "5093"}, {"access_code": "6172"}]),
    silent("code-shared", "the factory default is another rule's matter", planned=[{}, {}],
           found=[{"access_code": "8205"}, {"access_code": "8205"}]),
    silent("code-shared", "two entries of the vault", planned=[{}, {}],
           found=[{"code_reference": "vault/7"}, {"code_reference": "vault/8"}]),
    silent("code-in-clear", "blanks", found={"access_code": "n/a"}),
    silent("code-in-clear", "only whether the default is refused", found={"default_refused": "yes"}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A weak code is reported by its device and place, and never by itself."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A code that was changed, is not one of the first guesses and is nobody else's is not reported."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_no_code_is_shown(case: Fires, tmp_path: Path) -> None:
    """No code of any case is anywhere in its findings."""
    shown = "".join(f.model_dump_json() for f in audit_of(tmp_path, **case.site))

    assert not [code for code in ("8205", "7777", "4321", "1212", "5093", "6172") if code in shown]


def test_a_factory_code_of_zeros_is_known_without_quotation_marks(tmp_path: Path) -> None:
    """A device type that says `default: 0000` means those four zeros, and not the number 0."""
    site = SiteOf(
        settings={"access_code": {"kind": "secret", "default": "0000"}}, found={"access_code": "0000"}
    )
    order = site.write(tmp_path)
    text = (tmp_path / "probe.json").read_text().replace('"0000"', "0000")
    (tmp_path / "probe.yaml").write_text(text)
    order.plan.write_text(order.plan.read_text().replace("probe.json", "probe.yaml"))

    findings = run(Order(order.plan, order.readback)).findings

    assert "default-code-accepted" in {f.rule for f in findings}


def test_a_thousand_devices_are_counted_with_a_separator(tmp_path: Path) -> None:
    """As all other counts are."""
    nodes = [{"tag": f"N{n}", "network": f"Net{n // 100}", "code_reference": "vault/1"} for n in range(1000)]

    (shared,) = (f for f in audit_of(tmp_path, planned=nodes, found=nodes) if f.rule == "code-shared")

    assert shared.message == "1,000 devices have the same access code"


@pytest.mark.parametrize("rule", ["default-code-accepted", "code-trivial", "code-shared"])
def test_codes_need_a_readback(rule: str, tmp_path: Path) -> None:
    """No plan should have them, so a plan alone is not told that nothing of this kind was planned."""
    result = result_of(tmp_path, planned={"range_high": 1000})

    assert {one.rule: one.reason for one in result.not_checked}[rule] == "needs a readback"
