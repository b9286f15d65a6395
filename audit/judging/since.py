"""Since: how the findings of a run compare with those of an earlier one."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Sequence

from audit.checking import LACKING
from audit.checks.access_code import FACTORY_CODE
from audit.checks.apart import is_apart
from audit.checks.before_set import TOO_EARLY, last_said
from audit.checks.code_marks import OF_MARKS
from audit.checks.context import codes_read, is_factory, refusals
from audit.grouping import grouped
from audit.judging.held_against import changed_since, rules_of_new
from audit.model.finding_names import under_names
from audit.model.result import Finding, Result, Since
from audit.model.roles import EXCUSING_ROLES
from audit.model.rule import Rule
from audit.model.site import Block, Site
from audit.reading.code_marks import CODE_MARKS
from audit.reading.files import FileBytes
from audit.reading.moments import is_later
from audit.reading.readback import GATEWAY_LIST
from audit.texts import field_of

READINGS = ("readback", GATEWAY_LIST)
"""Kinds of inputs that say what was found."""
NOT_READ = frozenset({
    "node-not-read", "gateway-not-read", "setting-not-read", "critical-setting-not-read", "much-not-read",
    "not-read-on-many-nodes", "default-code-not-tried", "baseline-setting-not-read", "node-gone",
    "reading-unclear",
})  # fmt: skip
"""Rules that report something as not read; what is unclear counts as such."""
OF_A_VISIT = frozenset({"device-change-pending", "record-not-borne-out"})
"""Rules whose findings about a device only a visit ends, even where they quote no reading."""
IDENTIFYING = ("serial", "tag", "network", "type")
"""Fields that a finding without a setting may rest on; the first of them in its evidence is looked at."""
_NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")
Devices = dict[str, list[tuple[Block, int]]]
"""Tag → the planned devices with this tag, one in each network that has it."""


def compare(
    result: Result, earlier: Result, file: FileBytes, site: Site, book: Sequence[Rule] = ()
) -> Result:
    """Return a result with its findings marked as new, unchanged or updated, and with those that are gone.

    Findings are identified by their id, which does not depend on rows or on other findings; a device that now
    has another network or tag is known by its serial number. A finding is gone only if what it is about was
    looked at in this run, by its rules in `book`: if one is for numbers side by side, they were.
    """
    then = _under_new_names(earlier, site)
    before = {finding.id: finding for finding in then}
    same_words = (result.tool, result.packs) == (earlier.tool, earlier.packs)
    marked = [
        finding.model_copy(update={"since": _state(finding, before.get(finding.id), same_words=same_words)})
        for finding in result.findings
    ]
    now = {finding.id for finding in marked}
    idle = idle_rules(result)
    readings = {given.file for given in earlier.inputs if given.kind in READINGS}
    by_id = {rule.id: rule for rule in book}
    devices = grouped((tag, (block, i)) for block in site.blocks for i, tag in enumerate(block.tags))
    not_sampled = {(network, tag) for network, tags in result.not_sampled for tag in tags}
    absent: dict[bool, list[Finding]] = {True: [], False: []}
    for finding in then:
        if finding.id not in now:
            rules = rules_behind(finding)
            if any(place.file in readings for place in finding.evidence):
                seen = _looked_at(finding, devices, site, [by_id[name] for name in rules & by_id.keys()])
            else:
                left_out = not_sampled & {(finding.network, tag) for tag in (finding.node, *finding.others)}
                seen = not (left_out and rests_on_readings(finding, readings))
            absent[seen and not rules & idle].append(finding)
    new = [finding for finding in marked if finding.since == "new"]
    since = Since(file=file.name, sha256=file.sha256, run_on=earlier.run_on, absent=absent[True],
                  not_read_again=absent[False],
                  changed=changed_since(result, earlier, absent[True]),
                  rules_of_new=rules_of_new(result, earlier, new))  # fmt: skip
    return result.model_copy(update={"findings": marked, "since": since})


def idle_rules(result: Result) -> set[str]:
    """Return the rules that looked at nothing, for want of an input or of what they calculate with."""
    idle = {rule.rule for rule in result.not_checked if rule.reason.startswith(("needs ", LACKING))}
    with_marks = any(given.kind == CODE_MARKS for given in result.inputs)
    return idle if with_marks else idle | set(OF_MARKS)


def rules_behind(finding: Finding) -> set[str]:
    """Return the rule of a finding, and if it is about many devices also those of the findings under it."""
    return {finding.rule, *(name.split("/")[0] for name in finding.dependents if not finding.node)}


def rests_on_readings(finding: Finding, readings: Collection[str]) -> bool:
    """Tell whether only a readback can show that a finding is gone; the plan and waivers are always read."""
    if finding.about_a_waiver:
        return False
    return (
        finding.rule in NOT_READ
        or (bool(finding.node) and finding.rule in OF_A_VISIT)
        or not finding.evidence
        or any(place.file in readings for place in finding.evidence)
    )


def shared_serials(result: Result) -> set[str]:
    """Return the serial numbers that are in a result's plan twice, such as TBC: they identify no device."""
    return {
        finding.serial for finding in result.findings if finding.rule == "serial-duplicate" and finding.serial
    }


