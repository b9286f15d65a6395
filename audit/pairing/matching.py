"""Matching by settings: for rows that neither serial number, tag nor address could identify.

The pairing with the most settings in common overall is a maximum-weight matching; networkx computes it. Only
settings that tell devices apart count, not those that all share.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from audit.model.site import Block, Target
from audit.model.value import BLANK
from audit.pairing.readback_rows import Row
from audit.reading.identifiers import damaged
from audit.reading.meanings import Meanings

LEAST_IN_COMMON = 2
"""Fewest telling settings in common for a match. Judgement."""
MOST_PAIRS = 20_000
"""With more possible pairs than this the readback has too few names to be matched. Judgement."""


def match_by_settings(
    blocks: Sequence[Block], left: Mapping[int, Row], free: Sequence[Target], meanings: Meanings
) -> dict[int, Target]:
    """Return row number → planned device for those of some rows that can be matched by their settings."""
    if not left or not free or len(left) * len(free) > MOST_PAIRS:
        return {}
    import networkx

    telling = [
        [name for name, planned in block.planned.items() if len({value.content for value in planned}) > 1]
        for block in blocks
    ]
    graph: networkx.Graph[tuple[str, object]] = networkx.Graph()
    weights: dict[tuple[int, Target], int] = {}
    for r, row in left.items():
        numbered = row.serial and not damaged(row.serial)
        for target in free:
            b, i = target
            another = numbered and blocks[b].serials[i]  # equal ones have been matched before
            if another or (row.network and blocks[b].networks[i] != row.network):
                continue
            common, compared = _in_common(blocks[b], telling[b], i, row, meanings)
            if common >= LEAST_IN_COMMON and 2 * common > compared:
                graph.add_edge(("row", r), ("device", target), weight=common)
                weights[r, target] = common
    found = networkx.max_weight_matching(graph)
    pairs: dict[int, Target] = {}
    for one, other in found:
        (_, r), (_, target) = sorted((one, other), key=lambda end: end[0], reverse=True)
        pairs[r] = target
    return {r: target for r, target in pairs.items() if not _is_ambiguous(r, pairs, weights)}


def _is_ambiguous(row: int, pairs: Mapping[int, Target], weights: Mapping[tuple[int, Target], int]) -> bool:
    """Tell whether a row fits another device just as well: a free one, or one with which it could swap rows.

    Devices with the same plan cannot be told apart by their settings.
    """
    own = pairs[row]
    row_of = {target: other for other, target in pairs.items()}
    for (one, target), weight in weights.items():
        if one == row and target != own:
            gain, other = weight - weights[row, own], row_of.get(target)
            back = 0 if other is None else weights.get((other, own), -1) - weights[other, target]
            if gain + back >= 0:
                return True
    return False


def _in_common(block: Block, names: Sequence[str], i: int, row: Row, meanings: Meanings) -> tuple[int, int]:
    """Return how many settings are as planned, and how many were compared."""
    common = compared = 0
    for name in names:
        planned = block.planned[name]
        column = row.table.columns.get(name)
        setting = block.type.setting(name)
        if column is None or setting is None or planned[i] is BLANK or column.codes is not None:
            continue
        value = meanings.value(column, setting, row.entry)
        if value.read:
            compared += 1
            common += value.content == planned[i].content
    return common, compared


def agreeing(blocks: Sequence[Block], target: Target, row: Row, meanings: Meanings) -> int:
    """Return how many settings of a row are as planned for a device."""
    b, i = target
    return _in_common(blocks[b], list(blocks[b].planned), i, row, meanings)[0]
