"""Sites with access codes: ways in which codes get into files, and everything that a run writes."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from audit import run as stages
from audit.pairing.pair import pair
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from audit.reading.readback import read_readback
from tests.small_site import (
    ACCESS_CODE,
    DEFAULT_REFUSED,
    DEFAULTS,
    GATEWAY,
    NAME,
    RADIO,
    SETTINGS,
    SmallSite,
    as_csv,
    as_planned,
    as_xlsx,
    node,
    small_site,
)

WORD, DIGITS = "Zq7!vK", "8068"
"""Two codes that occur nowhere else."""

WITH_CODES = (*SETTINGS, ACCESS_CODE, DEFAULT_REFUSED)

Exported = Callable[[SmallSite], Path]
"""Puts codes into a file of the site and returns the file that carries them."""


def site_with_codes(folder: Path, **parts: Any) -> SmallSite:
    """Return a small site whose devices have an access code."""
    return small_site(folder, settings=WITH_CODES, gateway_settings=(*RADIO, ACCESS_CODE), **parts)


def everything(site: SmallSite, *arguments: str | Path) -> str:
    """Return everything that runs on a site write: text in several forms, errors, the JSON result."""
    out = site.folder / "written" / "result.json"
    out.parent.mkdir(exist_ok=True)
    gate = ("--gate", "annual") if site.readbacks else ()
    outcomes = [
        site.check("--out", out, *arguments),
        site.check("--all", "--color", "always", "--width", "140", *arguments),
        site.check(*gate, "--fail-on", "note", "--width", "40", *arguments),
    ]
    assert {outcome.code for outcome in outcomes} <= {0, 1}, outcomes[0].stderr
    return "".join(outcome.written for outcome in outcomes) + out.read_text(encoding="utf-8")


def in_memory(site: SmallSite, mapping: Path | None = None) -> str:
    """Return what the objects of a run show when printed: tables, the paired site and all values in it."""
    inputs = Inputs()
    plan = read_plan(site.plan, inputs)
    tables = read_readback(site.readbacks, mapping, stages.readback_words(plan), [NAME], inputs)
    return repr((tables, pair(plan, tables), inputs))


def codes_in(text: str) -> list[str]:
    """Return the codes that occur in a text, in capitals or small letters.

    Digests, memory addresses and numbered test folders are left out: they contain digits at random.
    """
    text = re.sub(r"[0-9a-f]{64}|0x[0-9a-f]+|/[^ :'\"]*/pytest-[^ :'\"]*/", "", text)
    return [code for code in (WORD, DIGITS) if code.casefold() in text.casefold()]


def result_of(site: SmallSite, *arguments: str | Path) -> tuple[list[str], dict[str, Any]]:
    """Return the rules that found something, and file name → digest of the inputs."""
    result = site.result(*arguments)
    digests = {Path(file["file"]).name: file["sha256"] for file in result["inputs"]}
    return [finding["rule"] for finding in result["findings"]], digests


# Codes in a readback


def with_code(code: str, heading: str = "access_code") -> list[dict[str, str]]:
    """Return the rows of a readback in which N-1 and N-2 show codes."""
    return as_planned(found={"N-1": {heading: code}, "N-2": {heading: DIGITS}})


def wide_csv(site: SmallSite) -> Path:
    """Write a column of codes, headed with the setting's name."""
    return site.read("codes.csv", as_csv(with_code(WORD))).readbacks[0]


def wide_csv_by_label(site: SmallSite) -> Path:
    """Write a column of codes, headed with its label on the device, with semicolons between the cells."""
    return site.read("codes.csv", as_csv(with_code(WORD, "Code"), ";")).readbacks[0]


def long_csv(site: SmallSite) -> Path:
    """Write codes among the values of a long table."""
    text = f"tag,setting,value\nN-1,access_code,{WORD}\nN-2,CODE,{DIGITS}\nN-3,channel,7\n"
    return site.read("codes.csv", text).readbacks[0]


def long_csv_with_units(site: SmallSite) -> Path:
    """Write codes into a long table that states a unit beside every value."""
    return site.read("codes.csv", f"tag,setting,value,unit\nN-1,access_code,{WORD},kPa\n").readbacks[0]


