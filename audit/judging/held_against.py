"""What findings are held against, plan, device types and rules, if it is not as in an earlier result."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from audit.model.result import Finding, Result
from audit.reading.rules import packs_with

RULES = "site rules"
HELD_AGAINST = ("plan", "device type", "shared settings", "node table", RULES)
"""Kinds of inputs that say what should have been found."""


def changed_since(result: Result, earlier: Result, gone: Sequence[Finding]) -> list[str]:
    """Return what findings are held against that is not as in an earlier result, of which some are `gone`."""
    changed = _changed_packs(result, earlier)
    may_be_in = changed & {name for finding in gone for name in packs_with(finding.rule) or changed}
    return [*_files(result, earlier), *([_told(may_be_in)] if may_be_in else [])]


def rules_of_new(result: Result, earlier: Result, new: Sequence[Finding]) -> str | None:
    """Return our packs that have changed or are new, in one text: those that new findings are in; or None."""
    changed = _changed_packs(result, earlier) | {one.pack for one in result.packs} - {
        one.pack for one in earlier.packs
    }
    are_in = changed & {name for finding in new for name in packs_with(finding.rule)}
    return _told(are_in) if are_in else None


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


def _changed_packs(result: Result, earlier: Result) -> set[str]:
    """Return the names of our packs that both results used, and whose content is not the same."""
    own = {given.sha256 for given in (*result.inputs, *earlier.inputs) if given.kind == RULES}
    now = {pack.pack: pack.sha256 for pack in result.packs if pack.sha256 not in own}
    return {
        pack.pack for pack in earlier.packs
        if pack.sha256 not in own and now.get(pack.pack, pack.sha256) != pack.sha256
    }  # fmt: skip


def _told(packs: Collection[str]) -> str:
    return f"asfound's rules ({', '.join(sorted(packs))})"
