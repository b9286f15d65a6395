"""unique: no two devices of a network, or of the site, have the same value."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from audit.checks.context import Context, hit
from audit.grouping import grouped
from audit.model.asked_of_values import Unique
from audit.model.finding import STRANGERS, Hit, Outcome
from audit.model.rows import Rows
from audit.model.site import Block
from audit.model.table import Place
from audit.pairing.claiming import is_outdated
from audit.reading.identifiers import damaged

FEW = 4
"""From this many holders on, a message only counts them."""
STRANGE = " (not in the plan)"
"""Follows the name of a device that is not in the plan."""
Holder = tuple[int, int, str]
"""Block, index and setting of a device that has a value; block -1: index of a stranger."""


def run(context: Context, args: Unique) -> Outcome:
    """Return one hit for each value held more than once, on a device that should not have it."""
    looked_at = 0
    hits: list[Hit] = []
    for side in context.sides():
        keys = _keys(context, args, side)
        looked_at += sum(map(len, keys))
        if all(len(set(of_scope)) == len(of_scope) for of_scope in keys):  # usual, and quick to see
            continue
        held = grouped(((scope, content), holder) for scope, content, holder in _holders(context, args, side))
        for (_, content), holders in held.items():
            if len(holders) > 1:
                hits.append(_hit(context, args, side, content, holders))
    return Outcome(looked_at, hits)


def _keys(context: Context, args: Unique, side: str) -> list[list[object]]:
    """Return what is held in each scope, at least as often as it is held."""
    keys = grouped((scope, content) for scope, content, _ in _of_strangers(context, args, side))
    for _, block in context.blocks():
        for networks, contents in _contents(block, args, side):
            if args.within == "site":
                keys[""] += [content for content in contents if content not in (None, "")]
                continue
            for network, content in zip(networks, contents, strict=True):
                if content not in (None, ""):
                    keys[network].append(content)
    return list(keys.values())


def _contents(block: Block, args: Unique, side: str) -> Iterator[tuple[Sequence[str], Sequence[object]]]:
    """Yield networks, and beside them what their devices hold; for found fields, one item for each row."""
    if not args.field:
        for setting in block.settings(args.role):
            yield block.networks, [value.content for value in block.values(side, setting.name)]
    elif side == "planned":
        yield block.networks, block.tags if args.field == "tag" else block.serials
    else:
        for group in block.alike:
            networks = list(map(block.networks.__getitem__, group.devices))
            for texts in group.texts(args.field):
                yield networks, list(map(str.strip, texts))


def _holders(context: Context, args: Unique, side: str) -> Iterator[tuple[str, object, Holder]]:
    """Yield what is held: its scope (a network, or blank for the site), its content, and who holds it."""
    for b, block in context.blocks():
        for i, name, content in _held(block, args, side):
            yield _scope(args, block.networks[i]), content, (b, i, name)
    yield from _of_strangers(context, args, side)


def _held(block: Block, args: Unique, side: str) -> Iterator[tuple[int, str, object]]:
    """Yield what the devices of a block hold: the device, the setting (blank for a field), the content."""
    for i in range(len(block)) if args.field else ():
        for text in _names(block, i, args.field, side):
            yield i, "", text
    for setting in [] if args.field else block.settings(args.role):
        for i, value in enumerate(block.values(side, setting.name)):
            if value.read:
                yield i, setting.name, value.content


def _of_strangers(context: Context, args: Unique, side: str) -> Iterator[tuple[str, object, Holder]]:
    """Yield what devices that are not in the plan hold; nothing on the planned side."""
    names = {s.name for _, block in context.blocks() for s in block.settings(args.role)}
    for s, stranger in enumerate(context.site.strangers if side == "found" else ()):
        if args.field:
            text = stranger.tag if args.field == "tag" else stranger.serial
            held: list[tuple[str, object]] = [("", text)] if text else []
        else:
            held = [(name, value.content) for name, value in stranger.found.items()
                    if value.read and name in names]  # fmt: skip
        for name, content in held[:1]:
            yield _scope(args, stranger.network), content, (-1, s, name)


def _scope(args: Unique, network: str) -> str:
    return network if args.within == "network" else ""


def _names(block: Block, i: int, field: str, side: str) -> list[str]:
    """Return the tags or serial numbers of a device on one side; damaged ones say nothing."""
    if side == "planned":
        text = (block.tags if field == "tag" else block.serials)[i]
        return [text] if text else []
    texts = {table.texts(field)[e].strip() for table, e in block.rows[i]}
    if len(texts) > 1:
        texts = _still_held(block.rows[i], field)
    return sorted(text for text in texts if text and not damaged(text))


def _still_held(rows: Rows, field: str) -> set[str]:
    """Return the tags or serial numbers in rows of a device, oldest first, that no later row contradicts."""
    said = [(table.texts(field)[e].strip(), (table, e)) for table, e in rows]
    last = {text: n for n, (text, _) in enumerate(said)}

    def contradicted(n: int) -> bool:
        text, row = said[n]
        return any(other and other != text and is_outdated(field, row, its) for other, its in said[n + 1 :])

    return {text for text, n in last.items() if not contradicted(n)}


def _hit(context: Context, args: Unique, side: str, content: object, holders: list[Holder]) -> Hit:
    """Return the hit on the holders of one content in one scope.

    It names a device that should not hold it. In the plan that may be any, so it is the first one, whatever
    has been read by then.
    """
    planned = side == "planned"
    holders = sorted(holders, key=lambda h: (planned or _as_planned(context, args, h), h[0] < 0, h[:2]))
    b, i, name = holders[0]
    others = [_name(context, holder) for holder in holders[1:]]
    places = [_place(context, args, side, content, holder) for holder in holders]
    what, held_by = name or args.field, _held_by(context, args, content, holders)
    if b < 0:
        its = context.site.strangers[i]
        text = its.found[name].shown if name else str(content)
        return Hit(its.network, its.tag or its.serial, (), f"{what} {text} is {held_by}", found=text,
                   places=tuple(places), others=tuple(others), order=(STRANGERS, i))  # fmt: skip
    block = context.site.blocks[b]
    setting = block.type.setting(name)
    text = block.value(side, name, i).shown if setting else str(content)
    settings, places = ([setting], places[1:]) if setting else ([], places)
    return hit(block, b, i, settings, f"{what} {text} is {held_by}", side, others, places)


def _as_planned(context: Context, args: Unique, holder: Holder) -> bool:
    """Tell whether a holder is planned to hold what it holds."""
    b, i, name = holder
    if b < 0:
        return False
    block = context.site.blocks[b]
    if args.field:
        planned = (block.tags if args.field == "tag" else block.serials)[i]
        return not block.rows or all(
            table.texts(args.field)[e].strip() in ("", planned) for table, e in block.rows[i]
        )
    return block.value("planned", name, i).content == block.value("found", name, i).content


def _name(context: Context, holder: Holder) -> str:
    b, i, _ = holder
    if b >= 0:
        return context.site.blocks[b].tags[i]
    stranger = context.site.strangers[i]
    return f"{stranger.tag or stranger.serial or 'a device without tag'}{STRANGE}"


def _in_network(context: Context, holder: Holder) -> str:
    """Return the name of a device with its network, for names that are used in several."""
    b, i, _ = holder
    network = context.site.blocks[b].networks[i] if b >= 0 else context.site.strangers[i].network
    name = _name(context, holder)
    return f"{name} in {network}" if network else name


def _held_by(context: Context, args: Unique, content: object, holders: Sequence[Holder]) -> str:
    """Return who holds a content: their tags or, if those are the same, what else tells them apart."""
    if len(holders) >= FEW:
        return f"held by {len(holders):,} devices"
    names = [_name(context, holder) for holder in holders]
    if len({holder[:2] for holder in holders}) == 1:
        return f"held twice by {names[0]}: {' and '.join(name for _, _, name in holders)}"
    if args.field != "tag" or sum(name.removesuffix(STRANGE) == content for name in names) < 2:
        alike = Counter(names)
        shown = (_in_network(context, one) if alike[name] > 1 else name
                 for one, name in zip(holders, names, strict=True))  # fmt: skip
        return f"held by {' and '.join(shown)}"
    apart = "; ".join(_apart(context, holder) for holder in holders)
    return f"held {'twice' if len(holders) == 2 else f'{len(holders)} times'}: {apart}"


def _apart(context: Context, holder: Holder) -> str:
    """Return network and serial number of a device, or its location if it has no serial number."""
    b, i, _ = holder
    if b < 0:
        its = context.site.strangers[i]
        parts = [its.network, its.serial and f"serial {its.serial}", STRANGE.strip(" ()")]
    else:
        block = context.site.blocks[b]
        serial, location = block.serials[i], block.locations[i]
        parts = [block.networks[i], f"serial {serial}" if serial else location]
    return ", ".join(part for part in parts if part)


def _place(context: Context, args: Unique, side: str, content: object, holder: Holder) -> Place:
    b, i, name = holder
    name = name or args.field
    if b < 0:
        return context.site.strangers[i].place(name)
    block = context.site.blocks[b]
    if args.field and side == "found":  # the newest of its rows that has the content
        saying = [(table, e) for table, e in block.rows[i] if table.texts(name)[e].strip() == content]
        return saying[-1][0].place(saying[-1][1], name)
    return block.place(side, name, i)
