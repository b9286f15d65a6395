"""Access codes in files that cannot be read: no error message quotes them.

A code in a place where no code belongs, such as a remark, cannot be recognised; but what is beside the
name of a code, or where the value of one is expected, is never quoted.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.exported_codes import DIGITS, WORD, codes_in, site_with_codes
from tests.small_site import ACCESS_CODE, NAME, SETTINGS, SmallSite, small_site


def assert_kept(site: SmallSite, *arguments: str | Path) -> None:
    """Assert that a site is refused, and that no code appears in the message."""
    outcome = site.check(*arguments)

    assert codes_in(outcome.written) == []
    assert outcome.code == 2


SLIPS = {
    "list": f"access_code: [{WORD}, {DIGITS}]",
    "mapping": f"access_code: {{{WORD}: {DIGITS}}}",
    "quotation mark never closed": f"access_code: '{WORD}",
    "unknown escape": f'access_code: "{WORD}\\!{DIGITS}"',
    "bracket never closed": f"access_code: [{DIGITS}",
    "begins like an alias": f"access_code: *{DIGITS}",
    "begins like a tag": f"access_code: !{DIGITS}",
    "begins like a tag, then more": f"access_code: !word {WORD}",
    "begins like a block": f"access_code: |{DIGITS}",
    "begins with a reserved sign": f"access_code: @{WORD}",
    "two values": f"access_code: {WORD}: {DIGITS}",
    "given twice": f"access_code: {WORD}, access_code: {DIGITS}",
    "no space after the colon": f"access_code:{WORD}",
    "no colon": f"access_code {WORD}",
    "equals sign": f"access_code={WORD}",
    "semicolon": f"access_code;{DIGITS}",
    "misspelt name": f"acess_code: {WORD}",
    "name in capitals, no colon": f"ACCESS_CODE {WORD}",
}
"""What somebody may type where `access_code: 5521` was meant."""

SLIP = pytest.mark.parametrize("text", list(SLIPS.values()), ids=list(SLIPS))


@SLIP
def test_slips_around_a_code_in_a_plan(tmp_path: Path, text: str) -> None:
    """A slip beside a planned code is reported without the code, and never makes the code vanish unseen."""
    assert_kept(site_with_codes(tmp_path).replace("{address: 11}", f"{{address: 11, {text}}}"))


@SLIP
def test_slips_around_a_code_on_a_line_of_its_own(tmp_path: Path, text: str) -> None:
    """The same slips in a plan with a line for each setting, where YAML reads some of them differently."""
    lines = f"\n      address: 11\n      {text}"

    assert codes_in(site_with_codes(tmp_path).replace(" {address: 11}", lines).check().written) == []


@SLIP
def test_slips_around_a_code_in_a_readback(tmp_path: Path, text: str) -> None:
    """A slip beside a code in the tool's own form is reported without the code."""
    device = f"- {{tag: N-1, settings: {{channel: 7, {text}}}}}\n"
    site = site_with_codes(tmp_path).read("r.yaml", f"asfound: readback/1\nsite: {NAME}\ndevices:\n{device}")

    assert_kept(site)


@SLIP
def test_slips_around_a_code_in_an_export(tmp_path: Path, text: str) -> None:
    """A slip beside a code in records of another program is reported without the code."""
    assert_kept(site_with_codes(tmp_path).read("r.yaml", f"- {{tag: N-1, {text}}}\n"))


OWN = f'{{"asfound": "readback/1", "site": "{NAME}", "devices": [{{"tag": "N-1", %s}}]}}'

JSONS = {
    "list": f'[{{"tag": "N-1", "access_code": ["{WORD}"]}}]',
    "code as a key": f'[{{"tag": "N-1", "access_code": {{"{WORD}": true}}}}]',
    "code one level down": f'[{{"tag": "N-1", "access_code": {{"value": "{WORD}"}}}}]',
    "no quotation marks": f'[{{"tag": "N-1", "access_code": {WORD}}}]',
    "quotation mark never closed": f'[{{"tag": "N-1", "access_code": "{WORD}}}]',
    "given twice": f'[{{"tag": "N-1", "access_code": "{WORD}", "access_code": "{DIGITS}"}}]',
    "not a number beside it": f'[{{"tag": "N-1", "access_code": {DIGITS}, "channel": NaN}}]',
    "list of codes": f'{{"access_codes": ["{WORD}", "{DIGITS}"]}}',
    "list of pins": f'{{"pins": [{DIGITS}]}}',
    "own form, list": OWN % f'"settings": {{"access_code": ["{WORD}"]}}',
    "own form, mapping": OWN % f'"settings": {{"access_code": {{"{WORD}": {DIGITS}}}}}',
    "own form, beside the tag": OWN % f'"access_code": "{WORD}"',
    "own form, settings as text": OWN % f'"settings": "access_code={WORD}"',
}


@pytest.mark.parametrize("content", list(JSONS.values()), ids=list(JSONS))
def test_slips_around_a_code_in_json(tmp_path: Path, content: str) -> None:
    """Wrong types and broken JSON around a code are reported without the code."""
    assert_kept(site_with_codes(tmp_path).read("r.json", content))


