"""swapped-pair: two nodes of a network have each other's planned value."""

from __future__ import annotations

from audit.checks.context import Context, hit
from audit.model.asked_of_values import Chosen, SwappedPair
from audit.model.device import Setting
from audit.model.finding import Outcome


def run(context: Context, args: SwappedPair) -> Outcome:
    """Return one hit for each pair of nodes whose values of a role are swapped."""
    looked_at = 0
    wrong: dict[tuple[str, object, object], tuple[int, int, Setting]] = {}
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
                wrong[network, planned.content, found.content] = (b, i, setting)
                continue
            of, j, own = partner
            other = context.site.blocks[of]
            message = (
                f"{other.tags[j]} has the {own.name} planned for {block.tags[i]} ({planned.shown}), "
                f"and {block.tags[i]} the one planned for {other.tags[j]} ({found.shown})"
            )
            place = block.place("found", setting.name, i)
            hits.append(hit(other, of, j, [own], message, "found", [block.tags[i]], [place]))
    return Outcome(looked_at, hits)
