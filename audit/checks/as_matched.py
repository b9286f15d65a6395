"""What the matching of rows shows about a device's identity: tags and serial numbers other than planned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from functools import cache

from audit.checks.context import Context
from audit.model.finding import Hit, Outcome
from audit.model.identified import Match
from audit.model.site import Block, Target
from audit.pairing.crossed import Crossed, crossed_pairs, in_crossed_pairs
from audit.pairing.identifying import is_another
from audit.reading.dates import made_of
from audit.reading.identifiers import damaged, spelling


def _match_hit(context: Context, match: Match, message: str, others: tuple[str, ...] = ()) -> Hit:
    """Return a hit on the device of a match, with planned and found tag and serial number."""
    block, i = context.site.blocks[match.block], match.index
    planned = f"tag {block.tags[i]}, serial {block.serials[i] or 'not planned'}"
    found = f"tag {match.found_tag or 'not read'}, serial {match.found_serial or 'not read'}"
    field = "serial" if block.serials[i] else "tag"
    places = (match.place, block.planned_place(i, field))
    order = (match.block, i)
    return Hit(block.networks[i], block.tags[i], (), message, planned, found, places, others, order=order)


def units_swapped(context: Context) -> Outcome:
    """Return a hit for each pair of units found under each other's tag."""
    hits = []
    for crossed in crossed_pairs(context.site):
        if not crossed.set_for_tags:
            tag, partner = _names(context, crossed)
            message = (
                f"the units of {tag} and {partner} have been swapped: each was found under the other's tag"
            )
            if not crossed.own and not crossed.others:
                message = (
                    f"{tag} and {partner} were found under each other's tag, and no setting shows whether "
                    "the units, the tags or only the records were swapped"
                )
            hits.append(_match_hit(context, crossed.one, message, (_tag(context, crossed.other),)))
    return Outcome(context.devices_read(), hits)


def serials_swapped(context: Context) -> Outcome:
    """Return a hit for each pair of devices of which only the serial numbers are swapped."""
    hits = []
    for crossed in crossed_pairs(context.site):
        if crossed.set_for_tags:
            tag, partner = _names(context, crossed)
            message = (
                f"the serial numbers of {tag} and {partner} are swapped, and each device is set as planned "
                f"for its tag ({crossed.shown})"
            )
            hits.append(_match_hit(context, crossed.one, message, (_tag(context, crossed.other),)))
    return Outcome(context.devices_read(), hits)


def _names(context: Context, crossed: Crossed) -> list[str]:
    """Return the tags of two devices, with their networks if the tags are the same."""
    tags = [_tag(context, match) for match in (crossed.one, crossed.other)]
    networks = [context.site.blocks[m.block].networks[m.index] for m in (crossed.one, crossed.other)]
    alike = tags[0] == tags[1]
    return [f"{tag} ({network})" if alike else tag for tag, network in zip(tags, networks, strict=True)]


def _tag(context: Context, match: Match) -> str:
    return context.site.planned_tag((match.block, match.index))


def tag_serial(context: Context) -> Outcome:
    """Return a hit for each device that was found with a tag or serial number other than planned."""
    hits = []
    pairs = in_crossed_pairs(context.site)

    @cache
    def owners() -> dict[str, Target]:  # needed only if a serial number is not the planned one
        return {spelling(serial): target for serial, target in context.site.by_serial().items()}

    for match in context.site.matches:
        left_to_others = match.how in ("settings", "corrected") or damaged(match.found_serial)
        if not left_to_others and (match.block, match.index) not in pairs:
            message = _mismatch(context, match, owners)
            if message:
                hits.append(_match_hit(context, match, message))
    return Outcome(context.devices_read(), hits)


