"""What findings are held against, plan, device types and rules, if it is not as in an earlier result."""

from __future__ import annotations

from collections.abc import Sequence

from audit.model.result import Finding, Result
from audit.reading.rules import packs_with

RULES = "site rules"
HELD_AGAINST = ("plan", "device type", "shared settings", "node table", RULES)
"""Kinds of inputs that say what should have been found."""


def changed_since(result: Result, earlier: Result, gone: Sequence[Finding]) -> list[str]:
    """Return what findings are held against that is not as in an earlier result, of which some are `gone`."""
    return [*_files(result, earlier), *filter(None, [our_rules_changed(result, earlier, gone)])]


def _files(result: Result, earlier: Result) -> list[str]:
    """Return the files of the plan's side whose content no file of an earlier result had.

    If the earlier result withheld the digest of one, nothing is known of that file. Site rules that are not
    given any more are named as well, since the plan need not have changed for that.
    """
    known = {given.sha256 for given in earlier.inputs}
    withheld = {given.file for given in earlier.inputs if given.sha256 is None}
    new = [
        given.file for given in result.inputs
        if given.kind in HELD_AGAINST and given.sha256 and not {given.sha256, given.file} & (known | withheld)
    ]  # fmt: skip
    now = {text for given in result.inputs for text in (given.file, given.sha256)}
    gone = [given for given in earlier.inputs if given.kind == RULES and not {given.file, given.sha256} & now]
    return [*new, *(f"{given.file} (not given now)" for given in gone)]


def our_rules_changed(result: Result, earlier: Result, findings: Sequence[Finding]) -> str:
    """Return our packs that have changed, in one text: those that findings, gone or new, may have been in."""
    own = {given.sha256 for given in (*result.inputs, *earlier.inputs) if given.kind == RULES}
    now = {pack.pack: pack.sha256 for pack in result.packs if pack.sha256 not in own}
    changed = {
        pack.pack for pack in earlier.packs
        if pack.sha256 not in own and now.get(pack.pack, pack.sha256) != pack.sha256
    }  # fmt: skip
    may_be_in = changed & {name for finding in findings for name in packs_with(finding.rule) or changed}
    return f"asfound's rules ({', '.join(sorted(may_be_in))})" if may_be_in else ""