CSVS = {
    "quotation mark never closed": f'tag,access_code\nN-1,"{WORD}\nN-2,{DIGITS}\n',
    "text behind a quotation mark": f'tag,access_code\nN-1,"{WORD}"{DIGITS}\n',
    "too many cells": f"tag,access_code\nN-1,{WORD},{DIGITS}\n",
    "two columns": f"tag,access_code,CODE\nN-1,{WORD},{DIGITS}\n",
    "misspelt heading": f"tag,acess_code\nN-1,{WORD}\n",
    "no heading": f"tag,,channel\nN-1,{WORD},7\n",
    "NUL byte": f"tag,access_code\nN-1,{WORD}\x00\n",
    "time in another form": f"tag,access_code,read_at\nN-1,{WORD},24.3.26\n",
    "number beyond 64 bits": f"tag,access_code,channel\nN-1,{WORD},99999999999999999999\n",
    "another site": f"tag,access_code,site\nN-1,{WORD},Big Site\n",
    "strangers only": f"tag,access_code\nX-1,{WORD}\nX-2,{DIGITS}\n",
    "very long": f"tag,access_code\nN-1,{WORD}{DIGITS * 50_000}\n",
    "long table, setting and value exchanged": f"tag,setting,value\nN-1,{WORD},access_code\n",
    "long table, both in one cell": f"tag,setting,value\nN-1,access_code {WORD},\n",
    "long table, equals sign": f"tag,setting,value\nN-1,access_code={DIGITS},\n",
    "long table, misspelt setting": f"tag,setting,value\nN-1,acess_code,{WORD}\n",
    "both in the heading": f"tag,access_code={WORD}\nN-1,7\n",
}


@pytest.mark.parametrize("content", list(CSVS.values()), ids=list(CSVS))
def test_slips_around_a_code_in_csv(tmp_path: Path, content: str) -> None:
    """Broken CSV around a code is reported without the code."""
    assert_kept(site_with_codes(tmp_path).read("r.csv", content))


def test_one_row_too_many_skipped(tmp_path: Path) -> None:
    """A mapping that skips the heading row turns codes into headings; the cells are then not quoted."""
    site = site_with_codes(tmp_path).read("r.csv", f"tag,access_code\nN-1,{WORD}\nN-2,{DIGITS}\n")

    assert_kept(site, "--mapping", site.mapping(skip_rows=1))


@pytest.mark.parametrize("heading", [f"PIN {DIGITS}", f"access_code: {WORD}"])
@pytest.mark.parametrize("form", ["wide", "long"])
def test_a_heading_with_a_code_is_not_named_as_known(heading: str, form: str, tmp_path: Path) -> None:
    """If a column is missing, those that are there are listed, except one that may hold a code."""
    site = site_with_codes(tmp_path).read("r.csv", f"tag,channel,{heading}\nN-1,7,\n")

    assert_kept(site, "--mapping", site.mapping(form=form, columns={"Zonk": "channel"}, ignore=[heading]))


@pytest.mark.parametrize("named", ["Zonk", "Code"])
def test_cells_that_were_taken_for_headings_are_not_named_as_known(named: str, tmp_path: Path) -> None:
    """If a mapping skips the heading row, the column that it names is missing, and no codes are listed."""
    site = site_with_codes(tmp_path).read("r.csv", f"tag,{named}\nN-1,{WORD}\nN-2,{DIGITS}\n")

    assert_kept(site, "--mapping", site.mapping(skip_rows=1, columns={named: "access_code"}))


MAPPINGS: list[Any] = [
    pytest.param({"constants": {"access_code": [WORD]}}, id="list as a constant"),
    pytest.param({"constants": {"acess_code": WORD}}, id="misspelt constant"),
    pytest.param({"values": {"access_code": WORD}}, id="code for a translation"),
    pytest.param({"values": {"access_code": {"old": int(DIGITS)}}}, id="number in a translation"),
    pytest.param({"values": {"CODE": {"old": [WORD]}}}, id="list in a translation"),
    pytest.param({"units": {"access_code": int(DIGITS)}}, id="code for a unit"),
]


@pytest.mark.parametrize("keys", MAPPINGS)
def test_slips_around_a_code_in_a_mapping(tmp_path: Path, keys: dict[str, Any]) -> None:
    """Wrong types in a mapping around a code are reported without the code."""
    site = site_with_codes(tmp_path)

    assert_kept(site, "--mapping", site.mapping(**keys))


@pytest.mark.parametrize(
    "keys",
    [
        {"values": {"keypad_word": WORD}},
        {"values": {"keypad_word": {"old": int(DIGITS)}}},
        {"values": {"Passwort": int(DIGITS)}},
    ],
    ids=["code for a translation", "number in a translation", "by its label"],
)
def test_codes_under_any_name(tmp_path: Path, keys: dict[str, Any]) -> None:
    """What the device type calls a secret is one, whatever its name and in whatever language."""
    site = small_site(
        tmp_path, settings=(*SETTINGS, ACCESS_CODE | {"name": "keypad_word", "label": "Passwort"})
    )

    assert_kept(site, "--mapping", site.mapping(**keys))


@pytest.mark.parametrize(
    "slip",
    [
        f"default: [{WORD}]",
        f"default: {{{WORD}: 1}}",
        f"default: '{WORD}",
        f"default: *{DIGITS}",
        f"default:{WORD}",
    ],
    ids=[
        "list",
        "mapping",
        "quotation mark never closed",
        "begins like an alias",
        "no space after the colon",
    ],
)
def test_slips_around_a_factory_code(tmp_path: Path, slip: str) -> None:
    """A slip beside a factory code in a device type is reported without the code."""
    assert_kept(site_with_codes(tmp_path).replace("default: '1234'", slip, "node.yaml"))