def _mismatch(context: Context, match: Match, owners: Callable[[], Mapping[str, Target]]) -> str:
    """Return how tag or serial number differ from the plan, empty if they do not."""
    block = context.site.blocks[match.block]
    tag, serial = block.tags[match.index], block.serials[match.index]
    other_tag = is_another(match.found_tag, tag)
    if is_another(match.found_serial, serial):
        message = f"{tag} is planned with serial {serial} and was found with {match.found_serial}"
        if other_tag and match.how == "address":
            device = f"a device with tag {match.found_tag} and serial {match.found_serial}"
            message = f"{device} was found at the network and address of {tag}, planned with serial {serial}"
        owner = context.site.planned_tag(
            owners().get(spelling(match.found_serial), (match.block, match.index))
        )
        message += f", the serial of {owner}" if owner != tag else ""
        if _was_read(block, match.index, serial):
            message += f"; {serial} was read before: perhaps the unit was replaced"
        return message
    if not other_tag:
        return ""
    if match.how == "address":
        return f"the device at the network and address of {tag} was found with tag {match.found_tag}"
    return f"serial {serial} is planned as {tag} and was found as {match.found_tag}"


def _was_read(block: Block, i: int, serial: str) -> bool:
    """Tell whether some row of a device gives its planned serial number, though a later one counts."""
    return any(spelling(table.texts("serial")[e]) == spelling(serial) for table, e in block.rows[i])


def became_date(context: Context) -> Outcome:
    """Return a hit for each tag or serial number that a spreadsheet turned into a date."""
    hits = []
    for match in context.site.matches:
        block, i = context.site.blocks[match.block], match.index
        for what, found, planned in (
            ("tag", match.found_tag, block.tags[i]),
            ("serial", match.found_serial, block.serials[i]),
        ):
            if made_of(found, planned):
                message = (
                    f"{what} {planned} was found as {found}, the date that a spreadsheet turns it into; "
                    f"paired by {'that date alone' if match.how == 'date' else match.how}"
                )
                hits.append(_match_hit(context, match, message))
    return Outcome(context.devices_read(), hits)


def respelled(context: Context) -> Outcome:
    """Return a hit for each tag or serial number that is spelled differently from the plan."""
    hits = []
    for match in context.site.matches:
        block = context.site.blocks[match.block]
        pairs = ((match.found_tag, block.tags[match.index]), (match.found_serial, block.serials[match.index]))
        changed = [
            f"{found} for {planned}"
            for found, planned in pairs
            if found and planned and found != planned and spelling(found) == spelling(planned)
        ]
        if changed:
            hits.append(
                _match_hit(context, match, f"spelled differently from the plan: {', '.join(changed)}")
            )
    return Outcome(context.devices_read(), hits)


def serial_damaged(context: Context) -> Outcome:
    """Return a hit for each serial number that has lost its digits in a spreadsheet."""
    hits = []
    for match in context.site.matches:
        if damaged(match.found_serial):
            message = (
                f"serial {match.found_serial} has lost its digits in a spreadsheet; paired by {match.how}"
            )
            hits.append(_match_hit(context, match, message))
    return Outcome(context.devices_read(), hits)


def corrected(context: Context) -> Outcome:
    """Return a hit for each tag or serial number that was first another one, and later read as planned."""
    hits = []
    for match in context.site.matches:
        if match.how == "corrected":
            block, i = context.site.blocks[match.block], match.index
            what, first, planned, slip = "serial", match.found_serial, block.serials[i], ", mis-keyed once"
            if not is_another(first, planned):  # a tag may have been put on another device meanwhile
                what, first, planned, slip = "tag", match.found_tag, block.tags[i], ""
            message = f"{what} {first} was read first, and {planned}, as planned, later"
            hits.append(_match_hit(context, match, f"{message}: taken to be one device{slip}"))
    return Outcome(context.devices_read(), hits)


def by_settings(context: Context) -> Outcome:
    """Return a hit for each row that was matched by its settings alone."""
    hits = []
    matches = [match for match in context.site.matches if match.how == "settings"]
    planned = Counter(tag for block in context.site.blocks if matches for tag in block.tags)
    for match in matches:
        tag = _tag(context, match)
        message = f"this row has no planned tag or serial number; by its settings it is {tag}"
        if match.found_tag:
            message = f"tag {match.found_tag!r} is not planned; by its settings this row is {tag}"
        if planned[match.found_tag] > 1:
            message = f"tag {match.found_tag} is planned more than once; by its settings this row is {tag}"
        elif planned[match.found_tag]:
            message = (
                f"another row has the serial number of {match.found_tag}, and this row has its tag and no "
                f"serial number; by its settings this row is {tag}"
            )
        hits.append(_match_hit(context, match, message))
    return Outcome(context.devices_read(), hits)
