"""What sealing and verifying print, for a person at a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from audit.model.baseline import BaselineFile
from audit.model.result import Result
from audit.people import same_person
from audit.phrases import as_argument, counted, titled, typed
from audit.reporting.lines import Lines
from audit.reporting.sample_shown import DECISIONS
from audit.reporting.words import again, levels_counted, softened
from audit.sealing.distrust import Distrust, Verified

NOT_RIGHT = (
    "A baseline records what was found and who signed for it. It does not say that what was found is right."
)


def sealed(baseline: BaselineFile, result: Result, file: str, width: int, colour: bool) -> str:
    """Return the report on a baseline that was made from a result and written to a file."""
    lines = Lines(width, colour)
    content = baseline.content
    lines.add(f"SEALED  {file}", "good")
    lines.add(f"{_what(baseline)}, signed for by {content.signed_by}")
    counts = content.counts
    levels = ", ".join(counted(counts[f"{level}s"], level) for level in ("error", "warning", "note"))
    devices = counted(counts["devices"], "device")
    lines.add(
        f"verdict {content.verdict.upper()} at the gate {content.gate.id}: {levels}, "
        f"{counts['waived']:,} waived; {counts['devices_read']:,} of {devices} read",
        indent=2,
        hang=2,
    )
    own = sum(one.devices for one in result.read_by if one.name and same_person(one.name, content.signed_by))
    if own:
        lines.add(f"read by the person who signs: {counted(own, 'device')}", "warning", indent=2, hang=2)
    if result.read_again:
        lines.add(again(result), "warning", indent=2, hang=2)
    if content.gate.lowered:
        lines.add(softened(content.gate), "warning", indent=2, hang=2)
    if content.sample:
        left = content.sample.not_sampled
        nothing = f": it holds nothing on {counted(left, 'node')} outside the sample" if left else ""
        lines.add(
            f"made from a sample ({DECISIONS[content.sample.decision]}){nothing}",
            indent=2,
            hang=2,
        )
    lines.add("SHA-256 of its content:", indent=2)
    lines.block(baseline.sha256, 4)
    if content.previous:
        lines.add("follows the baseline with the SHA-256", indent=2)
        lines.block(content.previous, 4)
    else:
        lines.add("the first of its chain", indent=2)
    _signature(lines, baseline)
    lines.add(NOT_RIGHT, indent=2)
    next_ = typed("asfound", "seal", "--verify", as_argument(file))
    lines.add(f"next: {next_}", whole=next_)
    return lines.text()


def refused(result: Result, width: int, colour: bool) -> str:
    """Return the report on a run that is not sealed because its verdict is FAIL."""
    lines = Lines(width, colour)
    lines.add(f"NOT SEALED  {result.site.name}: the verdict is FAIL", "bad")
    lines.add(
        f"{levels_counted(result.counts)} at the gate {result.gate.id}; nothing was written",
        indent=2,
        hang=2,
    )
    lines.add(f"{NOT_RIGHT} To seal it anyway, with its findings, add --even-failing.", indent=2)
    lines.add("next: `asfound check` with the same files shows what is wrong")
    return lines.text()


def verified(files: Sequence[Verified], width: int, colour: bool, *, keys_given: bool) -> str:
    """Return the report on baselines that were verified: the verdict, then each file."""
    lines = Lines(width, colour)
    bad = sum(bool(one.distrust) for one in files)
    lines.add(_verdict(len(files), bad), "bad" if bad else "good")
    for n, one in enumerate(files, 1):
        lines.add()
        lines.add(f"{n}. {one.name}: {'NOT TO BE TRUSTED' if one.distrust else 'as sealed'}",
                  "error" if one.distrust else "", hang=3)  # fmt: skip
        if one.baseline:
            content = one.baseline.content
            by = f"signed for by {content.signed_by}; verdict {content.verdict.upper()}"
            lines.add(f"{_what(one.baseline)}, {by}", indent=3)
            if content.gate.lowered:
                lines.add(softened(content.gate), indent=3, hang=2)
        for k, reason in enumerate(one.distrust):
            _distrust(lines, one, reason, first=not k)
        if one.baseline and not one.distrust:
            _signature(lines, one.baseline, 3)
            if _has_another_key(one.baseline, files[n - 2].baseline):
                lines.add("another key than that of the baseline before it", "warning", indent=5)
            if one.baseline.signature and not keys_given:
                lines.add("whose key this is was not checked: give --trusted-key", indent=5)
            if len(files) == 1:
                lines.add(_before(one.baseline), indent=3)
    return lines.text()


def _verdict(files: int, bad: int) -> str:
    """Return the verdict on so many baselines, of which some are bad, in words."""
    if files == 1 and bad:
        return "FAIL  the baseline cannot be trusted"
    if files == 1:
        return "PASS  the baseline is as sealed, byte for byte"
    if bad:
        return f"FAIL  {bad:,} of {files:,} baselines cannot be trusted"
    return f"PASS  {files:,} baselines are as sealed, byte for byte, and their chain is unbroken"


def _what(baseline: BaselineFile) -> str:
    site = baseline.content.site
    return f"{titled(site.name, site.plan_revision)}, sealed on {baseline.content.sealed_on}"


def _has_another_key(baseline: BaselineFile, before: BaselineFile | None) -> bool:
    """Tell whether a baseline and the one that it follows are signed with different keys."""
    if before is None or baseline.content.previous != before.sha256:
        return False
    its, earlier = baseline.signature, before.signature
    return bool(its and earlier and its.fingerprint != earlier.fingerprint)


def _before(baseline: BaselineFile) -> str:
    if baseline.content.previous is None:
        return "the first of its chain"
    return "it follows another baseline; give both to have the chain checked"


def _signature(lines: Lines, baseline: BaselineFile, indent: int = 2) -> None:
    if baseline.signature is None:
        lines.add("no signature: anyone who can write the file could have replaced it", indent=indent, hang=2)
        return
    lines.add("Ed25519 signature by the key with the SHA-256 fingerprint", indent=indent)
    lines.block(baseline.signature.fingerprint, indent + 2)


def _distrust(lines: Lines, one: Verified, reason: Distrust, *, first: bool) -> None:
    byte = reason.offset + 1  # counted from 1, as `cmp` does and as lines and columns are
    where = f"{one.name} line {reason.line} column {reason.column} (byte {byte:,})"
    lines.add(f"{'first doubt' if first else 'also'}: {where}: {reason.message}", indent=3, hang=2)
    if reason.stands:
        lines.add(f"found: {reason.stands}", indent=5, hang=2)
    if reason.expected:
        lines.add(f"expected: {reason.expected}", indent=5, hang=2)
