"""identity: a device is the one that it is taken for."""

from __future__ import annotations

from collections.abc import Callable

from audit.checks.context import Context, hit
from audit.model.arguments import Identity
from audit.model.finding import Hit, Outcome
from audit.model.site import Block, Match
from audit.reading.values import bare, damaged


def run(context: Context, args: Identity) -> Outcome:
    """Return the hits of one aspect of identity."""
    if not context.site.readback:
        return Outcome(0, [])
    return ASPECTS[args.what](context)


def _read(context: Context) -> int:
    return sum(sum(map(bool, block.rows)) for block in context.site.blocks)


def _match_hit(
    block: Block, match: Match, message: str, others: tuple[str, ...] = (), found: str = ""
) -> Hit:
    place = block.planned_place(match.index, "serial" if match.place.heading == "serial" else "tag")
    return Hit(block.networks[match.index], block.tags[match.index], (), message,
               planned=f"tag {block.tags[match.index]}, serial {block.serials[match.index] or 'not planned'}",
               found=found or f"tag {match.found_tag or 'not read'}, serial {match.found_serial or 'not read'}",
               places=(match.place, place), others=others, order=(match.block, match.index))  # fmt: skip


def _swaps(context: Context) -> dict[tuple[int, int], Match]:
    """Return device → its match, for pairs of devices that carry each other's tag or serial."""
    blocks = context.site.blocks
    claims = {}
    for match in context.site.matches:
        block = blocks[match.block]
        mine = (block.tags[match.index], block.serials[match.index])
        claims[mine] = match
    by_tag = {tag: match for (tag, _), match in claims.items()}
    swapped = {}
    for match in context.site.matches:
        block = blocks[match.block]
        other = by_tag.get(match.found_tag) if match.how == "serial" else None
        if other and other is not match and other.found_tag == block.tags[match.index]:
            swapped[match.block, match.index] = match
    by_serial = {serial: match for (_, serial), match in claims.items() if serial}
    for match in context.site.matches:
        block = blocks[match.block]
        other = by_serial.get(match.found_serial) if match.how == "tag" else None
        if other and other is not match and other.found_serial == block.serials[match.index]:
            swapped[match.block, match.index] = match
    return swapped


def _units_swapped(context: Context) -> Outcome:
    hits, done = [], set()
    for (b, i), match in _swaps(context).items():
        block = context.site.blocks[b]
        partner = match.found_tag
        if match.how == "tag":
            partner = next(
                x.tags[j]
                for x in context.site.blocks
                for j in range(len(x))
                if x.serials[j] == match.found_serial
            )
        if frozenset((block.tags[i], partner)) in done:
            continue
        done.add(frozenset((block.tags[i], partner)))
        message = f"the units of {block.tags[i]} and {partner} have changed places: each stands under the other's tag"
        hits.append(_match_hit(block, match, message, (partner,)))
    return Outcome(_read(context), hits)


def _tag_serial(context: Context) -> Outcome:
    hits = []
    swapped = _swaps(context)
    for match in context.site.matches:
        block = context.site.blocks[match.block]
        tag, serial = block.tags[match.index], block.serials[match.index]
        if (match.block, match.index) in swapped or damaged(match.found_serial) or match.how == "settings":
            continue
        if match.how == "serial":
            message = f"serial {serial} is planned as {tag} and was found as {match.found_tag}"
        elif match.found_serial and serial and match.found_serial != serial:
            message = f"{tag} is planned with serial {serial} and was found with {match.found_serial}"
        elif match.found_tag and match.found_tag != tag:
            message = f"the device at the network and address of {tag} was found with tag {match.found_tag}"
        else:
            continue
        hits.append(_match_hit(block, match, message))
    return Outcome(_read(context), hits)


def _serial_damaged(context: Context) -> Outcome:
    hits, looked_at = [], 0
    for match in context.site.matches:
        looked_at += 1
        if damaged(match.found_serial):
            block = context.site.blocks[match.block]
            message = (
                f"serial {match.found_serial} has lost its digits in a spreadsheet; paired by {match.how}"
            )
            hits.append(_match_hit(block, match, message))
    return Outcome(max(looked_at, _read(context)), hits)


def _by_settings(context: Context) -> Outcome:
    hits = [
        _match_hit(context.site.blocks[m.block], m,
                   f"neither tag nor serial says which device this row is; by its settings it is {context.site.blocks[m.block].tags[m.index]}")
        for m in context.site.matches if m.how == "settings"
    ]  # fmt: skip
    return Outcome(_read(context), hits)


def _unplanned(context: Context) -> Outcome:
    hits = []
    for s, stranger in enumerate(context.site.strangers):
        name = " ".join(
            filter(
                None,
                (
                    stranger.tag and f"tag {stranger.tag}",
                    stranger.serial and f"serial {stranger.serial}",
                ),
            )
        )
        field = "tag" if stranger.tag else "serial"
        message = f"a device was found that is not in the plan: {name or 'without tag and serial'}"
        hits.append(Hit(stranger.network, stranger.tag or stranger.serial, (), message, found=name,
                        places=(stranger.place(field),), order=(10**9, s)))  # fmt: skip
    return Outcome(_read(context) + len(hits), hits)


def _type_differs(context: Context) -> Outcome:
    looked_at, hits = 0, []
    for b, block in enumerate(context.site.blocks):
        for i, rows in enumerate(block.rows):
            for table, entry in rows[-1:]:
                text = bare(table.texts("type")[entry])
                looked_at += bool(text)
                if text and text.casefold() not in (
                    block.type.name.casefold(),
                    block.type.title.casefold(),
                ):
                    message = f"the device found is a {text!r}, planned is a {block.type.name!r}"
                    hits.append(Hit(block.networks[i], block.tags[i], (), message, planned=block.type.name, found=text,
                                    places=(table.place(entry, "type"), block.planned_place(i, "type")), order=(b, i)))  # fmt: skip
    return Outcome(looked_at, hits)


def _wrong_gateway(context: Context) -> Outcome:
    looked_at, hits = 0, []
    gateways = {network.gateway.tag: network.name for network in context.site.plan.networks}
    gateways |= {network.name: network.name for network in context.site.plan.networks}
    for b, block, _, setting, column in context.columns(["joined_gateway"]):
        for i, value in enumerate(column):
            if value.read:
                looked_at += 1
                joined = gateways.get(str(value.content))
                if joined != block.networks[i]:
                    where = f"the gateway of {joined}" if joined else "a gateway that is not in the plan"
                    message = f"the node has joined {value.content}, {where}; planned is {block.networks[i]}"
                    hits.append(hit(block, b, i, [setting], message))
    return Outcome(looked_at, hits)


ASPECTS: dict[str, Callable[[Context], Outcome]] = {
    "tag-serial-mismatch": _tag_serial,
    "units-swapped": _units_swapped,
    "unplanned": _unplanned,
    "type-differs": _type_differs,
    "serial-damaged": _serial_damaged,
    "wrong-gateway": _wrong_gateway,
    "matched-by-settings": _by_settings,
}