def _under_new_names(earlier: Result, site: Site) -> list[Finding]:
    """Return findings with the network, tag and id that their devices have now: a new name ends no finding.

    Only if the plan has no device of the old name and one with that serial number, which was unique then.
    """
    named: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for block in site.blocks:
        for serial, network, tag in zip(block.serials, block.networks, block.tags, strict=True):
            named[serial].append((network, tag))
    planned = {name for names in named.values() for name in names}
    twice = shared_serials(earlier)
    return [
        _under_new_name(finding, planned, named.get(finding.serial, []))
        if finding.serial and finding.serial not in twice
        else finding
        for finding in earlier.findings
    ]


def _under_new_name(
    finding: Finding, planned: set[tuple[str, str]], names: Sequence[tuple[str, str]]
) -> Finding:
    old = (finding.network or "", finding.node or "")
    if not all(old) or old in planned or len(names) != 1:
        return finding
    network, node = names[0]
    own = under_names(finding.id, old, names[0])
    return finding.model_copy(update={"network": network, "node": node, "id": own})


def _looked_at(finding: Finding, devices: Devices, site: Site, rules: Sequence[Rule]) -> bool:
    """Tell whether everything that a finding of an earlier readback is about was read in this one.

    `rules` are its own and, where it is about a network, those of the findings under it.
    """
    if finding.about_a_waiver:  # no reading shows it
        return True
    named = [at for tag in (finding.node, *finding.others) for at in _of(tag, finding.network, devices)]
    if named:
        field = None if finding.settings else rests_on(finding)
        filled_in = field in (None, "tag") or any(field_of(block, i, field) for block, i in named)
        was_read = filled_in and all(
            _was_read(block, i, rested_on(finding)) or _factory_code_gone(finding, block, i)
            for block, i in named
        )
        if any(is_apart(rule, block, i) for rule in rules for block, i in named):
            return False
        return was_read and (
            finding.rule != TOO_EARLY or all(_read_since(finding, block, i) for block, i in named)
        )
    if finding.node:  # a device that is not in the plan can be anywhere in its network, or in any of them
        return _all_seen(finding.network, site)
    read = {network for block in site.blocks for network in block.networks_read()}
    return finding.network in read if finding.network else bool(read)


def _read_since(finding: Finding, block: Block, i: int) -> bool:
    """Tell whether a device that was read too early was read later, or says again when it was set."""
    read = last_said(block, i, "read_at")
    return bool(field_of(block, i, "configured_at")) or bool(
        read and finding.found and is_later(read.text, finding.found)
    )


def _factory_code_gone(finding: Finding, block: Block, i: int) -> bool:
    """Tell whether a device refuses the factory code now, or an export has another one: either shows it."""
    if finding.rule != FACTORY_CODE:
        return False
    return bool(refusals(block, i)) or any(
        setting.default is not None and not is_factory(its, setting) for its, setting in codes_read(block, i)
    )


def _all_seen(network: str | None, site: Site) -> bool:
    """Tell whether every planned node of a network, or of all, was read or is in a gateway's list."""
    nodes = [block for block in site.blocks if not block.gateway]
    unseen = {block.networks[i] for block in nodes for i in block.unread() if i not in block.listed}
    return network not in unseen if network else not unseen


def rested_on(finding: Finding) -> list[str]:
    """Return the settings that a finding rests on: not those named beside them that were not read then.

    An alarm that is not set, or the end of a range that is taken as planned, says nothing this time too.
    """
    unread = (finding.found or "").split(", ")
    return [name for name in finding.settings if f"{name} not read" not in unread] or finding.settings


def rests_on(finding: Finding) -> str | None:
    """Return the field that a finding without a setting rests on; a tag mostly only names the device."""
    return next((place.heading for place in finding.evidence if place.heading in IDENTIFYING), None)


def _of(tag: str | None, network: str | None, devices: Devices) -> list[tuple[Block, int]]:
    """Return the devices that a finding means by a tag: those in its network, or all if it has none there."""
    named = devices.get(tag or "", [])
    return [(block, i) for block, i in named if block.networks[i] == network] or named


def _was_read(block: Block, i: int, settings: list[str]) -> bool:
    """Tell whether settings of a device were read, and clearly; what only excuses the others may be blank.

    Where nothing excuses them any more, they are a finding again, so a blank hides nothing.
    """
    known = [setting for name in settings if (setting := block.type.setting(name))]
    excused = [setting for setting in known if setting.role not in EXCUSING_ROLES]
    values = [block.value("found", setting.name, i) for setting in excused or known]
    return bool(block.rows_read(i)) if not values else all(value.read for value in values)


def _state(finding: Finding, before: Finding | None, *, same_words: bool) -> str:
    """Compare a finding with the earlier one; another version of the rules may only word it differently."""
    if before is None:
        return "new"
    said = [one.message if same_words else _numbers(one.message) for one in (finding, before)]
    compared = ("level", "planned", "found", "waived")
    same = said[0] == said[1] and all(getattr(finding, name) == getattr(before, name) for name in compared)
    return "unchanged" if same else "updated"


def _numbers(message: str) -> list[str]:
    """Return the numbers in a message, without the separators that another version may not have written."""
    return sorted(number.replace(",", "") for number in _NUMBER.findall(message))