def workbook(site: SmallSite) -> Path:
    """Write codes into a workbook, one as text and one as a number."""
    rows = [("tag", "access_code"), ("N-1", WORD), ("N-2", int(DIGITS))]
    return site.read("codes.xlsx", as_xlsx({"Export": rows})).readbacks[0]


def devices(*codes: object) -> list[dict[str, Any]]:
    """Return devices in the tool's own form, each with a code."""
    return [{"tag": f"N-{n}", "settings": {"access_code": code}} for n, code in enumerate(codes, 1)]


def own_json(site: SmallSite) -> Path:
    """Write the tool's own form in JSON, one code as text and one as a number."""
    data = {"asfound": "readback/1", "site": NAME, "devices": devices(WORD, int(DIGITS))}
    return site.read("codes.json", data).readbacks[0]


def own_yaml(site: SmallSite) -> Path:
    """Write the tool's own form in YAML."""
    data = {"asfound": "readback/1", "site": NAME, "devices": devices(WORD, int(DIGITS))}
    return site.read("codes.yaml", data).readbacks[0]


def plain_json(site: SmallSite) -> Path:
    """Write a list of records as another program may export it."""
    records = [{"tag": "N-1", "access_code": WORD}, {"tag": "N-2", "access_code": int(DIGITS)}]
    return site.read("codes.json", json.dumps(records)).readbacks[0]


def strangers(site: SmallSite) -> Path:
    """Write the code of a device that is not in the plan."""
    rows = [*as_planned(), {"tag": "X-8", "serial": "800001", "access_code": WORD}]
    return site.read("codes.csv", as_csv(rows)).readbacks[0]


def read_twice(site: SmallSite) -> Path:
    """Write two readings of one device that disagree about its code."""
    rows = [*with_code(WORD), {"tag": "N-1", "serial": "100001", "access_code": DIGITS}]
    return site.read("codes.csv", as_csv(rows)).readbacks[0]


def unclear_around(site: SmallSite) -> Path:
    """Write codes into rows in which other readings make no sense."""
    rows = as_planned(found={"N-1": {"access_code": WORD, "channel": "seven", "range_high": "1,0"},
                             "N-2": {"access_code": DIGITS, "high_alarm": "2026-03-04"}})  # fmt: skip
    return site.read("codes.csv", as_csv(rows)).readbacks[0]


READBACKS: list[Exported] = [
    wide_csv, wide_csv_by_label, long_csv, long_csv_with_units, workbook, own_json, own_yaml, plain_json,
    strangers, read_twice, unclear_around,
]  # fmt: skip


# Codes in a plan


def in_a_node(folder: Path) -> SmallSite:
    """Plan a separate code for each of two nodes."""
    return site_with_codes(folder, nodes=[node(1, access_code=WORD), node(2, access_code=DIGITS), node(3)])


def in_the_gateway(folder: Path) -> SmallSite:
    """Plan a code for the gateway."""
    return site_with_codes(
        folder, gateway={**GATEWAY, "settings": {**GATEWAY["settings"], "access_code": WORD}}
    )


def in_the_network(folder: Path) -> SmallSite:
    """Plan one code for the nodes of a network."""
    return site_with_codes(folder, defaults={**DEFAULTS, "access_code": WORD})


def in_the_site(folder: Path) -> SmallSite:
    """Plan one code for all nodes of the site."""
    return site_with_codes(folder, plan_extra={"defaults": {"access_code": WORD}})


def in_some_nodes_and_the_site(folder: Path) -> SmallSite:
    """Plan a code of its own for one node, and the site's code for the others."""
    return site_with_codes(
        folder,
        nodes=[node(1, access_code=DIGITS), node(2), node(3)],
        plan_extra={"defaults": {"access_code": WORD}},
    )


def in_a_node_table(folder: Path) -> SmallSite:
    """Plan codes in a table of nodes."""
    site = site_with_codes(folder, nodes=[], network_extra={"node_tables": [{"file": "nodes.csv"}]})
    site.write("nodes.csv", f"tag,serial,address,access_code\nN-1,100001,11,{WORD}\nN-2,100002,12,{DIGITS}\n")
    return site


PLANS = [in_a_node, in_the_gateway, in_the_network, in_the_site, in_some_nodes_and_the_site, in_a_node_table]

Planned = Callable[[Path], SmallSite]
