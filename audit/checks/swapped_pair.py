"""swapped-pair: two nodes of a network hold each other's planned value."""

from __future__ import annotations

from audit.checks.context import Context, hit
from audit.model.arguments import Chosen, SwappedPair
from audit.model.finding import Outcome


def run(context: Context, args: SwappedPair) -> Outcome:
    """Return one hit for each pair of nodes that have exchanged their values of a role."""
    looked_at = 0
    wrong: dict[tuple[str, object, object], tuple[int, int]] = {}
    hits = []
    for b, block, difference in context.compared(Chosen(roles=(args.role,))):
        setting = difference.setting
        looked_at += difference.compared
        for i in difference.differing:
            planned = block.value("planned", setting.name, i)
            found = block.value("found", setting.name, i)
            network = block.networks[i]
            partner = wrong.get((network, found.content, planned.content))
            if partner is None:
                wrong[network, planned.content, found.content] = (b, i)
                continue
            other, j = context.site.blocks[partner[0]], partner[1]
            message = (
                f"{other.tags[j]} has the {setting.name} planned for {block.tags[i]} ({planned.shown}), "
                f"and {block.tags[i]} the one planned for {other.tags[j]} ({found.shown})"
            )
            place = block.place("found", setting.name, i)
            own = other.type.setting(setting.name) or setting
            hits.append(hit(other, partner[0], j, [own], message, "found", [block.tags[i]], [place]))
    return Outcome(looked_at, hits)
