"""Networks too near each other to share a channel.

`conflicts` does not look at channels: it says which networks must not have the same one. To choose
channels is to colour that graph.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import floor

from audit.engineering.interference import carrier_to_interference_at_db, reuse_distance_m
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.surroundings import Surroundings, apart_m
from audit.model.base import Position
from audit.model.value import Content

CHANNEL = ("channel",)


@dataclass(frozen=True, slots=True)
class Reach:
    """A network as a source and a victim of interference."""

    network: str
    position: Position
    """Position of its gateway."""
    farthest_m: float
    """Distance of its farthest node from its gateway."""
    exponent: float
    """The exponent of its path loss."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two networks that disturb each other on one channel."""

    one: Reach
    other: Reach
    apart_m: float
    """How far apart their gateways are."""
    needed_m: float
    """How far apart they have to be to use one channel."""


def reaches(around: Surroundings, exponent: float) -> dict[str, Reach]:
    """Return network → how far it reaches, by planned positions; networks without any are left out.

    `exponent` is that of the path loss if the plan gives none.
    """
    found = {}
    for network, farthest in around.farthest_m.items():
        position, path = around.gateway(network, "planned").position, around.radio(network).path
        if position is not None:
            own = path.exponent if path else None
            found[network] = Reach(network, position, farthest, own or exponent)
    return found


def conflicts(networks: Sequence[Reach], required_db: float) -> list[Conflict]:
    """Return the pairs of networks that are too near each other to share a channel.

    `required_db` is how far a wanted signal has to be above the other network's. Of the two networks'
    exponents the smaller counts, with which signals carry farther. Pairs whose positions have no
    coordinates in common are left out, since their distance is unknown.
    """
    found = []
    for one, other in combinations(networks, 2):
        apart = apart_m(one.position, other.position, nearest_m=0.0)
        needed = needed_m(one, other, required_db)
        if apart is not None and apart < needed:
            found.append(Conflict(one, other, apart, needed))
    return found


def needed_m(one: Reach, other: Reach, required_db: float) -> float:
    """Return how far apart two gateways have to be, so that neither network disturbs the other, in metres."""
    exponent = min(one.exponent, other.exponent)
    return max(reuse_distance_m(own, its, required_db, exponent) for own, its in _ways(one, other))


def ratio_db(conflict: Conflict) -> float | None:
    """Return how far a wanted signal is above the other network's where the two gateways stand, in dB.

    As for `needed_m`, the farthest node of one network sends while that of the other is on the near side, and
    the worse of the two ways round counts. None if that node may stand at the gateway itself or beyond it.
    """
    exponent = min(conflict.one.exponent, conflict.other.exponent)
    ways = [(own, conflict.apart_m - its) for own, its in _ways(conflict.one, conflict.other)]
    if any(interferer_m <= 0 for _, interferer_m in ways):
        return None
    return min(carrier_to_interference_at_db(own, [interferer], exponent) for own, interferer in ways)


def _ways(one: Reach, other: Reach) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the reach of the network that is disturbed and of the one that disturbs it, both ways round."""
    return (one.farthest_m, other.farthest_m), (other.farthest_m, one.farthest_m)


def shared_channels(around: Surroundings, side: str, assumed: Assumed) -> Mapping[str, Sequence[Answer]]:
    """Return, for each network, its distances from earlier ones on its channel that are too near."""
    gateways = {network: around.gateway(network, side) for network in around.site.gateways}
    if len(gateways) < 2:
        return {network: [Lacking("a second network")] for network in gateways}
    reach = reaches(around, assumed["exponent"])
    answers: dict[str, list[Answer]] = {network: [] for network in gateways}
    on_channel: dict[Content, list[str]] = defaultdict(list)
    for network, gateway in gateways.items():
        if network not in reach:
            answers[network].append(Lacking("positions of gateway and nodes"))
        elif not gateway.value("channel").read:
            answers[network].append(Lacking("the gateway's channel"))
        else:
            on_channel[gateway.value("channel").content].append(network)
    for networks in on_channel.values():
        for conflict in conflicts([reach[network] for network in networks], assumed["required_db"]):
            if any(gateways[one.network].was_read("channel") for one in (conflict.one, conflict.other)):
                answers[conflict.other.network].append(_answer(around, conflict, side, assumed))
    return answers


def _answer(around: Surroundings, conflict: Conflict, side: str, assumed: Assumed) -> Calculated:
    one, other = conflict.one, conflict.other
    gateway = around.gateway(one.network, side)
    exponent = min(one.exponent, other.exponent)
    channel = gateway.value("channel").shown
    words = (
        f"channel {channel} is also that of {one.network} ({gateway.tag}); the farthest nodes are "
        f"{other.farthest_m:,.0f} m and {one.farthest_m:,.0f} m from their gateways, and the wanted signal "
        f"has to be {assumed['required_db']:g} dB above the other, {_left(conflict)} (exponent {exponent:g})"
    )
    return Calculated(
        value=conflict.apart_m, sum=words, low=conflict.needed_m, by="to use one channel",
        roles=CHANNEL, others=(gateway.tag,),
    )  # fmt: skip


def _left(conflict: Conflict) -> str:
    """Return the ratio that is left, rounded down, so that too little never looks like enough."""
    ratio = ratio_db(conflict)
    if ratio is None:
        return "but a node of one network may stand at the gateway of the other"
    tenths = floor(ratio * 10) / 10
    return f"but may be only {tenths:g} dB above it" if tenths >= 0 else f"but may be {-tenths:g} dB below it"
