"""How far the path from a node to its gateway is clear of the obstacles that the plan names."""

from __future__ import annotations

from audit.engineering.clearance import ENOUGH, Clearance, Obstacle, clearances, earth_bulge_m
from audit.figures.answers import Answer, Assumed, Calculated, Lacking
from audit.figures.links import NO_FREQUENCY, no_distance
from audit.figures.surroundings import Device, Surroundings
from audit.model.site import Block

OBSTACLES = "obstacles on the way in the plan"


def lacks(around: Surroundings, block: Block, side: str) -> str:
    """Return what all nodes of a block lack for calculating the clearance of their paths."""
    return "" if any(block.obstacles) else OBSTACLES


def path_clearance(around: Surroundings, device: Device, assumed: Assumed) -> Answer:
    """Return the clearance over the tightest obstacle, in % of the first Fresnel zone's radius there.

    Below 0: the obstacle, on the earth's bulge, is above the line of sight. The link margin leaves out what
    it costs, since the plan's `obstacles_db` comes from a survey, which measures such losses too.
    """
    here, there = device.position, around.gateway(device.network, device.side).position
    path_m, mhz = around.distance_m(device), around.frequency_mhz(device)
    if not device.obstacles:
        return Lacking(OBSTACLES)
    if here is None or there is None or path_m is None:
        return Lacking(no_distance(around, device), names_devices=True)
    if here.height_m is None or there.height_m is None:
        return Lacking("height_m in the positions of node and gateway", names_devices=True)
    if not mhz or mhz < 0:
        return Lacking(NO_FREQUENCY)
    names = {Obstacle(one.from_node_m, one.top_m): one.what for one in device.obstacles}
    tightest, *others = clearances(path_m, mhz, here.height_m, there.height_m, names)
    tight = sum(one.share < ENOUGH for one in others)
    note = f"of {len(names)} obstacles {tight + 1} leave too little" if tight else ""
    words = f"{names[tightest.obstacle]}, {_words(tightest, path_m)}"
    return Calculated(value=100 * tightest.share, sum=words, note=note)


def _words(tightest: Clearance, path_m: float) -> str:
    """Return where an obstacle is, how far from the line of sight, what is lacking, and what it costs."""
    at_m, clear_m = tightest.obstacle.distance_m, tightest.clearance_m
    bulge_m = earth_bulge_m(at_m, path_m - at_m)
    sight = f"{clear_m:.1f} m below" if clear_m >= 0 else f"{-clear_m:.1f} m above"
    return (
        f"{at_m:,.0f} m from the node on a path of {path_m:,.0f} m, with the top {sight} the line of sight "
        f"({bulge_m:.2f} m of earth's bulge included); the first Fresnel zone has a radius of "
        f"{tightest.radius_m:.1f} m there, so that {tightest.lacking_m:.1f} m are lacking to "
        f"{100 * ENOUGH:g} %; as a knife edge it costs {tightest.loss_db:.0f} dB, not counted in the link "
        "margin"
    )
