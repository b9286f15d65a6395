"""equals-gateway: a node's value is the one found at its gateway."""

from __future__ import annotations

from audit.checks.context import Context, count_read, hit
from audit.comparing import same
from audit.model.arguments import EqualsGateway
from audit.model.finding import Outcome
from audit.model.site import Site
from audit.model.table import Place
from audit.model.value import BLANK, Value


def run(context: Context, args: EqualsGateway) -> Outcome:
    """Return a hit for each node that has another value than its gateway.

    On the found side a gateway that was not read counts with its planned value, and the message
    says so.
    """
    looked_at, hits = 0, []
    for role in args.roles:
        of_gateway = {side: gateway_values(context.site, role, side) for side in context.sides()}
        for b, block, side, setting, column in context.columns([role]):
            looked_at += count_read(column)
            known: dict[tuple[int, str], bool] = {}
            for i, value in enumerate(column):
                gateway, which, place = of_gateway[side].get(block.networks[i], (BLANK, "", None))
                if not (value.read and gateway.read):
                    continue
                key = (id(value), block.networks[i])
                if key not in known:
                    known[key] = same(value, gateway, setting)
                if known[key]:
                    continue
                message = f"{setting.name} is {value.shown}, the gateway {which} {gateway.shown}"
                planned = block.value("planned", setting.name, i)
                if side == "found" and planned.read and not same(planned, gateway, setting):
                    message += f"; planned {planned.shown}"
                hits.append(hit(block, b, i, [setting], message, side, extra_places=[place] if place else []))
    return Outcome(looked_at, hits)


def gateway_values(site: Site, role: str, side: str) -> dict[str, tuple[Value, str, Place | None]]:
    """Return network → the gateway's value of a role, how it is known, and where it stands."""
    values: dict[str, tuple[Value, str, Place | None]] = {}
    for network, (b, i) in site.gateways.items():
        block = site.blocks[b]
        for setting in block.settings(role):
            found = block.value("found", setting.name, i) if side == "found" else BLANK
            if found.read:
                values[network] = (found, "has", block.place("found", setting.name, i))
            else:
                planned = block.value("planned", setting.name, i)
                how = "was not read; it is planned to have" if side == "found" else "is planned to have"
                values[network] = (planned, how, block.place("planned", setting.name, i))
            break
    return values
